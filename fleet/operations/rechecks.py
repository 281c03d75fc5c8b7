"""Rechecks: made by ladders, done by sufficient looks, passed on rung by rung."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from fleet.calc.calendar import share_used
from fleet.calc.units import use_si
from fleet.operations import moves, projection
from fleet.operations.work import Work
from fleet.reads.rules import RuleNow
from fleet.records.models import Joint, Recheck, Vehicle, VehicleUse

SECONDS_A_DAY = 86_400


@dataclass(frozen=True)
class Start:
    """Where a recheck's interval begins, and what made it."""

    at: datetime
    use_si: int | None
    line: Any = None
    finding: Any = None
    follows: Recheck | None = None


def make(
    work: Work, vehicle: Vehicle, ladder: RuleNow, start: Start, *,
    joint: Joint | None = None, rung: int = 0, factor: float = 1.0,
    floor: dict[str, float] | None = None,
) -> Recheck:  # fmt: skip
    """Make one recheck, in place of a live one of the same ladder at the same joint.

    Two lines of one close that start the same ladder make one recheck.
    """
    live = list(_live(vehicle, joint, ladder.key))
    new = (rung, start.at, start.follows.pk if start.follows else None)
    for old in live:
        if (old.rung, old.started_at, old.follows_id) == new:
            return old
    _drop(work, vehicle, live, "done again")
    use = VehicleUse.objects.filter(vehicle=vehicle).first()
    step = _scaled(ladder.data["rungs"][rung], factor, floor or {})
    recheck = _drafted(vehicle, ladder, start, use, joint=joint, rung=rung, step=step)
    recheck.save()
    work.trail("make_recheck", recheck, vehicle=vehicle, after=said_of(recheck))
    return recheck


def _drafted(
    vehicle: Vehicle, ladder: RuleNow, start: Start, use: VehicleUse | None, *,
    step: dict[str, Any], joint: Joint | None = None, rung: int = 0,
) -> Recheck:  # fmt: skip
    """A recheck with its limits and projected dates, not saved."""
    recheck = Recheck(
        vehicle=vehicle, joint=joint, kind=ladder.data["kind"], ladder=ladder.key, rung=rung,
        rule_version=ladder.version, methods=step.get("methods", []),
        made_by_line=start.line, made_by_finding=start.finding, follows=start.follows,
        started_at=start.at, start_use_si=start.use_si,
        hold_at_twice=ladder.data.get("hold_at_twice", False),
    )  # fmt: skip
    _set_limits(recheck, vehicle, step)
    projection.place(recheck, vehicle, use)
    return recheck


def _scaled(step: dict[str, Any], factor: float, floor: dict[str, float]) -> dict[str, Any]:
    """A rung's limits, shortened after a joint moved: not under the floor, and never longer."""
    if factor == 1.0:
        return step
    shorter = {
        unit: min(step[unit], max(step[unit] * factor, floor.get(unit, 0.0)))
        for unit in ("miles", "days", "hours")
        if step.get(unit)
    }
    return {**step, **shorter}


def _set_limits(recheck: Recheck, vehicle: Vehicle, step: dict[str, Any]) -> None:
    """Turn a rung into a date and a use on this vehicle's meter, whichever comes first."""
    zone = ZoneInfo(vehicle.yard.time_zone)
    if step.get("days"):
        first_day = recheck.started_at.astimezone(zone).date()
        recheck.due_on = first_day + timedelta(days=round(step["days"]))
    length = _length_si(vehicle, step)
    if length is not None and recheck.start_use_si is not None:
        recheck.due_use_si = recheck.start_use_si + length
    if recheck.due_on is None and recheck.due_use_si is None:
        # The meter was never read, and the rung gives no days: ask within a month.
        recheck.due_on = recheck.started_at.astimezone(zone).date() + timedelta(
            days=projection.DAYS_WITHOUT_METER
        )
    if step.get("not_before_minutes"):
        recheck.not_before = recheck.started_at + timedelta(minutes=step["not_before_minutes"])


def _length_si(vehicle: Vehicle, step: dict[str, Any]) -> int | None:
    unit = "hours" if vehicle.counts_hours else "miles"
    amount = step.get(unit)
    return None if not amount else use_si(amount, "h" if vehicle.counts_hours else "mi")


def drop_live(work: Work, vehicle: Vehicle, joint: Joint | None, ladder: str, reason: str) -> None:
    """What a ladder still owes at a joint is owed no longer."""
    _drop(work, vehicle, _live(vehicle, joint, ladder), reason)


def _live(vehicle: Vehicle, joint: Joint | None, ladder: str) -> QuerySet[Recheck]:
    return Recheck.objects.filter(
        vehicle=vehicle, joint=joint, ladder=ladder, state__in=Recheck.LIVE
    )


def _drop(work: Work, vehicle: Vehicle, rows: Iterable[Recheck], reason: str) -> None:
    for old in rows:
        moves.move(old, moves.RECHECK_MOVES, Recheck.State.DROPPED, drop_reason=reason)
        work.trail("drop_recheck", old, vehicle=vehicle, reason=reason)


def done(work: Work, recheck: Recheck, when: datetime, **by: Any) -> None:
    """Mark one recheck done, on time or late."""
    moves.move(recheck, moves.RECHECK_MOVES, Recheck.State.DONE, done_at=when, **by)
    work.trail("do_recheck", recheck, vehicle=recheck.vehicle, after={"rung": recheck.rung})


def share_at(recheck: Recheck, vehicle: Vehicle, when: datetime, use_then: int | None) -> float:
    """How much of the interval was used at a moment: the larger of its two shares."""
    zone = ZoneInfo(vehicle.yard.time_zone)
    return share_used(
        recheck.started_at.astimezone(zone).date(), recheck.due_on, when.astimezone(zone).date(),
        recheck.start_use_si, recheck.due_use_si, use_then,
    )  # fmt: skip


def start_ladders(
    work: Work, vehicle: Vehicle, ladders: dict[str, RuleNow], key: str, start: Start,
    joint: Joint | None,
) -> None:  # fmt: skip
    """Start a ladder after work on a joint: on that joint, on all of the kinds it names, or on
    the vehicle as a whole; and every ladder it names as going with it."""
    ladder = ladders[key]
    only_for = ladder.data.get("for_kinds")
    if only_for and (joint is None or joint.kind.code not in only_for):
        return
    for target in _targets(vehicle, ladder, joint):
        make(work, vehicle, ladder, start, joint=target)
    for other in ladder.data.get("also", []):
        start_ladders(work, vehicle, ladders, other, start, joint)


def _targets(vehicle: Vehicle, ladder: RuleNow, joint: Joint | None) -> Iterable[Joint | None]:
    kinds = ladder.data["joints"]
    if kinds == "same":
        return [joint]
    if not kinds:
        return [None]
    rows = vehicle.joints.filter(kind__code__in=kinds, fitted=Joint.Fitted.FITTED)
    if ladder.data.get("same_side") and joint is not None and joint.side:
        rows = rows.filter(side=joint.side)
    return list(rows)


def start_standing(work: Work, vehicle: Vehicle, key: str, rule: RuleNow, start: Start) -> None:
    """A standing recheck of the whole front end: by duty, or the yearly one."""
    make(work, vehicle, _standing(key, rule), start)


def _standing(key: str, rule: RuleNow) -> RuleNow:
    kind = "annual" if key == "annual" else "routine"
    return RuleNow(kind, rule.version, {"kind": kind, "rungs": [{**rule.data, "methods": []}]})


def routine_of(
    work: Work, vehicle: Vehicle, routine: dict[str, RuleNow], use: VehicleUse | None
) -> list[Recheck]:
    """Both standing rechecks of a vehicle that joins the fleet and owes nothing yet, not saved."""
    start = Start(work.at, use.last_use_si if use else None)
    ladders = [_standing(key, routine[key]) for key in (vehicle.duty, "annual")]
    return [_drafted(vehicle, one, start, use, step=one.data["rungs"][0]) for one in ladders]


def said_of(recheck: Recheck) -> dict[str, str]:
    """What the trail says of a recheck that was made."""
    return {"falls_on": str(recheck.falls_on)}
