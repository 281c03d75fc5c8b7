"""What patterns are about, by name: a tool, a lot, a practice, a yard, a joint.

Names are looked up for many patterns together, and only in the reader's yards: what lies
elsewhere is called so and not named.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.reads.history.labels import practice_of
from fleet.records.models import (
    Duty,
    Joint,
    Pattern,
    Person,
    ThreadCondition,
    TorqueSpec,
    TorqueTool,
    Vehicle,
    Yard,
)

Statistic = Mapping[str, Any]

#: A member as it stands within a sentence.
_AS: dict[str, Any] = {
    "joint": _("the joint %(name)s"),
    "tool": _("torque tool %(name)s"),
    "lot": _("lot %(name)s"),
    "part": _("part %(name)s"),
    "practice": _("the way of tightening (%(name)s)"),
    "yard": _("the yard %(name)s"),
    "yard_duty": "%(name)s",
    "vehicle": _("vehicle %(name)s"),
}


@dataclass(frozen=True)
class Names:
    """By label, the names of ids that the reader may know."""

    by_label: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def of(self, label: str, member: str) -> str:
        """'AB-07', 'K-2231 (TBK-14)', 'plow duty at Alder'; empty where it may not be named."""
        match label:
            case "lot":
                number, _bar, lot = member.partition("|")
                return f"{lot} ({number})"
            case "part":
                return member
            case "practice":
                return practice_words(member)
            case "yard_duty":
                yard, _bar, duty = member.partition("|")
                place = self._known("yard", yard)
                said = {"duty": duty_words(duty), "yard": place}
                return gettext("%(duty)s duty at %(yard)s") % said if place else ""
            case _:
                return self._known(label, member)

    def called(self, label: str, member: str) -> str:
        """The same with what it is: 'torque tool AB-07'."""
        name = self.of(label, member)
        if not name:
            return gettext("something at a yard that is not yours")
        return str(_AS.get(label, "%(name)s")) % {"name": name}

    def _known(self, label: str, member: str) -> str:
        return self.by_label.get(label, {}).get(member, "")


def duty_words(duty: str) -> str:
    return str(Duty(duty).label) if duty in Duty.values else duty


def practice_words(practice: str) -> str:
    """'factory, dry' as a mechanic says it: whose figure, and the threads as they were."""
    origins = {
        TorqueSpec.Origin.FACTORY.value: gettext("factory figure"),
        TorqueSpec.Origin.SHOP.value: gettext("shop figure"),
    }
    threads = {
        ThreadCondition.DRY.value: gettext("threads dry"),
        ThreadCondition.OILED.value: gettext("threads oiled"),
        ThreadCondition.ANTI_SEIZE.value: gettext("anti-seize on the threads"),
        ThreadCondition.THREADLOCKER.value: gettext("threadlocker on the threads"),
    }
    words = {**origins, **threads}
    return ", ".join(words.get(one, one) for one in practice.split(", "))


def practices() -> list[tuple[str, str]]:
    """Every way of tightening there is: as it is kept, and as a mechanic says it."""
    kept = [
        practice_of(origin, threads)
        for origin in TorqueSpec.Origin.values
        for threads in ThreadCondition.values
    ]
    return [(one, practice_words(one)) for one in kept]


def names_for(patterns: Iterable[Pattern], person: Person) -> Names:
    """Names of all that these patterns mention; a query for each label that is mentioned."""
    wanted: dict[str, set[str]] = defaultdict(set)
    for pattern in patterns:
        for label, member in mentioned(pattern.statistic):
            wanted["yard" if label == "yard_duty" else label].add(member.partition("|")[0])
    return Names({
        "tool": _tools(wanted["tool"]), "yard": _yards(person, wanted["yard"]),
        "joint": _joints(person, wanted["joint"]),
        "vehicle": _vehicles(person, wanted["vehicle"]),
    })  # fmt: skip


def mentioned(statistic: Statistic) -> list[tuple[str, str]]:
    """Every (label, member) in a pattern's figures: its own, and those beside it."""
    found = [statistic] if statistic.get("label") else []
    found += [*statistic.get("explains", []), *statistic.get("not_told_apart", [])]
    if statistic.get("explained_by"):
        found.append(statistic["explained_by"])
    return [(str(one["label"]), str(one["member"])) for one in found]


def _ids(members: set[str]) -> list[int]:
    return [int(one) for one in members if one.isdecimal()]


def _tools(members: set[str]) -> dict[str, str]:
    """Tools are lent between yards and stand on torque records everywhere: all have a name."""
    rows = TorqueTool.objects.filter(pk__in=_ids(members)) if members else []
    return {str(row.pk): row.code for row in rows}


def _yards(person: Person, members: set[str]) -> dict[str, str]:
    rows = Yard.visible_to(person).filter(pk__in=_ids(members)) if members else []
    return {str(row.pk): row.name for row in rows}


def _joints(person: Person, members: set[str]) -> dict[str, str]:
    if not members:
        return {}
    rows = Joint.visible_to(person).filter(pk__in=_ids(members)).select_related("kind", "vehicle")
    return {
        str(row.pk): gettext("%(joint)s, on %(unit)s")
        % {"joint": row.name, "unit": row.vehicle.unit_number}
        for row in rows
    }


def _vehicles(person: Person, members: set[str]) -> dict[str, str]:
    rows = Vehicle.visible_to(person).filter(pk__in=_ids(members)) if members else []
    return {str(row.pk): row.unit_number for row in rows}
