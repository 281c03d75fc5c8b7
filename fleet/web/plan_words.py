"""Yards and people of a run in words: lists, and why a yard is planned together with another."""

from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.reads.plan.shared import Sharing
from fleet.records.models import Yard

# So many of a longer list are named.
MOST_NAMES = 3


def all_of(names: Sequence[str]) -> str:
    """'Alder', 'Alder and Birch', 'Alder, Birch and Mesa Tank'."""
    if len(names) < 2:  # noqa: PLR2004
        return "".join(names)
    return _("%(names)s and %(last)s") % {"names": ", ".join(names[:-1]), "last": names[-1]}


def sharing_said(one: Sharing, yard: Yard) -> str:
    """The yard, and why it is offered beside `yard`: 'Birch: shares Dov and Petra'."""
    return _("%(yard)s: %(why)s") % {"yard": one.yard.name, "why": _why(one, yard)}


def _why(one: Sharing, yard: Yard) -> str:
    if one.crew_comes:
        return _("its crew comes from %(yard)s") % {"yard": yard.name}
    if one.crew_goes:
        return _("its crew goes to %(yard)s") % {"yard": yard.name}
    return _("shares %(people)s") % {"people": _people(one.people)}


def _people(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMES
    if more <= 0:
        return all_of(names)
    others = ngettext("%(n)s other", "%(n)s others", more) % {"n": more}
    return all_of([*names[:MOST_NAMES], others])
