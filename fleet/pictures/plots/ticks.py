"""Where an axis is marked: round figures, and the turns of years, quarters and months."""

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.dateformat import format as written
from django.utils.translation import pgettext

#: A step is one of these times a power of ten.
NICE = (1.0, 2.0, 5.0)
#: Months from one mark to the next, calmest last.
_MONTHS = (1, 3, 6, 12, 24, 60, 120, 240)
_MONTHS_IN_YEAR = 12
#: Part of a step by which an end may lie short of its mark and still count as on it.
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Tick:
    """A place on an axis and what stands beside it; `turn` marks a new year."""

    at: float
    text: str
    turn: bool = False


def nice_step(span: float, most: int, steps: Sequence[float] = ()) -> float:
    """The smallest calm step that divides `span` into fewer than `most` parts.

    Parameters
    ----------
    span : float
        From one end of the axis to the other, above zero.
    most : int
        How many marks there may be at most, two or more.
    steps : sequence of float, optional
        Steps to choose from, rising (sixteenths of an inch). Beyond the last its doubles are
        taken. Without any: 1, 2 or 5 times a power of ten.

    Examples
    --------
    >>> nice_step(97, 6), nice_step(0.35, 8, steps=(1 / 16, 1 / 8, 1 / 4))
    (20.0, 0.0625)
    """
    if not span > 0 or not math.isfinite(span):
        raise ValueError("span must be finite and above zero")
    if most < 2:  # noqa: PLR2004 - an axis has two ends
        raise ValueError("most must be 2 or more")
    least = span / (most - 1)
    if steps:
        found = next((one for one in steps if one >= least * (1 - _CLOSE)), steps[-1])
        while found < least * (1 - _CLOSE):
            found *= 2
        return float(found)
    power = 10.0 ** math.floor(math.log10(least))
    return next(one * power for one in (*NICE, 10.0) if one * power >= least * (1 - _CLOSE))


def nice_ticks(low: float, high: float, most: int, steps: Sequence[float] = ()) -> list[float]:
    """Round figures from at or below `low` to at or above `high`, `most` of them at most.

    Examples
    --------
    >>> nice_ticks(3, 97, 6)
    [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]
    >>> nice_ticks(5, 5, 4)
    [4.0, 5.0, 6.0]
    """
    if high < low:
        raise ValueError("high must not be below low")
    if high == low:
        pad = abs(low) * 0.2 or 1.0
        low, high = low - pad, high + pad
    step = nice_step(high - low, most, steps)
    while True:
        first = math.floor(low / step + _CLOSE)
        last = math.ceil(high / step - _CLOSE)
        if last - first < most:
            return [round(n * step, 12) + 0.0 for n in range(first, last + 1)]
        # The ends fall between marks: one step up makes room for both.
        step = nice_step(step * most, most, steps)


def number(value: float) -> str:
    """A figure on an axis: no more decimals than it needs, thousands set off, a true minus.

    >>> number(0.25), number(-1500), number(3.0)
    ('0.25', '−1,500', '3')
    """
    text = f"{abs(value):,.10f}".rstrip("0").rstrip(".")
    return f"−{text}" if value < 0 and text.strip("0.,") else text


def value_ticks(
    low: float,
    high: float,
    most: int,
    steps: Sequence[float] = (),
    show: Callable[[float], str] = number,
) -> list[Tick]:
    """`nice_ticks` with their words."""
    return [Tick(at, show(at)) for at in nice_ticks(low, high, most, steps)]


def day_of(day: date) -> float:
    """A date as the place it has on an axis of days.

    >>> day_of(date(2026, 1, 2)) - day_of(date(2026, 1, 1))
    1.0
    """
    return float(day.toordinal())


def date_ticks(first: date, last: date, most: int) -> list[Tick]:
    """First days of months, quarters or years between two dates, `most` of them at most.

    A span in which no such day lies is marked at its two ends.

    Examples
    --------
    >>> [tick.text for tick in date_ticks(date(2024, 3, 9), date(2026, 6, 1), 4)]
    ['Jul', '2025', 'Jul', '2026']
    >>> [tick.text for tick in date_ticks(date(2025, 11, 9), date(2026, 3, 1), 4)]
    ['Dec', '2026', 'Feb', 'Mar']
    >>> [tick.text for tick in date_ticks(date(2026, 3, 9), date(2026, 5, 9), 4)]
    ['Apr 2026', 'May']
    """
    if last < first:
        raise ValueError("last must not lie before first")
    months, found = next(
        (step, turns)
        for step in itertools.chain(_MONTHS, itertools.count(480, 240))
        if len(turns := _turns(first, last, step)) <= most
    )
    if not found:
        days = sorted({first, last})
        return [Tick(day_of(day), written(day, pgettext("date", "M j"))) for day in days]
    named = any(day.month == 1 for day in found)
    return [
        Tick(day_of(day), _turn_text(day, months, with_year=not (n or named)), day.month == 1)
        for n, day in enumerate(found)
    ]


def _turns(first: date, last: date, months: int) -> list[date]:
    count = first.year * _MONTHS_IN_YEAR + first.month - 1
    count += -count % months
    found = []
    while (day := date(count // _MONTHS_IN_YEAR, count % _MONTHS_IN_YEAR + 1, 1)) <= last:
        if day >= first:
            found.append(day)
        count += months
    return found


def _turn_text(day: date, months: int, *, with_year: bool) -> str:
    """The year at its turn; else the month, with the year where no turn of a year is marked."""
    if day.month == 1 or months >= _MONTHS_IN_YEAR:
        return str(day.year)
    # Translators: a month with and without its year, in Django's date format.
    form = pgettext("date", "M Y") if with_year else pgettext("date", "M")
    return written(day, form)
