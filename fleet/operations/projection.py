"""When the meter is likely to reach what is owed: kept on each live recheck."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from fleet.calc.usage import Rate, due_from_rate
from fleet.operations import state
from fleet.operations.change import update
from fleet.records.models import Recheck, Vehicle, VehicleUse

# Owed by the meter alone, and the meter unknown: look within this many days (own).
DAYS_WITHOUT_METER = 30
# A projection further off than this says nothing more than 'far off'.
FURTHEST = timedelta(days=3650)

FIELDS = ["use_on_low", "use_on", "use_on_high", "falls_on"]


def project(vehicle: Vehicle, use: VehicleUse, at: datetime) -> None:
    """Project every live recheck of a vehicle again, and the states that show them."""
    use.vehicle = vehicle
    project_all([use], at)


def project_all(uses: Iterable[VehicleUse], at: datetime) -> None:
    """The same for many vehicles at once, each with the state of its meter."""
    by_vehicle = {use.vehicle_id: use for use in uses}
    live = live_of(by_vehicle)
    keep(moved(live, by_vehicle))
    state.refresh([r.joint_id for r in live if r.joint_id])


def live_of(vehicle_ids: Iterable[int]) -> list[Recheck]:
    """What these vehicles owe."""
    rows = Recheck.objects.filter(vehicle__in=vehicle_ids, state__in=Recheck.LIVE)
    return list(rows.only("vehicle", "joint", "started_at", "due_on", "due_use_si", *FIELDS))


def moved(live: Iterable[Recheck], by_vehicle: Mapping[int, VehicleUse]) -> list[Recheck]:
    """Those whose dates another state of the meter moves, with the new dates, not saved."""
    found = []
    for recheck in live:
        use, before = by_vehicle[recheck.vehicle_id], _dates(recheck)
        place(recheck, use.vehicle, use)
        if _dates(recheck) != before:
            found.append(recheck)
    return found


def keep(rechecks: Iterable[Recheck]) -> None:
    """Save the dates."""
    update(Recheck, FIELDS, ((recheck.pk, *_dates(recheck)) for recheck in rechecks))


def _dates(recheck: Recheck) -> tuple[date | None, ...]:
    return recheck.use_on_low, recheck.use_on, recheck.use_on_high, recheck.falls_on


def place(recheck: Recheck, vehicle: Vehicle, use: VehicleUse | None) -> None:
    """Set the projected dates of one recheck from the vehicle's own rate of use."""
    zone = ZoneInfo(vehicle.yard.time_zone)
    first_day = recheck.started_at.astimezone(zone).date()
    low, likely, high = (
        # The meter may have been read days before: nothing falls due before it was made.
        day and max(day, first_day)
        for day in _by_meter(recheck, use, zone)
    )
    recheck.use_on_low, recheck.use_on, recheck.use_on_high = low, likely, high
    fallback = first_day + timedelta(days=DAYS_WITHOUT_METER)
    recheck.falls_on = min([day for day in (recheck.due_on, likely) if day], default=fallback)


def _by_meter(
    recheck: Recheck, use: VehicleUse | None, zone: ZoneInfo
) -> tuple[date | None, date | None, date | None]:
    if recheck.due_use_si is None or use is None or use.last_at is None:
        return None, None, None
    last_day = use.last_at.astimezone(zone).date()
    if use.last_use_si is not None and use.last_use_si >= recheck.due_use_si:
        return last_day, last_day, last_day
    if use.rate_likely is None or use.rate_low is None or use.rate_high is None:
        return None, None, None
    rate = Rate(use.rate_low, use.rate_likely, use.rate_high)
    due = due_from_rate(
        float(last_day.toordinal()), float(use.last_use_si or 0), rate, float(recheck.due_use_si)
    )
    return (_day(due.low, last_day), _day(due.likely, last_day), _day(due.high, last_day))


def _day(ordinal: float, last_day: date) -> date | None:
    """The day of an ordinal; None where it is too far off to mean anything."""
    if not ordinal < (last_day + FURTHEST).toordinal():
        return None
    return date.fromordinal(int(ordinal))
