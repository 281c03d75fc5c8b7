"""The one lock of a yard's plan, and the rules that every change of it obeys."""

from collections.abc import Iterable
from datetime import date

from django.db.models import F
from django.utils import formats
from django.utils.translation import gettext as _

from fleet.operations.errors import refuse
from fleet.operations.work import Work, not_there
from fleet.reads.days import today_at
from fleet.records.models import AwayDay, ClosedDay, LockedDay, Person, Vehicle, Yard, YardPlan

# Whatever is planned lies within so many days of today: a year typed wrong is told.
FURTHEST = 366


def lock_plan(
    work: Work, yard_id: int, vehicle_ids: Iterable[int] = (), people: Iterable[int] = ()
) -> YardPlan:
    """Move the version of the yard's plan: two schedulers come one after the other.

    Vehicles before it, in the order of their ids, as whoever pays their work locks them first;
    people too, since one person may be named by the plans of two yards.
    """
    [plan] = lock_plans(work, [yard_id], vehicle_ids, people)
    return plan


def lock_plans(
    work: Work, yard_ids: Iterable[int], vehicle_ids: Iterable[int] = (),
    people: Iterable[int] = (),
) -> list[YardPlan]:  # fmt: skip
    """The same for several yards, in the order of their ids; none where one is out of scope."""
    _hold(Vehicle, vehicle_ids)
    _hold(Person, people)
    wanted = sorted(set(yard_ids))
    yards = Yard.visible_to(work.actor.person).in_bulk(wanted)
    if len(yards) != len(wanted):
        raise not_there(_("yard"))
    rows = YardPlan.objects.filter(yard__in=wanted).order_by("yard_id")
    locked = set(rows.select_for_update().values_list("yard_id", flat=True))
    rows.update(version=F("version") + 1)
    lacking = [yards[pk].name for pk in wanted if pk not in locked]
    if lacking:
        message = _("Set the hours of %(yard)s first: nothing can be planned without them.")
        raise refuse("hours_missing", message % {"yard": lacking[0]})
    return list(rows.select_related("yard", "crew_from"))


def _hold(model: type[Vehicle] | type[Person], ids: Iterable[int]) -> None:
    """On PostgreSQL until the commit; SQLite lets one transaction write at a time anyway."""
    wanted = sorted(set(ids))
    if wanted:
        list(model.objects.filter(pk__in=wanted).order_by("pk").select_for_update().values("pk"))


def vehicle_in_scope(work: Work, vehicle_id: int) -> Vehicle:
    rows = Vehicle.visible_to(work.actor.person).select_related("yard")
    vehicle = rows.filter(pk=vehicle_id).first()
    if vehicle is None:
        raise not_there(_("vehicle"))
    return vehicle


def said_day(day: date) -> str:
    return str(formats.date_format(day, "DATE_FORMAT"))


def refuse_day(work: Work, plan: YardPlan, day: date, vehicle: Vehicle | None = None) -> None:
    """Raise Refused where nothing may be put on a day of the yard, and say why."""
    today, yard = today_at(plan.yard, work.at), plan.yard
    named = {"day": said_day(day), "yard": yard.name}
    if day < today:
        raise refuse("day_past", _("This day is over. Choose today or a later day."), field="day")
    if (day - today).days > FURTHEST:
        message = _("Choose a day within a year from today.")
        raise refuse("day_too_far", message, field="day")
    refuse_locked(plan.yard, day)
    shut = ClosedDay.objects.filter(yard=yard, day=day).first()
    if shut is not None:
        message = _("%(yard)s is shut on %(day)s: %(why)s.") % {**named, "why": shut.why}
        raise refuse("day_shut", message, field="day")
    if not plan.hours[day.weekday()]:
        message = _("%(yard)s does not work on %(day)s by its hours.") % named
        raise refuse("day_shut", message, field="day")
    if vehicle is not None:
        _refuse_away(vehicle, day)


def refuse_locked(yard: Yard, day: date, field: str = "day") -> None:
    if LockedDay.objects.filter(yard=yard, day=day).exists():
        message = _("%(day)s is locked at %(yard)s. Unlock it first, or choose another day.")
        said = message % {"day": said_day(day), "yard": yard.name}
        raise refuse("day_locked", said, field=field)


def _refuse_away(vehicle: Vehicle, day: date) -> None:
    away = AwayDay.objects.filter(vehicle=vehicle, first__lte=day, last__gte=day).first()
    if away is not None:
        message = _("%(unit)s is away from %(first)s to %(last)s. Choose another day.")
        said = {"unit": vehicle.unit_number, "first": said_day(away.first),
                "last": said_day(away.last)}  # fmt: skip
        raise refuse("vehicle_away", message % said, field="day")
