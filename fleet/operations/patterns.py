"""Patterns: found by a scan that may run any number of times, judged by a manager.

The rule of repeat loosening is exact and simple for now: two or more loosenings of one joint
inside the window, each after the joint had been tightened. Its place is `_repeat_loosening`;
a better statistic replaces that function and keeps the lifecycle.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import F
from django.utils.translation import gettext as _

from fleet.operations import moves
from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.once import Request
from fleet.operations.work import EVENTS, Done, Work, find, run, same_version
from fleet.reads.loosenings import Loosening, loosenings
from fleet.reads.patterns.kinds import REPEAT
from fleet.reads.rules import settings_now
from fleet.records.models import Joint, Pattern

# Before torque is added (common practice, no source).
NEXT_LOOK = ["hole", "bolt", "sleeve", "bracket", "tool"]
# {"findings": ids, "torques": ids of what had tightened the joint before each}
Evidence = dict[str, list[int | None]]
QUIET = (Pattern.State.SET_ASIDE, Pattern.State.HELPED)


def scan(
    work: Work, vehicle_ids: Iterable[int] | None = None, until: datetime | None = None
) -> int:
    """Look for repeats over these vehicles, or all; returns how many patterns changed.

    The same records give the same patterns however often it runs. `until` leaves out what
    happened later, so that the demo's past is scanned as it stood.
    """
    now = settings_now()
    window, count = timedelta(days=now["repeat_window_days"]), now["repeat_count"]
    changed = 0
    for joint_id, events in loosenings(vehicle_ids, until).items():
        repeats = _repeat_loosening(events, window, count)
        if repeats:
            changed += _keep(work, joint_id, repeats, now)
    return changed


def _repeat_loosening(events: list[Loosening], window: timedelta, count: int) -> list[Loosening]:
    """The latest run of `count` or more loosenings inside the window, or nothing."""
    after_tightening = [event for event in events if event.tightened_before]
    for last in range(len(after_tightening) - 1, count - 2, -1):
        end = after_tightening[last].occurred_at
        run_ = [e for e in after_tightening[: last + 1] if e.occurred_at > end - window]
        if len(run_) >= count:
            return run_
    return []


def _keep(work: Work, joint_id: int, events: list[Loosening], now: dict[str, int]) -> int:
    """Write the pattern of one joint; nothing changes where its evidence has not."""
    evidence: Evidence = {
        "findings": [event.finding_id for event in events],
        "torques": [event.torque_id for event in events],
    }
    statistic: dict[str, object] = {
        "method": "count in window", "count": len(events),
        "window_days": now["repeat_window_days"], "at_least": now["repeat_count"],
    }  # fmt: skip
    old = Pattern.objects.filter(kind=REPEAT, key=f"joint:{joint_id}").first()
    if old is None:
        _open(work, joint_id, events, evidence, statistic)
        return 1
    if old.evidence == evidence:
        return 0
    if set(evidence["findings"]) <= set(old.evidence["findings"]):
        return 0
    _add_evidence(work, old, events, evidence, statistic)
    return 1


def _open(
    work: Work, joint_id: int, events: list[Loosening],
    evidence: Evidence, statistic: dict[str, object],
) -> None:  # fmt: skip
    joint = Joint.objects.select_related("vehicle").get(pk=joint_id)
    row = Pattern.objects.create(
        kind=REPEAT, key=f"joint:{joint_id}", joint=joint, vehicle=joint.vehicle,
        yard_id=joint.vehicle.yard_id, evidence=evidence, statistic=statistic,
        next_look=NEXT_LOOK, opened_at=work.at, last_evidence_at=events[-1].occurred_at,
    )  # fmt: skip
    after = {"count": len(events)}
    work.trail("open_pattern", row, vehicle=joint.vehicle, after=after, tell=EVENTS)


def _add_evidence(
    work: Work, row: Pattern, events: list[Loosening],
    evidence: Evidence, statistic: dict[str, object],
) -> None:  # fmt: skip
    """New evidence brings back what was set aside, and what was thought to have helped."""
    state = Pattern.State.OPEN if row.state in QUIET else row.state
    Pattern.objects.filter(pk=row.pk).update(
        evidence=evidence, statistic=statistic, last_evidence_at=events[-1].occurred_at,
        state=state, version=F("version") + 1,
    )  # fmt: skip
    # Opened again, what it tells is as new as a new pattern.
    back = state == Pattern.State.OPEN and row.state != state
    work.trail("add_evidence", row, vehicle=row.vehicle, before={"state": row.state},
               after={"state": state, "count": len(events)},
               tell=EVENTS if back else ())  # fmt: skip


# From when on an action, or a word that it is nothing, is held against the record.
MOMENT_OF = {Pattern.State.ACTED_ON: "acted_at", Pattern.State.SET_ASIDE: "set_aside_at"}
TEXT_OF = {
    Pattern.State.LOOKED_AT: "cause",
    Pattern.State.ACTED_ON: "action",
    Pattern.State.SET_ASIDE: "set_aside_reason",
}


def judge_pattern(
    actor: Actor, pattern_id: int, *, to: str, text: str, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[Pattern]:  # fmt: skip
    """A manager says what was found, done, or why it is set aside."""
    actor.need("judge_pattern")

    def apply(work: Work) -> Pattern:
        row = find(Pattern, actor, pattern_id, _("pattern"))
        if row.vehicle_id:
            work.lock(row.vehicle_id)
            row.refresh_from_db()
        same_version(row, expected_version)
        column = TEXT_OF.get(Pattern.State(to)) if to in Pattern.State.values else ""
        if row.kind != REPEAT and to in moves.JUDGED_BY_RECORD:
            raise refuse("judged_by_record", _(
                "Whether it helped is worked out from the finds that follow. Say what was done; "
                "the answer comes with the checks."
            ), field="to")  # fmt: skip
        if to not in moves.moves_by_hand(row):
            raise refuse("move_unknown", _("A pattern can't go there from here."), field="to")
        if column and not text.strip():
            raise refuse("text_missing", _("Write what was found, done, or why."), field="text")
        before = row.state
        said: dict[str, object] = {column: text.strip()} if column else {}
        if to in MOMENT_OF:
            said[MOMENT_OF[Pattern.State(to)]] = at
        moves.move(row, moves.PATTERN_MOVES, to, **said)
        work.trail("judge_pattern", row, vehicle=row.vehicle, before={"state": before},
                   after={"state": to}, reason=text[:300])  # fmt: skip
        return row

    return run("judge_pattern", actor, at, apply, request)
