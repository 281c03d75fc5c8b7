"""One run of the planner in words: how far it is, what it proposes, what found no day and why."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db.models import QuerySet

from fleet.reads.plan.late import LateWork, late_work
from fleet.reads.plan.run_known import Clashing, Known, Left, NotPlaced, Proposed
from fleet.records.models import Person, PlanRun, Visit, Yard

Row = TypeVar("Row", Proposed, Clashing, NotPlaced, Left)


@dataclass(frozen=True)
class YardPart:
    """What a run proposes for one of its yards."""

    yard: Yard
    new: Sequence[Proposed]
    moved: Sequence[Proposed]
    other: Sequence[Proposed]
    same: int
    out: Sequence[Visit]
    unplaced: Sequence[NotPlaced]
    clashes: Sequence[Clashing]
    left: Sequence[Left]

    @property
    def changes(self) -> int:
        return len(self.new) + len(self.moved) + len(self.other) + len(self.out)

    @property
    def told(self) -> bool:
        """Whether anything is left to tell of it once it is in place."""
        return bool(self.left or self.unplaced)


@dataclass(frozen=True)
class RunStory:
    run: PlanRun
    # The yard it was asked from first.
    parts: Sequence[YardPart]
    late: LateWork

    @property
    def yards(self) -> list[Yard]:
        return [part.yard for part in self.parts]

    @property
    def several(self) -> bool:
        return len(self.parts) > 1

    @property
    def at_work(self) -> bool:
        return self.run.state in PlanRun.ASKED

    @property
    def proposed(self) -> bool:
        return self.run.state == PlanRun.State.PROPOSED

    @property
    def new(self) -> list[Proposed]:
        return [row for part in self.parts for row in part.new]

    @property
    def unplaced(self) -> list[NotPlaced]:
        return [row for part in self.parts for row in part.unplaced]

    @property
    def clashes(self) -> list[Clashing]:
        return [row for part in self.parts for row in part.clashes]

    @property
    def left(self) -> list[Left]:
        return [row for part in self.parts for row in part.left]

    @property
    def same(self) -> int:
        return sum(part.same for part in self.parts)

    @property
    def changes(self) -> int:
        return sum(part.changes for part in self.parts)

    @property
    def gap(self) -> float | None:
        """How far the best may at most be from what no plan can beat, as a share."""
        best, bound = self.run.best, self.run.bound
        if best is None or bound is None:
            return None
        return max(best - bound, 0.0) / best if best else 0.0


def runs(person: Person) -> QuerySet[PlanRun]:
    rows = PlanRun.visible_to(person).select_related("yard", "asked_by")
    return rows.prefetch_related("yards")


def yards_of_run(run: PlanRun) -> list[Yard]:
    """The yard it was asked from, then the others by name."""
    return sorted(run.yards.all(), key=lambda yard: (yard.pk != run.yard_id, yard.name))


def run_story(run: PlanRun, person: Person) -> RunStory:
    """Eleven queries, however much it proposes and for however many yards."""
    said = run.proposal if run.state == PlanRun.State.PROPOSED else {}
    if run.state == PlanRun.State.TAKEN:
        said = {"unplaced": run.proposal.get("unplaced", [])}
    known = Known.of(said, run, person)
    rows = [known.proposed(one) for one in said.get("visits", [])]
    kept = {row.was.pk for row in rows if row.was}
    out = [
        visit for visit in known.standing
        if visit.pk not in kept and not visit.pinned and str(visit.pk) in said.get("read", {})
    ]  # fmt: skip
    unplaced = known.unplaced(said.get("unplaced", []))
    clashes = [known.clash(one) for one in said.get("clashes", [])]
    left = [known.left(one) for one in run.taken.get("stale", [])]
    parts = [
        _part(yard, at(yard, rows), [visit for visit in out if visit.yard_id == yard.pk],
              at(yard, unplaced), at(yard, clashes), at(yard, left))
        for yard in yards_of_run(run)
    ]  # fmt: skip
    return RunStory(run, parts, late_work(said.get("late", []), known))


def at(yard: Yard, rows: Iterable[Row]) -> list[Row]:
    return [row for row in rows if row.yard_id == yard.pk]


def _part(yard: Yard, rows: list[Proposed], out: list[Visit], *lists: Any) -> YardPart:
    return YardPart(
        yard,
        [row for row in rows if row.was is None],
        [row for row in rows if row.moves],
        [row for row in rows if row.was and not row.moves and not row.same],
        sum(row.same for row in rows),
        out,
        *lists,
    )
