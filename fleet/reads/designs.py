"""Designs and joint kinds by name, as forms offer them."""

from collections.abc import Callable, Iterable
from typing import TypeVar

from django.db.models import QuerySet

from fleet.reads.joints import GROUPS
from fleet.records.models import Design, JointKind, Layout, Person

Thing = TypeVar("Thing")
AXES = (Layout.Axis.AXLE, Layout.Axis.LINKAGE, Layout.Axis.KNUCKLE, Layout.Axis.HUB)


def designs() -> list[tuple[int, str]]:
    return [(design.pk, f"{design.name}, {design.make}") for design in Design.objects.all()]


def designs_seen(person: Person) -> QuerySet[Design]:
    """Every design with the names of its layouts."""
    return Design.visible_to(person).select_related("axle", "linkage", "knuckle", "hub")


def layouts() -> dict[str, list[tuple[str, str]]]:
    """What a design is chosen from, by axis: code and name; one query."""
    found: dict[str, list[tuple[str, str]]] = {axis: [] for axis in AXES}
    for layout in Layout.objects.filter(axis__in=AXES):
        found[layout.axis].append((layout.code, layout.name))
    return found


def joint_kinds() -> list[tuple[str, list[tuple[int, str]]]]:
    """In the order of the walk, group by group."""
    groups = walk_groups(JointKind.objects.all(), lambda kind: kind)
    return [(name, [(kind.pk, kind.name) for kind in kinds]) for name, kinds in groups]


def walk_groups(
    rows: Iterable[Thing], kind_of: Callable[[Thing], JointKind]
) -> list[tuple[str, list[Thing]]]:
    """Rows by the group of their joint kind, in the order of the walk."""
    found: dict[str, list[Thing]] = {code: [] for code in GROUPS}
    for row in rows:
        found.setdefault(kind_of(row).group, []).append(row)
    return [(str(GROUPS.get(code, code)), group) for code, group in found.items() if group]
