"""A recheck as its ladder makes it: where it begins, its limits, how much of it is used."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from fleet.calc.calendar import share_used
from fleet.calc.units import use_si
from fleet.operations import projection
from fleet.operations.work import Work
from fleet.reads.rules import RuleNow, routine_key
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


def drafted(
    vehicle: Vehicle, ladder: RuleNow, start: Start, use: VehicleUse | None, *,
    joint: Joint | None = None, rung: int = 0, factor: float = 1.0,
    floor: dict[str, float] | None = None,
) -> Recheck:  # fmt: skip
    """A recheck with its limits and projected dates, not saved."""
    step = _scaled(ladder.data["rungs"][rung], factor, floor or {})
    recheck = Recheck(
        vehicle=vehicle, joint=joint, kind=ladder.data["kind"], ladder=ladder.key, rung=rung,
        rule_version=ladder.version, methods=step.get("methods", []),
        made_by_line=start.line, made_by_finding=start.finding, follows=start.follows,
        started_at=start.at, start_use_si=start.use_si,
        hold_at_twice=ladder.data.get("hold_at_twice", False),
        road_test=ladder.data.get("road_test", False),
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


def limits_of(recheck: Recheck, vehicle: Vehicle, step: dict[str, Any]) -> Recheck:
    """Another one that began where this did, with the limits of a step alone."""
    one = Recheck(started_at=recheck.started_at, start_use_si=recheck.start_use_si)
    _set_limits(one, vehicle, step)
    return one


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
    least = _length_si(vehicle, step, "not_before_")
    if least is not None and recheck.start_use_si is not None:
        recheck.not_before_use_si = recheck.start_use_si + least


def _length_si(vehicle: Vehicle, step: dict[str, Any], start: str = "") -> int | None:
    unit = "hours" if vehicle.counts_hours else "miles"
    amount = step.get(f"{start}{unit}")
    return None if not amount else use_si(amount, "h" if vehicle.counts_hours else "mi")


def share_at(recheck: Recheck, vehicle: Vehicle, when: datetime, use_then: int | None) -> float:
    """How much of the interval was used at a moment: the larger of its two shares.

    By what its rule had set: what was put off is half due and twice due as if it were not.
    """
    zone = ZoneInfo(vehicle.yard.time_zone)
    due_on, due_use_si = recheck.by_rule
    return share_used(
        recheck.started_at.astimezone(zone).date(), due_on, when.astimezone(zone).date(),
        recheck.start_use_si, due_use_si, use_then,
    )  # fmt: skip


def standing(key: str, rule: RuleNow) -> RuleNow:
    """The ladder of a standing recheck of the whole front end: by duty, or the yearly one."""
    kind = "annual" if key == "annual" else "routine"
    return RuleNow(kind, rule.version, {"kind": kind, "rungs": [{**rule.data, "methods": []}]})


def routine_of(
    work: Work, vehicle: Vehicle, routine: dict[str, RuleNow], use: VehicleUse | None
) -> list[Recheck]:
    """Both standing rechecks of a vehicle that joins the fleet and owes nothing yet, not saved."""
    start = Start(work.at, use.last_use_si if use else None)
    ladders = [standing(key, routine[key]) for key in (routine_key(vehicle, routine), "annual")]
    return [drafted(vehicle, one, start, use) for one in ladders]


def said_of(recheck: Recheck) -> dict[str, str]:
    """What the trail says of a recheck that was made."""
    return {"falls_on": str(recheck.falls_on)}
