"""How often a joint is found loose beside its kind, drawn towards the kind where finds are few."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, QuerySet, Sum
from django.utils.translation import gettext

from fleet.calc.clusters import ClusterError, shrink_rates
from fleet.reads.patterns.chances import figure
from fleet.records.models import Exposure, Joint, Vehicle

#: So many vehicles tell how a kind of joint spreads; more of them tell nothing new.
MOST_VEHICLES = 200


@dataclass(frozen=True)
class Rate:
    """Finds over what checks like its own usually find, with a 95 % interval."""

    finds: int
    usual: float
    low: float
    high: float

    @property
    def in_words(self) -> str:
        ends = {"low": figure(self.low), "high": figure(self.high)}
        if ends["low"] == ends["high"]:
            return gettext("as far as can be told about %(low)s times its kind") % ends
        return gettext("as far as can be told %(low)s to %(high)s times its kind") % ends


def some_vehicles() -> QuerySet[Any]:
    """A subquery of vehicles enough to know a kind of joint by, alike for every reader."""
    return Vehicle.objects.order_by("pk").values("pk")[:MOST_VEHICLES]


def rates_of(joints: Iterable[Joint]) -> dict[int, Rate]:
    """By joint; one query. A joint with nothing to hold it against has none."""
    mine = {joint.pk: joint.kind_id for joint in joints}
    if not mine:
        return {}
    like = Q(joint__kind__in=set(mine.values()), vehicle__in=some_vehicles())
    rows = Exposure.objects.filter(Q(joint__in=mine) | like)
    sums = (
        rows.filter(spent__isnull=False).order_by().values_list("joint__kind", "joint")
        .annotate(finds=Count("pk", filter=Q(loose=True)), due=Sum("spent"))
    )  # fmt: skip
    by_kind: dict[int, list[tuple[int, int, float]]] = defaultdict(list)
    for kind, joint, finds, due in sums:
        if due > 0:
            by_kind[kind].append((joint, finds, due))
    return {
        joint: rate
        for rows_of_kind in by_kind.values()
        for joint, rate in shrunk(rows_of_kind).items()
        if joint in mine
    }


def shrunk(rows: list[tuple[int, int, float]]) -> dict[int, Rate]:
    """Of joints of one kind, each (joint, finds, hazard spent)."""
    ids, finds, due = zip(*rows, strict=True)
    try:
        found = shrink_rates(finds, due)
    except ClusterError:
        return {}
    ends = zip(ids, finds, due, found.low.tolist(), found.high.tolist(), strict=True)
    return {joint: Rate(n, usual, low, high) for joint, n, usual, low, high in ends}
