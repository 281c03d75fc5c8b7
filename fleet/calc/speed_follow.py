"""Does a shake follow the speed? Frequency against speed, window by window."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike, NDArray

from fleet.calc.peaks import BAND, peaks, within
from fleet.calc.samples import Even, Stretch, VibrationError, even

Floats = NDArray[np.float64]

#: Pieces in which speed is taken as one, seconds.
WINDOW, HOP = 2.0, 1.0
#: All own: a peak must hold this share; so many windows; speeds so far apart; a fit so close.
CLEAR_SHARE, FEWEST_WINDOWS, SPEED_RATIO, CLOSE = 0.3, 6, 1.2, 0.06
#: More doubt than this and nothing is said; an order further than this from whole is no wheel's.
MOST_DOUBT, WHOLE_ORDER = 0.05, 0.08
#: A window with no speed read this near, seconds, or slower than this, m/s, is left out.
_LONGEST_WAIT, _CRAWL = 3.0, 2.0
#: Frequencies can't be told closer than this share; wheels shake up to this order.
_FLOOR, _MOST_ORDER = 0.01, 3
_PADDED = 4
#: Slopes are taken over pairs of windows: enough of them, evenly chosen.
_MOST_PAIRED = 300


@dataclass(frozen=True, slots=True, eq=False)
class SpeedFollow:
    """Whether a shake follows the speed.

    Attributes
    ----------
    verdict : {"follows_wheel_speed", "stays_as_speed_falls", "unclear"}
        Stable, to translate by. Follows: balance or run-out first. Stays: axle oscillation.
        None of them is a clearance to drive.
    reason : str
        Why unclear: ``"no_clear_peak"``, ``"speed_too_even"``, ``"neither_fits"``,
        ``"cannot_tell"``, ``"order_not_whole"`` (follows something else that turns); else empty.
    doubt : float
        Weight left to the other explanation, 0 to 0.5; 1 where neither is one.
    slope : float
        Of log frequency on log speed: 1 follows, 0 stays; nan where it can't be told.
    order, hertz : float
        Medians over the windows; nan without any.
    window_speed, window_hertz : ndarray
        What it was told from, to draw: m/s and hertz.
    """

    verdict: str
    reason: str
    doubt: float
    slope: float
    order: float
    hertz: float
    window_speed: Floats
    window_hertz: Floats


def wheel_order(
    hertz: ArrayLike, speed: ArrayLike, rolling_circumference: ArrayLike
) -> NDArray[np.float64]:
    """Return how many times a turn of the wheel something shakes.

    Parameters
    ----------
    hertz : array_like
        Frequency, not below zero.
    speed : array_like
        m/s, above zero.
    rolling_circumference : array_like
        Way of one turn, metres; a rolling tire's is a few hundredths under pi times its diameter.

    Returns
    -------
    ndarray
        Near 1 points to balance or run-out, near 2 to a tire or wheel out of round twice.

    Examples
    --------
    >>> float(wheel_order(12.0, 30.0, 2.5))
    1.0
    """
    velocity, way = np.asarray(speed, dtype=float), np.asarray(rolling_circumference, dtype=float)
    for value in (velocity, way):
        if not (np.all(np.isfinite(value)) and np.all(value > 0)):
            raise ValueError("speed and rolling_circumference must be finite and above zero")
    return np.asarray(np.asarray(hertz, dtype=float) * way / velocity)


def follow_speed(
    time: ArrayLike,
    acceleration: ArrayLike,
    speed: ArrayLike,
    circumference: float,
    *,
    band: tuple[float, float] = BAND,
) -> SpeedFollow:
    """Tell whether a shake follows the speed of the wheels or stays while speed changes.

    Parameters
    ----------
    time : array_like, shape (n,)
        Seconds, rising.
    acceleration : array_like, shape (n,) or (n, axes)
        m/s², one to three axes, gravity on any.
    speed : array_like, shape (n,)
        m/s; nan where none was read (many loggers have it once a second).
    circumference : float
        Way of one turn of the wheel, metres.
    band : (float, float)
        Where to look, hertz.

    Returns
    -------
    SpeedFollow

    Raises
    ------
    VibrationError
        ``"no_speed"`` where there is none, and the codes of `fleet.calc.samples`.

    Notes
    -----
    In windows of 2 s the strongest frequency is set against speed. Two explanations are weighed:
    frequency over speed is one number, or frequency is one number; each by the mean distance of
    its windows, as Laplace errors, windows counted half as they lie half over each other. The
    lighter one's weight is the doubt. Speed has to change by a fifth at least.

    Examples
    --------
    Speed falls from 25 to 15 m/s, the shake with it, once a turn of the wheel:

    >>> time = np.arange(0, 40, 0.01)
    >>> speed = 25 - 0.25 * time
    >>> turns = np.cumsum(speed) * 0.01 / 2.4
    >>> found = follow_speed(time, np.sin(2 * np.pi * turns), speed, 2.4)
    >>> found.verdict, round(found.order, 2), round(found.slope, 2)
    ('follows_wheel_speed', 1.0, 1.0)
    """
    record = even(time, acceleration, WINDOW)
    centers, hertz, clear = _windows(record, within(band, record.rate))
    velocity = _speed_at(np.asarray(time, dtype=float), np.asarray(speed, dtype=float), centers)
    used = clear & (velocity > _CRAWL)
    velocity, hertz = velocity[used], hertz[used]
    order = wheel_order(hertz, velocity, circumference)
    if used.sum() < FEWEST_WINDOWS:
        return _unclear("no_clear_peak", velocity, hertz, order)
    low, high = np.percentile(velocity, [5, 95])
    if high < SPEED_RATIO * low:
        return _unclear("speed_too_even", velocity, hertz, order)
    return _weighed(velocity, hertz, order)


def _windows(record: Even, band: tuple[float, float]) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Middle, strongest frequency, and whether it stands out, of every window."""
    size, hop = round(WINDOW * record.rate), max(1, round(HOP * record.rate))
    steps = np.asarray(np.fft.rfftfreq(_PADDED * size, 1 / record.rate), dtype=float)
    found = [_of_stretch(stretch, size, hop, record.rate) for stretch in record.stretches]
    centers = np.concatenate([center for center, _ in found])
    density = np.concatenate([power for _, power in found])
    hertz, net, total = peaks(steps, density, size / record.rate, band)
    return centers, hertz, net >= CLEAR_SHARE * total


def _of_stretch(stretch: Stretch, size: int, hop: int, rate: float) -> tuple[Floats, Floats]:
    """Middles of a stretch's windows, and their power, all axes added."""
    if len(stretch.values) < size:
        return np.zeros(0), np.zeros((0, _PADDED * size // 2 + 1))
    pieces = sliding_window_view(stretch.values, size, axis=0)[::hop]
    ramp = np.linspace(-1, 1, size)
    level = pieces.mean(axis=-1, keepdims=True)
    tilt = (pieces @ ramp)[..., None] / (ramp @ ramp)
    shaded = (pieces - level - tilt * ramp) * np.hanning(size)
    power = np.abs(np.fft.rfft(shaded, _PADDED * size, axis=-1)) ** 2
    centers = stretch.start + (np.arange(len(pieces)) * hop + (size - 1) / 2) / rate
    return np.asarray(centers, dtype=float), np.asarray(power.sum(axis=1), dtype=float)


def _speed_at(time: Floats, speed: Floats, centers: Floats) -> Floats:
    """Speed in the middle of each window; nan where none was read near it."""
    if speed.shape != time.shape:
        raise ValueError("speed must have one value for each time")
    read = np.isfinite(time) & np.isfinite(speed)
    if not np.any(speed[read] > _CRAWL):
        raise VibrationError("no_speed")
    when, what = time[read], speed[read]
    after = np.searchsorted(when, centers)
    nearest = np.minimum(
        np.abs(when[np.minimum(after, when.size - 1)] - centers),
        np.abs(when[np.maximum(after - 1, 0)] - centers),
    )
    return np.where(nearest <= _LONGEST_WAIT, np.interp(centers, when, what), np.nan)


def _weighed(velocity: Floats, hertz: Floats, order: Floats) -> SpeedFollow:
    follows, stays = _distance(np.log(order)), _distance(np.log(hertz))
    gap = hertz.size / 2 * math.log((max(follows, stays) + _FLOOR) / (min(follows, stays) + _FLOOR))
    doubt = 1 / (1 + math.exp(min(gap, 700.0)))
    if min(follows, stays) > CLOSE:
        return _unclear("neither_fits", velocity, hertz, order)
    if doubt > MOST_DOUBT:
        return _unclear("cannot_tell", velocity, hertz, order, doubt)
    if stays < follows:
        return _said("stays_as_speed_falls", "", velocity, hertz, order, doubt)
    middle = float(np.median(order))
    nearest = min(max(round(middle), 1), _MOST_ORDER)
    if abs(middle / nearest - 1) > WHOLE_ORDER:
        return _unclear("order_not_whole", velocity, hertz, order, doubt)
    return _said("follows_wheel_speed", "", velocity, hertz, order, doubt)


def _distance(logarithm: Floats) -> float:
    """Mean distance from the median: one window gone astray weighs no more than its distance."""
    return float(np.mean(np.abs(logarithm - np.median(logarithm))))


def _unclear(
    reason: str, velocity: Floats, hertz: Floats, order: Floats, doubt: float = 1.0
) -> SpeedFollow:
    return _said("unclear", reason, velocity, hertz, order, doubt)


def _said(
    verdict: str, reason: str, velocity: Floats, hertz: Floats, order: Floats, doubt: float
) -> SpeedFollow:
    any_at_all = hertz.size > 0
    return SpeedFollow(
        verdict,
        reason,
        doubt,
        _slope(np.log(velocity), np.log(hertz)),
        float(np.median(order)) if any_at_all else math.nan,
        float(np.median(hertz)) if any_at_all else math.nan,
        velocity,
        hertz,
    )


def _slope(x: Floats, y: Floats) -> float:
    """Median slope over all pairs of windows far enough apart in speed (Theil and Sen)."""
    every = max(1, math.ceil(x.size / _MOST_PAIRED))
    x, y = x[::every], y[::every]
    one, other = np.triu_indices(x.size, 1)
    run = x[other] - x[one]
    apart = np.abs(run) > np.log(SPEED_RATIO) / 2
    if not np.any(apart):
        return math.nan
    return float(np.median((y[other] - y[one])[apart] / run[apart]))
