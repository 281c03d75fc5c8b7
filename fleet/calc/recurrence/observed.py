"""Events of many units, each watched from its own start to its own end; checked once, here."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

#: Fewer events than this say nothing of a trend (own).
FEWEST_EVENTS = 4
#: Units a group needs before its spread can be judged (own).
FEWEST_UNITS = 5

#: Plain words for each stable code. Callers that translate look up the code, not the words.
MESSAGES: dict[str, str] = {
    "no_events": "no events: nothing to count",
    "too_few_events": f"fewer than {FEWEST_EVENTS} events that tell of a trend",
    "too_few_units": f"a group has fewer than {FEWEST_UNITS} units",
    "gap": "for a while nobody was watched, and events come after it",
    "never_together": "the two groups were never watched at the same time with an event",
    "no_spread": "the events show no spread that a test could use",
    "no_power_law": "no power law fits: the events lie too close to where watching starts or ends",
}


class RecurrenceError(ValueError):
    """Too little data for an answer; `code` is a key of `MESSAGES`, to translate by."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(MESSAGES[code])

    def __reduce__(self) -> tuple[type["RecurrenceError"], tuple[str]]:
        return type(self), (self.code,)


@dataclass(frozen=True, slots=True, eq=False)
class Observed:
    """Checked arrays: unit and time of each event; start and end of each unit's watch."""

    unit: Ints
    time: Floats
    start: Floats
    end: Floats


def observed(
    unit: ArrayLike, time: ArrayLike, unit_end: ArrayLike, unit_start: ArrayLike | None = None
) -> Observed:
    """Check events against the watch of their units.

    Raises
    ------
    ValueError
        For shapes that don't fit, values not finite, a unit that there is not, a watch that does
        not end after it starts, or an event outside its unit's watch (start, end].

    Examples
    --------
    >>> observed([0, 0], [1.0, 5.0], [5.0, 7.0]).start
    array([0., 0.])
    """
    end = np.asarray(unit_end, dtype=np.float64)
    start = np.zeros_like(end) if unit_start is None else np.asarray(unit_start, dtype=np.float64)
    when, whose = np.asarray(time, dtype=np.float64), np.asarray(unit)
    if whose.size == 0:
        whose = whose.astype(np.intp)
    _check_shapes(whose, when, start, end)
    whose = whose.astype(np.intp, copy=False)
    if whose.size and not (whose.min() >= 0 and whose.max() < end.size):
        raise ValueError("unit must be an index into unit_end")
    if np.any(when > end[whose]) or np.any(when <= start[whose]):
        raise ValueError("time must lie after unit_start and not after unit_end of its unit")
    return Observed(whose, when, start, end)


def _check_shapes(unit: NDArray[np.generic], time: Floats, start: Floats, end: Floats) -> None:
    if unit.ndim != 1 or unit.shape != time.shape:
        raise ValueError("unit and time must be one-dimensional and of one length")
    if end.ndim != 1 or end.shape != start.shape or end.size == 0:
        raise ValueError(
            "unit_end and unit_start must be one-dimensional, of one length, not empty"
        )
    if not np.issubdtype(unit.dtype, np.integer):
        raise ValueError("unit must hold whole numbers")
    if not (np.isfinite(time).all() and np.isfinite(start).all() and np.isfinite(end).all()):
        raise ValueError("times must be finite")
    if np.any(end <= start):
        raise ValueError("unit_end must be later than unit_start")


def by_unit(unit: Ints, units: int) -> Ints:
    """Return the order that puts events unit by unit and keeps them as they are within one.

    Sixteen bits at a time, as NumPy sorts those in linear time.

    >>> by_unit(np.array([2, 0, 2, 1]), 3)
    array([1, 3, 0, 2])
    """
    order = (unit & 0xFFFF).astype(np.uint16).argsort(kind="stable")
    for shift in range(16, max(units - 1, 1).bit_length(), 16):
        high = (unit[order] >> shift & 0xFFFF).astype(np.uint16)
        order = order[high.argsort(kind="stable")]
    return order
