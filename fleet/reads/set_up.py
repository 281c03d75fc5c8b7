"""How far a new fleet has been set up, read from the records: no ticks are kept."""

from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from django.db.models import Exists, OuterRef, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.reads.days import on_each_yards_day, today_at
from fleet.reads.design_figures import DesignFigures, design_figures
from fleet.reads.designs import designs_seen
from fleet.reads.fleet_facts import FleetNow, fleet_now
from fleet.reads.people import Crew, crews
from fleet.reads.rules_seen import Seen, rules_seen
from fleet.reads.tools import standing, tools
from fleet.records.models import Inspection, Person, Recheck, Vehicle, Yard

# Never looked at, it is looked at within so many days (own).
SOON_DAYS = 30


class Stand(Enum):
    DONE = "done"
    BEGUN = "begun"
    OPEN = "open"


@dataclass(frozen=True)
class Step:
    """One step: how it stands and, in words, what the record has of it."""

    key: str
    stand: Stand
    said: str

    @property
    def done(self) -> bool:
        return self.stand is Stand.DONE


@dataclass(frozen=True)
class SetUp:
    """All steps in a sensible order; any may be taken first."""

    fleet: FleetNow
    crews: list[Crew]
    waiting: int
    figures: list[DesignFigures]
    seen: Seen | None
    steps: list[Step]

    @property
    def next(self) -> Step | None:
        return next((step for step in self.steps if not step.done), None)

    @property
    def done_count(self) -> int:
        return sum(step.done for step in self.steps)


def never_inspected(person: Person) -> QuerySet[Vehicle]:
    """Vehicles in service of which nobody has looked at a joint yet."""
    looked = Inspection.objects.filter(vehicle=OuterRef("pk"))
    in_service = Vehicle.visible_to(person).filter(status=Vehicle.Status.IN_SERVICE)
    return in_service.exclude(Exists(looked))


def set_up(person: Person, yards: list[Yard], now: datetime) -> SetUp:
    """The number of queries does not grow with the fleet."""
    fleet, figures, seen = fleet_now(), design_figures(designs_seen(person)), rules_seen()
    colleagues = list(Person.visible_to(person).filter(is_active=True))
    by_yard = crews(yards)
    waiting = sum(not each.has_usable_password() for each in colleagues)
    steps = [
        _fleet(fleet), _yards(yards), _people(len(colleagues), by_yard, waiting),
        _designs(figures), _tools(person, now), _rules(seen), _vehicles(person),
        _first_looks(person, yards, now),
    ]  # fmt: skip
    return SetUp(fleet, by_yard, waiting, figures, seen, steps)


def _stand(done: bool, begun: bool) -> Stand:
    return Stand.DONE if done else Stand.BEGUN if begun else Stand.OPEN


def _fleet(fleet: FleetNow) -> Step:
    named = bool(fleet.fleet_name)
    return Step("fleet", _stand(named, named), fleet.fleet_name or _("No name yet."))


def _yards(yards: list[Yard]) -> Step:
    text = ngettext("%(n)d yard on file.", "%(n)d yards on file.", len(yards))
    said = text % {"n": len(yards)} if yards else _("No yard yet.")
    return Step("yards", _stand(bool(yards), bool(yards)), said)


def _people(count: int, by_yard: list[Crew], waiting: int) -> Step:
    text = ngettext("%(n)d person may sign in.", "%(n)d people may sign in.", count) % {"n": count}
    if waiting:
        more = ngettext(
            "%(n)d has not chosen a password yet.", "%(n)d have not chosen a password yet.", waiting
        )
        text = f"{text} {more % {'n': waiting}}"
    enough = bool(by_yard) and not any(crew.short for crew in by_yard)
    return Step("people", _stand(enough, count > 1), text)


def _designs(figures: list[DesignFigures]) -> Step:
    if not figures:
        return Step("designs", Stand.OPEN, _("No design yet."))
    wanted, on_file = sum(len(each.all) for each in figures), sum(e.on_file for e in figures)
    text = ngettext("%(n)d design.", "%(n)d designs.", len(figures)) % {"n": len(figures)}
    more = _("%(on_file)d of %(wanted)d torque figures on file.")
    done = not any(each.missing_holds for each in figures)
    said = f"{text} {more % {'on_file': on_file, 'wanted': wanted}}"
    return Step("designs", _stand(done, True), said)


def _tools(person: Person, now: datetime) -> Step:
    rows = [(row, today_at(row.yard, now)) for row in tools(person).filter(in_use=True)]
    good = sum(standing(row, today) in ("good", "soon") for row, today in rows)
    text = ngettext("%(n)d torque tool,", "%(n)d torque tools,", len(rows)) % {"n": len(rows)}
    more = _("%(n)d in calibration.") % {"n": good}
    said = f"{text} {more}" if rows else _("No torque tool yet.")
    return Step("tools", _stand(bool(rows) and good == len(rows), bool(rows)), said)


def _rules(seen: Seen | None) -> Step:
    if seen is None:
        return Step("rules", Stand.OPEN, _("Not looked over yet."))
    if not seen.stands:
        return Step("rules", Stand.BEGUN, _("A rule has changed since they were looked over."))
    return Step("rules", Stand.DONE, _("Looked over by %(name)s.") % {"name": seen.by})


def _vehicles(person: Person) -> Step:
    count = Vehicle.visible_to(person).exclude(status=Vehicle.Status.OUT).count()
    text = ngettext("%(n)d vehicle on file.", "%(n)d vehicles on file.", count) % {"n": count}
    return Step("vehicles", _stand(count > 0, count > 0), text if count else _("No vehicle yet."))


def _first_looks(person: Person, yards: list[Yard], now: datetime) -> Step:
    soon = on_each_yards_day(yards, now, "vehicle__yard", falls_on__lte=SOON_DAYS)
    dated = Recheck.objects.filter(soon, vehicle=OuterRef("pk"), state__in=Recheck.LIVE, joint=None)
    waits = never_inspected(person).annotate(soon=Exists(dated))
    flags = list(waits.values_list("soon", flat=True))
    if not flags:
        any_there = Vehicle.visible_to(person).filter(status=Vehicle.Status.IN_SERVICE).exists()
        said = _("Every vehicle was inspected.") if any_there else _("No vehicle to look at yet.")
        return Step("first_looks", _stand(any_there, any_there), said)
    text = ngettext(
        "%(n)d vehicle was never looked at;", "%(n)d vehicles were never looked at;", len(flags)
    )
    more = _("%(due)d of them due within %(days)d days.")
    said = f"{text % {'n': len(flags)}} {more % {'due': sum(flags), 'days': SOON_DAYS}}"
    return Step("first_looks", _stand(all(flags), any(flags)), said)
