"""Designs and joint kinds by name, as forms offer them."""

from fleet.reads.joints import GROUPS
from fleet.records.models import Design, JointKind


def designs() -> list[tuple[int, str]]:
    return [(design.pk, f"{design.name}, {design.make}") for design in Design.objects.all()]


def joint_kinds() -> list[tuple[str, list[tuple[int, str]]]]:
    """In the order of the walk, group by group."""
    found: dict[str, list[tuple[int, str]]] = {code: [] for code in GROUPS}
    for kind in JointKind.objects.all():
        found.setdefault(kind.group, []).append((kind.pk, kind.name))
    return [(str(GROUPS.get(code, code)), rows) for code, rows in found.items() if rows]
