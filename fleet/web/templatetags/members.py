"""Tools, lots and ways of tightening, and what a sweep over one came to, in words."""

from typing import Any
from urllib.parse import urlencode

from django import template
from django.urls import reverse

from fleet.papers.sweep_table import touched_by as by_what
from fleet.reads.patterns.members import practice_words
from fleet.reads.sweeps.progress import BECAME
from fleet.records.models import Pattern, Sweep, SweepJoint

register = template.Library()


@register.filter
def practice(kept: str) -> str:
    return practice_words(kept)


@register.filter
def touched_by(row: Any) -> str:
    return by_what(row)


@register.filter
def came_to(row: Any) -> str:
    """A joint of a sweep: what became of it."""
    return str(BECAME[row.became])


@register.filter
def stands(kept: str) -> str:
    return str(SweepJoint.Stands(kept).label)


@register.filter
def sweep_of(pattern: Pattern) -> str:
    """The address of a new sweep over what a pattern is about; empty where there is none."""
    label, member = pattern.statistic.get("label", ""), str(pattern.statistic.get("member", ""))
    if label not in Sweep.Of.values:
        return ""
    number, _bar, lot = member.partition("|")
    said = {"of": label} | ({"number": number, "lot": lot} if label == "lot" else {label: member})
    return f"{reverse('sweep_new')}?{urlencode(said)}"
