"""A joint's finds beside those of joints of its kind: a sentence, and two curves."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Q
from django.utils.translation import gettext, ngettext

from fleet.pictures.plots import Plot
from fleet.reads.patterns.chances import figure
from fleet.reads.patterns.curves import Beside, Look, beside_plot, curve_of, looks
from fleet.reads.patterns.group import alone
from fleet.reads.patterns.rates import Rate, shrunk, some_vehicles
from fleet.records.models import Exposure, Joint


@dataclass(frozen=True)
class JointBeside:
    """What is said of a joint beside its kind; a picture only where it was found loose."""

    sentence: str
    rate: Rate | None
    picture: Plot | None
    table: list[tuple[str, str, str]]


def joint_beside(joint: Joint) -> JointBeside | None:
    """None while no check of it has been weighed; one query."""
    like = Q(joint__kind=joint.kind_id, vehicle__in=some_vehicles())
    seen = looks(Exposure.objects.filter(Q(joint=joint) | like), unit="joint")
    mine = [one for one in seen if one.unit == joint.pk]
    if not mine:
        return None
    both = _both(mine, [one for one in seen if one.unit != joint.pk])
    return JointBeside(
        _sentence(mine), _rate(seen, joint), _plot(both) if both else None,
        both.table if both else [],
    )  # fmt: skip


def _both(mine: list[Look], others: list[Look]) -> Beside | None:
    here = curve_of(mine)
    return Beside(here, curve_of(others)) if here else None


def _rate(seen: list[Look], joint: Joint) -> Rate | None:
    sums: dict[int, list[float]] = defaultdict(lambda: [0, 0.0])
    for one in seen:
        sums[one.unit][0] += one.finds
        sums[one.unit][1] += one.spent
    rows = [(unit, int(finds), due) for unit, (finds, due) in sums.items() if due > 0]
    return shrunk(rows).get(joint.pk) if rows else None


def _sentence(mine: list[Look]) -> str:
    finds, due = sum(one.finds for one in mine), sum(one.expected for one in mine)
    told = {"n": finds, "due": figure(due)}
    if not finds:
        text = gettext(
            "Not found loose at checks that can be weighed; checks like them usually make "
            "%(due)s finds."
        )
        return text % told
    text = ngettext(
        "Found loose once at checks that can be weighed, where checks like them usually make "
        "%(due)s finds.",
        "Found loose %(n)d times at checks that can be weighed, where checks like them usually "
        "make %(due)s finds.",
        finds,
    )
    return text % told


def _plot(both: Beside) -> Plot:
    at, rest = both.both, both.rest
    told = {"due": figure(at), "here": str(round(both.group.at(at)[0]))}
    if rest is None:
        says = gettext("By the time %(due)s finds were to be expected, %(here)s were found.") % told
    else:
        says = alone({**told, "rest": figure(rest.at(at)[0])})
    return beside_plot(both, "joint-finds", says, (gettext("this joint"), gettext("its kind")))
