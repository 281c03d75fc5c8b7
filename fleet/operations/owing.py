"""What one vehicle owes, changed as a whole: read once, settled in memory, written at once.

A close or a sheet drops, pays and makes many rechecks. Their rows and their entries in the trail
go to the database together, so that the number of queries does not grow with the work.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.operations import moves, rechecks
from fleet.operations.cell_intervals import Accepted, CellIntervals
from fleet.operations.excepted import Exceptions
from fleet.operations.plan_settle import left_the_plan
from fleet.operations.rechecks import Start
from fleet.operations.work import Work
from fleet.reads.intervals.today import STANDING
from fleet.reads.rules import RuleNow
from fleet.records.models import Joint, Recheck, RuleException, Vehicle, VehicleUse

MOVED = [
    "state", "drop_reason", "done_at", "done_by_finding", "done_by_line", "looked_by_finding",
    "driven_by",
]  # fmt: skip


@dataclass(frozen=True)
class _Step:
    """One entry of the trail, written when its recheck has an id."""

    verb: str
    row: Recheck
    said: dict[str, Any]


class Owing:
    """The live rechecks of a vehicle under its lock, by joint and ladder: one at most of each.

    Nothing is stored before `write`.
    """

    def __init__(self, work: Work, vehicle: Vehicle, use: VehicleUse | None) -> None:
        self.work, self.vehicle, self.use = work, vehicle, use
        rows = Recheck.objects.filter(vehicle=vehicle, state__in=Recheck.LIVE)
        self.live = {(row.joint_id, row.ladder): row for row in rows.order_by("falls_on", "id")}
        self.intervals = CellIntervals(vehicle)
        self.exceptions = Exceptions(vehicle, work.at)
        self._joints: list[Joint] | None = None
        self._made: list[Recheck] = []
        self._moved: list[Recheck] = []
        self._steps: list[_Step] = []

    def make(
        self, ladder: RuleNow, start: Start, *, joint: Joint | None = None, rung: int = 0,
        factor: float = 1.0, floor: dict[str, float] | None = None,
    ) -> None:  # fmt: skip
        """Make one recheck, in place of a live one of the same ladder at the same joint.

        Two lines of one close that start the same ladder make one recheck. The vehicle's own
        exception takes the place of the rule, else an accepted interval that of the ladder's last
        rung; what is shortened after it moved is neither's.
        """
        key = (joint.pk if joint else None, ladder.key)
        if key in self.live:
            old = self.live[key]
            new = (rung, start.at, start.follows.pk if start.follows else None)
            if (old.rung, old.started_at, old.follows_id) == new:
                return
            self.drop(joint, ladder.key, "done again")
        if factor != 1.0:
            self._draft(ladder, start, joint=joint, rung=rung, factor=factor, floor=floor)
            return
        own, excepted = self.exceptions.of(ladder)
        accepted = self.intervals.rung(ladder, rung, joint) if joint and not excepted else None
        self._draft(
            accepted.ladder if accepted else own, start, accepted, excepted, joint=joint, rung=rung
        )

    def start_interval(self, joint: Joint, start: Start) -> None:
        """Make the recheck that stands at a joint where an interval was accepted and no ladder of
        its kind is; one that is owed already stays as it is."""
        if (joint.pk, STANDING) in self.live:
            return
        accepted = self.intervals.standing(joint)
        if accepted is not None:
            self._draft(accepted.ladder, start, accepted, joint=joint)

    def _draft(
        self, ladder: RuleNow, start: Start, accepted: Accepted | None = None,
        excepted: RuleException | None = None, *, joint: Joint | None, **more: Any,
    ) -> None:  # fmt: skip
        row = rechecks.drafted(self.vehicle, ladder, start, self.use, joint=joint, **more)
        row.interval = accepted.rule if accepted else None
        row.exception = excepted
        self.live[row.joint_id, row.ladder] = row
        self._made.append(row)
        self._steps.append(_Step("make_recheck", row, {"after": rechecks.said_of(row)}))

    def drop(self, joint: Joint | None, ladder: str, reason: str) -> None:
        """What a ladder still owes at a joint is owed no longer."""
        row = self.live.get((joint.pk if joint else None, ladder))
        if row is not None:
            self._move(row, Recheck.State.DROPPED, drop_reason=reason)
            self._steps.append(_Step("drop_recheck", row, {"reason": reason}))

    def drop_at(self, joint: Joint, reason: str) -> None:
        """Whatever is owed at a joint is owed no longer: it is not there."""
        for joint_id, ladder in list(self.live):
            if joint_id == joint.pk:
                self.drop(joint, ladder, reason)

    def done(self, row: Recheck, when: datetime, **by: Any) -> None:
        """Paid, on time or late."""
        self._move(row, Recheck.State.DONE, done_at=when, **by)
        self._steps.append(_Step("do_recheck", row, {"after": {"rung": row.rung}}))

    def half(self, row: Recheck, after: dict[str, bool]) -> None:
        """One half of it is made, and it stays owed until the other is."""
        self._moved.append(row)
        self._steps.append(_Step("half_recheck", row, {"after": after}))

    def _move(self, row: Recheck, to: str, **fields: Any) -> None:
        moves.allow(row, moves.RECHECK_MOVES, to)
        for name, value in {"state": to, **fields}.items():
            setattr(row, name, value)
        del self.live[row.joint_id, row.ladder]
        if row.pk is not None:
            self._moved.append(row)

    def start_ladders(
        self, ladders: dict[str, RuleNow], key: str, start: Start, joint: Joint | None
    ) -> None:
        """Start a ladder after work on a joint: on that joint, on all of the kinds it names, or
        on the vehicle as a whole; and every ladder it names as going with it."""
        ladder = ladders[key]
        only_for = ladder.data.get("for_kinds")
        if only_for and (joint is None or joint.kind.code not in only_for):
            return
        for target in self._targets(ladder, joint):
            self.make(ladder, start, joint=target)
        for other in ladder.data.get("also", []):
            self.start_ladders(ladders, other, start, joint)

    def _targets(self, ladder: RuleNow, joint: Joint | None) -> Iterable[Joint | None]:
        kinds = ladder.data["joints"]
        if kinds == "same":
            return [joint]
        if not kinds:
            return [None]
        side = joint.side if ladder.data.get("same_side") and joint is not None else ""
        return [
            one for one in self._fitted() if one.kind.code in kinds and side in ("", one.side)
        ]  # fmt: skip

    def _fitted(self) -> list[Joint]:
        """The joints that the vehicle has, in the order of the walk."""
        if self._joints is None:
            rows = self.vehicle.joints.filter(fitted=Joint.Fitted.FITTED).select_related("kind")
            self._joints = list(rows)
        return self._joints

    def start_standing(self, key: str, rule: RuleNow, start: Start) -> None:
        """A standing recheck of the whole front end: by duty, or the yearly one."""
        self.make(rechecks.standing(key, rule), start)

    def write(self) -> None:
        """Store what has changed, and its entries in the trail in the order it was done."""
        if not self._steps:
            return
        moves.store_moved(self._moved, MOVED)
        left_the_plan(self.work, self.vehicle, self._moved)
        Recheck.objects.bulk_create(self._made)
        self.work.trail_written(
            self.work.entry_written(step.verb, step.row, vehicle=self.vehicle, **step.said)
            for step in self._steps
        )
        self._made, self._moved, self._steps = [], [], []
