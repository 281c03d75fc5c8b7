"""Meter readings made into stretches of use: cleaned, joined over resets, cut to one length."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

#: More than this a day, in metres or seconds, is a slip of the pen: 2,500 km, a day of 24 h.
MOST_PER_DAY = {"mi": 2_500_000.0, "km": 2_500_000.0, "h": 86_400.0}
NEIGHBORS = 2


@dataclass(frozen=True, slots=True)
class Track:
    """Use along observed time: what lies across a reset is cut out of both.

    Attributes
    ----------
    day : ndarray of float64, shape (n,)
        Calendar day of each reading, rising.
    time, use : ndarray of float64, shape (n,)
        Days observed and use (metres or seconds) since the first reading, both never falling.
    """

    day: Floats
    time: Floats
    use: Floats


def clean_readings(days: ArrayLike, meters: ArrayLike) -> tuple[Floats, Floats]:
    """Check, sort by day and keep the last reading of each day.

    Raises
    ------
    ValueError
        If the two differ in shape or hold something not finite.
    """
    day = np.asarray(days, dtype=np.float64)
    meter = np.asarray(meters, dtype=np.float64)
    if day.ndim != 1 or day.shape != meter.shape:
        raise ValueError("days and meters must be one-dimensional and of one length")
    if not (np.isfinite(day).all() and np.isfinite(meter).all()):
        raise ValueError("days and meters must be finite")
    if (day[1:] > day[:-1]).all():
        return day, meter
    order = np.argsort(day, kind="stable")
    day, meter = day[order], meter[order]
    last = np.append(day[1:] > day[:-1], True)[: day.size]
    return day[last], meter[last]


def drop_slips(
    day: Floats, meter: Floats, resets: Floats, most_per_day: float
) -> tuple[Floats, Floats]:
    """Leave out a single reading that is too high or too low for both its neighbors.

    A meter that falls was misread once or was replaced. If it goes on rising when one of the two
    readings is left out, that one was misread; if not, both stay, and the fall is a replacement
    that nobody recorded. A last reading that nobody can have driven to is left out too.
    """
    if day.size > 1 and meter[-1] - meter[-2] > most_per_day * (day[-1] - day[-2]):
        crossed = _crosses(day[-2:], resets)[0]
        day, meter = (day, meter) if crossed else (day[:-1], meter[:-1])
    if day.size <= NEIGHBORS:
        return day, meter
    fell = (meter[1:] < meter[:-1]) & ~_crosses(day, resets)
    if not fell.any():
        return day, meter
    before = np.concatenate(([-np.inf], meter[:-2]))
    after = np.concatenate((meter[2:], [np.inf]))
    first_wrong = fell & (before <= meter[1:])
    second_wrong = fell & (meter[:-1] <= after)
    keep = np.ones(day.size, dtype=bool)
    keep[:-1] &= ~first_wrong
    keep[1:] &= ~second_wrong
    return day[keep], meter[keep]


def track(day: Floats, meter: Floats, resets: Floats, most_per_day: float) -> Track:
    """Join the increments that can be believed; cut out resets, falls and impossible speeds."""
    spent, used = day[1:] - day[:-1], meter[1:] - meter[:-1]
    sound = (used >= 0) & (used <= most_per_day * spent) & ~_crosses(day, resets)
    time, use = np.zeros(day.size), np.zeros(day.size)
    np.where(sound, spent, 0.0).cumsum(out=time[1:])
    np.where(sound, used, 0.0).cumsum(out=use[1:])
    return Track(day, time, use)


def _crosses(day: Floats, resets: Floats) -> NDArray[np.bool_]:
    """Return which gaps between readings hold a reset; one on a reading's day was before it."""
    if not resets.size:
        return np.zeros(max(day.size - 1, 0), dtype=bool)
    seen = np.searchsorted(np.sort(resets), day, side="right")
    return np.diff(seen) > 0


@dataclass(frozen=True, slots=True)
class Stretches:
    """Pieces of a track, each from a reading to the first one at least `horizon` days on.

    Attributes
    ----------
    rate, length : ndarray of float64, shape (k,)
        Use a day, and days.
    end_day : ndarray of float64, shape (k,)
        Calendar day on which each ends.
    step : float
        Mean days between the starts of neighbors; overlapping pieces tell less than they count.
    """

    rate: Floats
    length: Floats
    end_day: Floats
    step: float


def cut(piece: Track, horizon: float) -> Stretches:
    """Cut a track into overlapping stretches of at least `horizon` observed days."""
    until = piece.time.searchsorted(piece.time + horizon - 1e-9, side="left")
    start = (until < piece.time.size).nonzero()[0]
    end = until[start]
    length = piece.time[end] - piece.time[start]
    start, end, length = start[length > 0], end[length > 0], length[length > 0]
    rate = (piece.use[end] - piece.use[start]) / length
    covered = piece.time[end[-1]] - piece.time[start[0]] if start.size else 0.0
    return Stretches(rate, length, piece.day[end], float(covered / max(start.size, 1)))
