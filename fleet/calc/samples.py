"""Samples of an accelerometer made even: gravity and gaps taken out, nothing made up.

A record is cut where samples are missing for longer than a spline may bridge; each stretch is
put on an even grid by a cubic spline through its samples. Only `fleet.calc.vibration` and
`fleet.calc.decay` load this, as SciPy's interpolation is large.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline

Floats = NDArray[np.float64]

MOST_AXES, _TABLE = 3, 2
FEWEST_SAMPLES = 16
#: Slower than this a wheel's shake can't be told from what folds onto it.
SLOWEST_RATE = 25.0
#: Gaps up to this are bridged, seconds: half a period at 10 Hz. At least four steps.
BRIDGED, BRIDGED_SAMPLES = 0.05, 4.5
#: Of the time from first to last sample, this much must lie in stretches that can be used.
LEAST_COVERED = 0.5

#: Plain words for each stable code. Callers that translate look up the code, not the words.
MESSAGES: dict[str, str] = {
    "too_few_samples": "too few samples",
    "too_slow": f"fewer than {SLOWEST_RATE:g} samples a second",
    "too_short": "no stretch without gaps is long enough",
    "gaps": "samples are missing over more than half of the record",
    "time_backwards": "time goes back",
    "still": "nothing moves in this record",
    "no_decay": "no decaying oscillation found at this frequency",
    "no_speed": "no speed where the wheels turn",
}


class VibrationError(ValueError):
    """A record that nothing can be said of; `code` is a key of `MESSAGES`, to translate by."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(MESSAGES[code])

    def __reduce__(self) -> tuple[type["VibrationError"], tuple[str]]:
        return type(self), (self.code,)


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A part of a record without gaps: its first moment (s) and even samples (n, axes)."""

    start: float
    values: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Even:
    """A record on an even grid: samples a second, and its stretches in order."""

    rate: float
    stretches: tuple[Stretch, ...]


def clean(time: ArrayLike, acceleration: ArrayLike) -> tuple[Floats, Floats]:
    """Return the samples that are whole, as (n,) seconds and (n, axes) m/s².

    Raises
    ------
    ValueError
        For shapes that don't fit.
    VibrationError
        ``"time_backwards"``, ``"too_few_samples"``, ``"still"``.

    Notes
    -----
    Samples that are not finite are left out, and so is a second sample at one moment.

    Examples
    --------
    >>> moments, values = clean(np.arange(20) / 50, [[n % 2, np.nan if n == 3 else 1]
    ...                                              for n in range(20)])
    >>> moments.size, values.shape
    (19, (19, 2))
    """
    moments, values = np.asarray(time, dtype=float), np.asarray(acceleration, dtype=float)
    values = values[:, None] if values.ndim == 1 else values
    if moments.ndim != 1 or values.ndim != _TABLE or len(values) != len(moments):
        raise ValueError("acceleration must have one row for each time")
    if not 1 <= values.shape[1] <= MOST_AXES:
        raise ValueError(f"acceleration must have 1 to {MOST_AXES} axes")
    whole = np.isfinite(moments) & np.all(np.isfinite(values), axis=1)
    moments, values = moments[whole], values[whole]
    steps = np.diff(moments)
    if np.any(steps < 0):
        raise VibrationError("time_backwards")
    first = np.concatenate([[True], steps > 0])[: moments.size]
    moments, values = moments[first], values[first]
    if moments.size < FEWEST_SAMPLES:
        raise VibrationError("too_few_samples")
    if not np.any(np.ptp(values, axis=0) > 0):
        raise VibrationError("still")
    return moments, values


def even(time: ArrayLike, acceleration: ArrayLike, shortest: float) -> Even:
    """Put a record on an even grid, cut at its gaps.

    Parameters
    ----------
    time : array_like, shape (n,)
        Seconds, rising; uneven, with samples missing.
    acceleration : array_like, shape (n,) or (n, axes)
        m/s², gravity on any axis.
    shortest : float
        Stretches shorter than this many seconds are left out.

    Raises
    ------
    VibrationError
        Also where gaps leave less than half of the record: ``"gaps"``.

    Examples
    --------
    >>> time = np.delete(np.arange(500) / 50, slice(200, 230))
    >>> found = even(time, np.sin(time), shortest=2.0)
    >>> found.rate, [len(stretch.values) for stretch in found.stretches]
    (50.0, [200, 270])
    """
    moments, values = clean(time, acceleration)
    step = float(np.median(np.diff(moments)))
    rate = 1 / step
    if rate < SLOWEST_RATE - 1e-6:
        raise VibrationError("too_slow")
    rate = round(rate, 3)
    bridged = max(BRIDGED, BRIDGED_SAMPLES * step)
    cuts = np.flatnonzero(np.diff(moments) > bridged) + 1
    parts = zip(np.split(moments, cuts), np.split(values, cuts), strict=True)
    stretches = [_gridded(when, what, rate) for when, what in parts if _spans(when, shortest)]
    if not stretches:
        raise VibrationError("too_short" if moments[-1] - moments[0] < shortest else "gaps")
    covered = sum(len(stretch.values) for stretch in stretches) / rate
    if covered < LEAST_COVERED * (moments[-1] - moments[0]):
        raise VibrationError("gaps")
    return Even(rate, tuple(stretches))


def _spans(when: Floats, shortest: float) -> bool:
    return when.size >= FEWEST_SAMPLES and float(when[-1] - when[0]) >= shortest - 1e-9


def _gridded(when: Floats, what: Floats, rate: float) -> Stretch:
    count = int(np.floor((when[-1] - when[0]) * rate + 1e-6)) + 1
    grid = when[0] + np.arange(count) / rate
    spline = CubicSpline(when - when[0], what)
    return Stretch(float(when[0]), np.asarray(spline(grid - when[0])))
