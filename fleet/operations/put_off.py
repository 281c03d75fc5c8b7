"""A recheck put off: only with a reason, to a day, and never past what would hold the vehicle.

What its rule had set stays on file beside the new date. A hold comes by the rule's own figures.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.calendar import local_date
from fleet.operations import projection, state
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.moves import changed_under_you
from fleet.operations.once import Request
from fleet.operations.rule_data import reason_problems
from fleet.operations.work import Done, Work, find, run
from fleet.reads.due import LEGAL, is_late, longest_put_off
from fleet.records.models import Recheck, Vehicle

# By the meter it may run on by half of its distance (own); a hold comes at twice.
MORE_USE = 0.5
NO_FURTHER = gettext_lazy("It can be put off no further: half its interval more is the most.")
FIELDS = ["due_on", "due_use_si", "ruled_on", "ruled_use_si", "put_off_by", "put_off_reason",
          *projection.FIELDS]  # fmt: skip


@dataclass(frozen=True)
class PutOff:
    """Which recheck, to which day, and why."""

    recheck_id: int
    until: date | None
    reason: str


def put_off(
    actor: Actor, said: PutOff, *, at: datetime, seen: date | None = None,
    request: Request | None = None,
) -> Done[Recheck]:  # fmt: skip
    """Put it off. `seen` is the date it fell due on when the caller looked; Conflict where that
    is another one by now."""
    actor.need("assign_work")

    def apply(work: Work) -> Recheck:
        recheck, vehicle = _owed(work, said.recheck_id, seen)
        _may(recheck, vehicle, said, at)
        before = recheck.falls_on
        if recheck.put_off_by_id is None:
            recheck.ruled_on, recheck.ruled_use_si = recheck.due_on, recheck.due_use_si
        recheck.put_off_by, recheck.put_off_reason = actor.person, said.reason.strip()
        recheck.due_on, recheck.due_use_si = said.until, _use(recheck)
        _keep(recheck, vehicle)
        if recheck.falls_on <= before:
            raise refuse("no_further", str(NO_FURTHER), field="until")
        work.trail("put_off_recheck", recheck, vehicle=vehicle, reason=said.reason.strip(),
                   **_moved(before, recheck))  # fmt: skip
        return recheck

    return run("put_off_recheck", actor, at, apply, request)


def take_put_off_back(
    actor: Actor, recheck_id: int, *, at: datetime, request: Request | None = None
) -> Done[Recheck]:
    """The date that its rule had set stands again."""
    actor.need("assign_work")

    def apply(work: Work) -> Recheck:
        recheck, vehicle = _owed(work, recheck_id, None)
        if recheck.put_off_by_id is None:
            raise changed_under_you(_("What is owed"))
        before = recheck.falls_on
        recheck.due_on, recheck.due_use_si = recheck.by_rule
        recheck.ruled_on = recheck.ruled_use_si = recheck.put_off_by = None
        recheck.put_off_reason = ""
        _keep(recheck, vehicle)
        work.trail("take_put_off_back", recheck, vehicle=vehicle, **_moved(before, recheck))
        return recheck

    return run("take_put_off_back", actor, at, apply, request)


def _moved(before: date, recheck: Recheck) -> dict[str, Any]:
    """The old date and the new, for the trail."""
    return {
        "before": {"falls_on": str(before)}, "after": {"falls_on": str(recheck.falls_on)}
    }  # fmt: skip


def _owed(work: Work, recheck_id: int, seen: date | None) -> tuple[Recheck, Vehicle]:
    """The recheck under its vehicle's lock."""
    recheck = find(Recheck, work.actor, recheck_id, _("recheck"))
    vehicle = work.lock(recheck.vehicle_id)
    recheck.refresh_from_db()
    recheck.vehicle = vehicle
    if recheck.state not in Recheck.LIVE:
        raise refuse("not_owed", _("This is no longer owed."))
    if seen is not None and seen != recheck.falls_on:
        raise changed_under_you(_("What is owed"))
    return recheck, vehicle


def _may(recheck: Recheck, vehicle: Vehicle, said: PutOff, at: datetime) -> None:
    """Refused with all that stands against it."""
    today = local_date(at, vehicle.yard.time_zone)
    _refuse_kind(recheck, vehicle, today)
    problems: list[Problem] = []
    last = longest_put_off(recheck)
    if last <= max(today, recheck.falls_on):
        raise refuse("no_further", str(NO_FURTHER), field="until")
    if said.until is None:
        message = _("Choose the day that it is put off to.")
        problems.append(Problem("day_missing", message, field="until"))
    elif not max(today, recheck.falls_on) < said.until <= last:
        words: dict[str, Any] = {
            "first": _day(max(today, recheck.falls_on) + timedelta(days=1)), "last": _day(last)
        }  # fmt: skip
        message = _("Choose a day from %(first)s to %(last)s: half its interval more, at most.")
        problems.append(Problem("day_wrong", message % words, field="until"))
    problems += reason_problems(said.reason)
    if problems:
        raise Refused(tuple(problems))


def _refuse_kind(recheck: Recheck, vehicle: Vehicle, today: date) -> None:
    if recheck.kind == Recheck.Kind.WHEEL_NUTS:
        # BS AU 50 Part 2 Sec 7a:1995: after 30 min or 25 to 50 mi (sources.md 8).
        message = _("Wheel nuts are checked within 25 to 50 mi (BS AU 50): that is not put off.")
        raise refuse("wheel_nuts", message)
    if recheck.kind in LEGAL:
        raise refuse("legal_date", _("A date that the law sets is not put off."))
    if vehicle.status != Vehicle.Status.IN_SERVICE:
        message = _("Its days stand still while it is laid up: there is nothing to put off.")
        raise refuse("laid_up", message)
    if is_late(recheck, vehicle, today):
        message = _("It is late already: look at it, or hold the vehicle.")
        raise refuse("late_already", message)


def _day(day: date) -> str:
    return str(formats.date_format(day, "DATE_FORMAT"))


def _use(recheck: Recheck) -> int | None:
    """By the meter it runs on by half its distance; counted from what the rule had set."""
    ruled, start = recheck.ruled_use_si, recheck.start_use_si
    if ruled is None or start is None:
        return ruled
    return ruled + round((ruled - start) * MORE_USE)


def _keep(recheck: Recheck, vehicle: Vehicle) -> None:
    projection.place(recheck, vehicle, getattr(vehicle, "use", None))
    recheck.save(update_fields=FIELDS)
    state.refresh([recheck.joint_id] if recheck.joint_id else [])
