"""Ratios, ranges and chances in plain words."""

import math
from collections.abc import Iterable, Mapping
from typing import Any

from django.utils import formats
from django.utils.translation import gettext, ngettext

from fleet.reads.patterns.kinds import MISSED, TOE_DRIFT

# From here on a tenth more or less says nothing.
_WHOLE, _TENTH, _MOST = 10, 0.1, 100
_MILLION = 1_000_000
# Loosening and wear: each is allowed its own share of false patterns.
_FAMILIES = 2


def figure(value: float) -> str:
    """A ratio or a count of finds, as finely as it can mean anything: '2.1', '14', '0.05'.

    >>> figure(2.149), figure(13.6), figure(9.96), figure(0.052), figure(2.0)
    ('2.1', '14', '10', '0.05', '2.0')
    """
    places = 0 if round(value, 1) >= _WHOLE or not value else 1 if value >= _TENTH else 2
    return formats.number_format(round(value, places), places, force_grouping=True)


def times(ratio: float) -> str:
    """'2.1 times': how often beside what is usual."""
    if ratio > _MOST:
        return gettext("more than %(n)s times") % {"n": _MOST}
    return gettext("%(n)s times") % {"n": figure(ratio)}


def between(low: float | None, high: float | None) -> str:
    """'likely between 1.5 and 2.9 times', or empty where no range was reckoned."""
    if low is None:
        return ""
    if high is None or high > _MOST:
        return gettext("likely more than %(low)s times") % {"low": figure(low)}
    ends = {"low": figure(low), "high": figure(high)}
    if ends["low"] == ends["high"]:
        return gettext("likely about %(low)s times") % ends
    return gettext("likely between %(low)s and %(high)s times") % ends


def seen_on(kind: str, statistic: Mapping[str, Any]) -> str:
    """'12 finds on 9 vehicles, where 5.7 would be usual'; empty where nothing was counted."""
    finds = int(statistic.get("observed") or 0)
    vehicles = int(statistic.get("vehicles") or 0)
    if not finds:
        return ""
    found = _counted(kind, finds)
    where = ngettext("on %(n)d vehicle", "on %(n)d vehicles", vehicles) % {"n": vehicles}
    if statistic.get("expected") is None:
        return f"{found} {where}" if vehicles else found
    usual = {"expected": figure(statistic["expected"])}
    told = gettext("where %(expected)s would be usual") % usual
    return f"{found} {where}, {told}" if vehicles else f"{found}, {told}"


def _counted(kind: str, n: int) -> str:
    if kind == MISSED:
        return ngettext("%(n)d recheck missed", "%(n)d rechecks missed", n) % {"n": n}
    if kind == TOE_DRIFT:
        return ngettext("%(n)d visit", "%(n)d visits", n) % {"n": n}
    return ngettext("%(n)d find", "%(n)d finds", n) % {"n": n}


def by_luck(log_e: float | None) -> str:
    """'at most 1 in 5,000': the chance of so much, ever, where nothing is wrong.

    >>> by_luck(math.log(5321)), by_luck(2.0), by_luck(40.0)
    ('at most 1 in 5,300', 'at most 1 in 7', 'less than 1 in a million')
    """
    if log_e is None or log_e <= math.log(2):
        return ""
    if log_e >= math.log(_MILLION):
        return gettext("less than 1 in a million")
    one_in = math.floor(math.exp(log_e))
    step = 10 ** max(len(str(one_in)) - 2, 0)
    return _at_most(one_in // step * step)


def false_share(levels: Iterable[float]) -> str:
    """'at most 1 in 20': of all that is listed, what comes by chance alone in the long run.

    `levels` are the shares allowed on each of the two clocks.

    >>> false_share([0.025, 0.025]), false_share([])
    ('at most 1 in 20', '')
    """
    most = max(levels, default=0.0)
    return _at_most(round(1 / (_FAMILIES * most))) if most > 0 else ""


def _at_most(one_in: int) -> str:
    return gettext("at most 1 in %(n)s") % {
        "n": formats.number_format(one_in, 0, force_grouping=True)
    }
