"""What a pattern found by statistics is about, beside the rest: looks, curves, finds."""

from dataclasses import dataclass, field

from django.db.models import F, Q, QuerySet
from django.utils.translation import gettext

from fleet.pictures.plots import Plot
from fleet.reads.patterns.chances import figure
from fleet.reads.patterns.curves import Beside, Look, beside_plot, curve_of, looks
from fleet.reads.patterns.kinds import WORSENING, about
from fleet.records.models import Exposure, Pattern, Person, Recheck, Vehicle

#: A picture is drawn of so many vehicles at most, the same ones each time (own).
MOST_VEHICLES = 150
_SHORT = 20


@dataclass(frozen=True)
class Group:
    """Looks at what stands out, and both curves; `drawn_of` where some stand for all."""

    seen: list[Look] = field(default_factory=list)
    beside: Beside | None = None

    @property
    def drawn_of(self) -> int:
        return self.beside.most if self.beside else 0


def group_of(pattern: Pattern) -> Group:
    """Three queries, or none for a pattern that is about no checks."""
    own = about(pattern)
    if own is None:
        return Group()
    mine = Exposure.objects.filter(own)
    rest = Exposure.objects.exclude(own).filter(
        joint__kind__in=mine.order_by().values("joint__kind")
    )
    if pattern.statistic.get("clock"):
        rest = rest.filter(clock=pattern.statistic["clock"])
    here = _every(int(pattern.statistic.get("vehicles") or 1))
    there = _every(Vehicle.objects.count())
    seen = looks(_thinned(mine, here))
    curve = curve_of(seen)
    if curve is None:
        return Group(seen)
    others = curve_of(looks(_thinned(rest, there)))
    return Group(seen, Beside(curve, others, MOST_VEHICLES if max(here, there) > 1 else 0))


def _every(vehicles: int) -> int:
    return max(1, -(-vehicles // MOST_VEHICLES))


def _thinned(rows: QuerySet[Exposure], every: int) -> QuerySet[Exposure]:
    """Every so manyth vehicle: which ones hangs on nothing that was found."""
    if every == 1:
        return rows
    return rows.annotate(nth=F("vehicle_id") % every).filter(nth=0)


def group_plot(group: Group, name: str) -> Plot | None:
    """The picture; `name` is that of the group, left away where it is long."""
    if group.beside is None:
        return None
    called = name if 0 < len(name) <= _SHORT else gettext("what stands out")
    return beside_plot(
        group.beside, "pattern-finds", _says(group.beside), (called, gettext("the rest"))
    )


def _says(beside: Beside) -> str:
    at = beside.both
    told = {"due": figure(at), "here": figure(beside.group.at(at)[0])}
    if beside.rest is None:
        text = gettext(
            "By the time %(due)s finds were to be expected on a vehicle, %(here)s were found."
        )
        return text % told
    told["rest"] = figure(beside.rest.at(at)[0])
    if beside.group.units == 1:
        told["here"] = str(round(beside.group.at(at)[0]))
        return alone(told)
    text = gettext(
        "By the time %(due)s finds were to be expected on a vehicle, %(here)s were found where "
        "the pattern is, and %(rest)s on the rest."
    )
    return text % told


def alone(told: dict[str, str]) -> str:
    """The same of one vehicle or one joint: whole finds here, a mean on the rest."""
    text = gettext(
        "By the time %(due)s finds were to be expected here, %(here)s were found; on the rest "
        "%(rest)s on average."
    )
    return text % told


def finds_of(pattern: Pattern, person: Person) -> QuerySet[Exposure]:
    """The finds it rests on, newest first, in the reader's yards."""
    own = about(pattern)
    rows = Exposure.visible_to(person)
    if own is None:
        return rows.none()
    rows = rows.filter(own & _counted(pattern)).order_by("-finding__occurred_at", "-finding")
    return rows.select_related("finding", "joint__kind", "vehicle", "turning__tool", "part")


def finds_in_all(pattern: Pattern) -> int:
    """How many there are wherever they are."""
    own = about(pattern)
    return 0 if own is None else Exposure.objects.filter(own & _counted(pattern)).count()


def _counted(pattern: Pattern) -> Q:
    """Found loose, and weighed; of a vehicle that gets worse those since it does."""
    found = Q(loose=True, expected__isnull=False)
    if pattern.kind == WORSENING:
        found &= Q(finding__in=pattern.evidence.get("findings", []))
    return found


def missed_of(pattern: Pattern, person: Person) -> QuerySet[Recheck]:
    """Rechecks that a pattern of missed ones is about, newest first, in the reader's yards."""
    rows = Recheck.visible_to(person).filter(pk__in=pattern.evidence.get("rechecks", []))
    return rows.order_by("-fell_due_at", "-pk").select_related("vehicle", "joint__kind")
