"""What is owed, and how far through its interval each thing is at the yard's date."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import F, Q, QuerySet
from django.utils.text import capfirst
from django.utils.translation import gettext, ngettext

from fleet.calc.calendar import local_date, share_used
from fleet.calc.rates import FEWEST_READINGS, SHORTEST_HISTORY
from fleet.reads.days import on_each_yards_day, today_at, zone_of
from fleet.reads.intervals.today import STANDING
from fleet.reads.joint_mark import mark_now, word_now
from fleet.reads.rules import RuleNow, rules, settings_now
from fleet.records.models import Person, Recheck, Vehicle, VehicleUse, Yard

WEEK = 7
# Legal dates run on while a vehicle is laid up; retorque days stand still.
LEGAL = (Recheck.Kind.ANNUAL,)
STALE_DAYS = 45
MOST_PUT_OFF = 30


def owed(person: Person) -> QuerySet[Recheck]:
    """Every live recheck in scope, first to fall due first; none of a vehicle that has left."""
    return owed_or_done(person).filter(state__in=Recheck.LIVE)


def owed_or_done(person: Person) -> QuerySet[Recheck]:
    """The same in every state: for a list that asks for each state apart (due_parts.py)."""
    rows = Recheck.visible_to(person)
    # Asked of the vehicles apart, so that counting a long list needs no join.
    left = Vehicle.objects.filter(status=Vehicle.Status.OUT)
    rows = rows.exclude(vehicle__in=left.values("pk"))
    return with_all_shown(rows).order_by("falls_on", "id")


def with_all_shown(rows: QuerySet[Recheck]) -> QuerySet[Recheck]:
    """What a line of the due list shows, in the same query."""
    return rows.select_related(
        "vehicle__yard", "vehicle__use", "joint__kind", "joint__state", "assigned_to",
        "vehicle__design", "put_off_by",
    )  # fmt: skip


def overdue(rows: QuerySet[Recheck], yards: list[Yard], now: datetime) -> QuerySet[Recheck]:
    """Past its date at its yard, past its meter, or already written down as missed."""
    return rows.filter(_late(yards, now))


def due_this_week(rows: QuerySet[Recheck], yards: list[Yard], now: datetime) -> QuerySet[Recheck]:
    soon = on_each_yards_day(yards, now, "vehicle__yard", falls_on__lte=WEEK)
    return rows.filter(soon).exclude(_late(yards, now))


def later(rows: QuerySet[Recheck], yards: list[Yard], now: datetime) -> QuerySet[Recheck]:
    """Neither late nor due within a week: what falls on a day after that is late only where it was
    missed, as its kept day is never after the date or the reading that makes it late."""
    soon = on_each_yards_day(yards, now, "vehicle__yard", falls_on__gt=WEEK)
    return rows.filter(soon).exclude(state=Recheck.State.MISSED)


def stale_vehicles(now: datetime) -> QuerySet[Vehicle]:
    """In service, and the meter not read for longer than the fleet's own limit."""
    days = int(settings_now().get("stale_meter_days", STALE_DAYS))
    never = Q(use__isnull=True) | Q(use__last_at__isnull=True)
    old = Q(use__last_at__lt=now - timedelta(days=days))
    return Vehicle.objects.filter(never | old, status=Vehicle.Status.IN_SERVICE)


def _late(yards: list[Yard], now: datetime) -> Q:
    by_date = on_each_yards_day(yards, now, "vehicle__yard", due_on__lt=0)
    # Said of both sides, so that its opposite holds for a meter that was never read.
    by_meter = Q(
        due_use_si__lt=F("vehicle__use__last_use_si"), vehicle__use__last_use_si__isnull=False
    )
    runs = Q(vehicle__status=Vehicle.Status.IN_SERVICE) | Q(kind__in=LEGAL)
    return Q(state=Recheck.State.MISSED) | (runs & (by_date | by_meter))


@dataclass(frozen=True)
class DueItem:
    """One thing owed, as the due list shows it on one day."""

    recheck: Recheck
    name: str
    today: date
    share: float
    late: bool
    stale: bool
    # Which limit is likely to come first: "use" or "date".
    first: str
    # Its days stand still: it is looked at before it goes out.
    waits: bool = False

    @property
    def what(self) -> str:
        joint = self.recheck.joint
        return joint.name if joint else gettext("whole front end")

    @property
    def mark(self) -> str:
        """The shape of its joint's mark now; empty for the whole front end."""
        return mark_now(self.recheck.joint) if self.recheck.joint else ""

    @property
    def word(self) -> str:
        """What is said of its joint in place of the mark's own words."""
        return word_now(self.recheck.joint) if self.recheck.joint else ""

    @property
    def interval_use_si(self) -> int | None:
        """How far it runs by the meter."""
        if self.recheck.due_use_si is None or self.recheck.start_use_si is None:
            return None
        return self.recheck.due_use_si - self.recheck.start_use_si

    @property
    def left_si(self) -> int | None:
        """How far it still is by the meter; None where it is not owed by the meter."""
        if self.recheck.due_use_si is None:
            return None
        return self.recheck.due_use_si - (last_use_si(self.recheck.vehicle) or 0)

    @property
    def interval_days(self) -> int | None:
        if self.recheck.due_on is None:
            return None
        start = local_date(self.recheck.started_at, zone_of(self.recheck.vehicle.yard))
        return (self.recheck.due_on - start).days

    @property
    def use_lacks(self) -> str:
        """What the meter still lacks before it can tell a date; empty where it can."""
        recheck = self.recheck
        if recheck.use_on is not None or recheck.due_use_si is None:
            return ""
        return rate_lacks(recheck.vehicle)

    @property
    def not_before_use_si(self) -> int | None:
        """The meter before which a look counts for nothing, while it is not there."""
        least, use = self.recheck.not_before_use_si, last_use_si(self.recheck.vehicle)
        return least if least is not None and (use is None or use < least) else None

    @property
    def both(self) -> str:
        """Where a look and a road test are asked for: which of the two is made."""
        recheck = self.recheck
        if not recheck.road_test:
            return ""
        if recheck.looked_by_finding_id:
            return gettext("dry steer made; road test still owed")
        if recheck.driven_by_id:
            return gettext("road test passed; dry steer still owed")
        return gettext("dry steer and road test")

    @property
    def may_put_off(self) -> bool:
        """Not what is late or laid up, a legal date, or wheel nuts: those are not put off."""
        row = self.recheck
        if self.late or row.vehicle.status != Vehicle.Status.IN_SERVICE:
            return False
        if row.kind in (*LEGAL, Recheck.Kind.WHEEL_NUTS):
            return False
        return longest_put_off(row) > max(self.today, row.falls_on)

    @property
    def assigned(self) -> str:
        return self.recheck.assigned_to.name if self.recheck.assigned_to else ""


def due_items(rows: Iterable[Recheck], now: datetime) -> list[DueItem]:
    """Each recheck with its share used, judged at its own yard's date; three queries more."""
    ladders, routine = rules("ladder"), rules("routine")
    stale_days = int(settings_now().get("stale_meter_days", STALE_DAYS))
    return [_item(row, now, ladders, routine, stale_days) for row in rows]


def _item(
    row: Recheck,
    now: datetime,
    ladders: dict[str, RuleNow],
    routine: dict[str, RuleNow],
    stale_days: int,
) -> DueItem:
    vehicle = row.vehicle
    today = today_at(vehicle.yard, now)
    return DueItem(
        recheck=row,
        name=ladder_name(row, ladders, routine),
        today=today,
        share=share_of(row, vehicle, today),
        late=is_late(row, vehicle, today),
        stale=is_stale(vehicle, now, stale_days),
        first="use" if row.use_on and (not row.due_on or row.use_on < row.due_on) else "date",
        waits=vehicle.status == Vehicle.Status.LAID_UP and row.kind not in LEGAL,
    )


def ladder_name(row: Recheck, ladders: dict[str, RuleNow], routine: dict[str, RuleNow]) -> str:
    """The rule's name; a routine look is named by the vehicle's duty."""
    if row.ladder in ladders:
        return ladders[row.ladder].name
    if row.ladder == STANDING:
        return gettext("Retorque at the interval accepted for such joints")
    key = row.vehicle.duty if row.ladder == Recheck.Kind.ROUTINE else row.ladder
    if key not in routine:
        return str(capfirst(row.get_kind_display()))
    name = routine[key].name
    return name if key == row.ladder else f"{capfirst(row.get_kind_display())}: {name}"


def share_of(row: Recheck, vehicle: Vehicle, today: date) -> float:
    """How much of its interval a recheck has used, by date or by use."""
    start = local_date(row.started_at, zone_of(vehicle.yard))
    return share_used(
        start, row.due_on, today, row.start_use_si, row.due_use_si, last_use_si(vehicle)
    )


def use_of(vehicle: Vehicle) -> VehicleUse | None:
    """The state of the meter, or None where no reading was ever taken."""
    return getattr(vehicle, "use", None)


def last_use_si(vehicle: Vehicle) -> int | None:
    use = use_of(vehicle)
    return use.last_use_si if use else None


def rate_lacks(vehicle: Vehicle) -> str:
    """Why no rate of use is known, in words; empty where one is."""
    use = use_of(vehicle)
    if use is not None and use.rate_likely is not None:
        return ""
    missing = FEWEST_READINGS - (use.days_read if use else 0)
    if missing > 0:
        text = ngettext("needs %d more meter reading", "needs %d more meter readings", missing)
        return text % missing
    days = round(SHORTEST_HISTORY)
    return gettext("needs meter readings that are %(days)d days apart") % {"days": days}


def is_stale(vehicle: Vehicle, now: datetime, stale_days: int) -> bool:
    """Nobody has read the meter for so long that projections mean little."""
    if vehicle.status != Vehicle.Status.IN_SERVICE:
        return False
    use = use_of(vehicle)
    return use is None or use.last_at is None or use.last_at < now - timedelta(days=stale_days)


def longest_put_off(row: Recheck) -> date:
    """The last day it may be put off to: half its interval more, a day at least, 30 days at most
    (own). Counted from what its rule had set, so that no second time adds to it; with that it
    stays short of twice its interval, where a hold comes."""
    ruled_on, _ruled_use = row.by_rule
    start = local_date(row.started_at, zone_of(row.vehicle.yard))
    falls = min(day for day in (ruled_on, row.use_on, row.falls_on) if day is not None)
    if row.put_off_by_id is not None and ruled_on is not None:
        falls = ruled_on
    more = max((falls - start).days // 2, 1)
    return falls + timedelta(days=min(more, MOST_PUT_OFF))


def is_late(row: Recheck, vehicle: Vehicle, today: date) -> bool:
    """Past its date at the yard or its use, or written down as missed."""
    if row.state == Recheck.State.MISSED:
        return True
    if vehicle.status != Vehicle.Status.IN_SERVICE and row.kind not in LEGAL:
        return False
    use = last_use_si(vehicle)
    by_meter = row.due_use_si is not None and use is not None and use > row.due_use_si
    return by_meter or (row.due_on is not None and row.due_on < today)
