"""How fast a shake dies away after a bump: the damping ratio, with its standard error."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import least_squares

from fleet.calc.samples import FEWEST_SAMPLES, Even, VibrationError, clean, even

Floats = NDArray[np.float64]

#: Followed for so long after its top, seconds, or until it swells again (own).
LONGEST = 8.0
#: Swells again: so much of the top, and so much over the least since.
_AGAIN_OF_TOP, _AGAIN_OF_LEAST = 0.25, 2.0
_FEWEST_PERIODS, _LEAST_FOLLOWED = 3.0, 24
#: The frequency may lie so far from the one given, as a share.
_NEAR = 0.25
#: Its top is where it first comes so near the highest; followed until a tenth is left (own).
_TOP, _LEFT = 0.95, 0.1
#: A decay must explain so much more than noise would (an F ratio), with an error under this (own).
_LEAST_F, _MOST_ERROR = 10.0, 0.2
#: Frequencies are tried in steps of a quarter of one over the time followed, or finer.
_FINE = 0.35
_STARTS = (0.003, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4)
#: Exponents are kept under this, so that a start far off overflows nothing.
_LARGEST = 50.0


class Damping(NamedTuple):
    """Damping as a share of critical, with its standard error; near 0 it does not die away."""

    ratio: float
    standard_error: float


def damping_ratio(time: ArrayLike, acceleration: ArrayLike, hertz: float) -> Damping:
    """Estimate the damping ratio of a shake from how it dies away.

    Parameters
    ----------
    time : array_like, shape (n,)
        Seconds, rising; uneven steps and missing samples are borne.
    acceleration : array_like, shape (n,) or (n, axes)
        m/s², one to three axes, gravity on any.
    hertz : float
        Its frequency, within a quarter: from `vibration.dominant_frequency`.

    Returns
    -------
    Damping
        ``(ratio, standard_error)``. A ratio not clearly above 0 is a shake that does not die
        away: it keeps itself up, or the wheels keep it up.

    Raises
    ------
    VibrationError
        ``"no_decay"`` where no dying oscillation of that frequency explains the record, and the
        codes of `fleet.calc.samples`.

    Notes
    -----
    From the top of the record on, a decaying sine with a straight line under it is fitted to the
    samples as they are, by least squares; the axes share frequency and decay. The error is the
    fit's own and takes the noise as white: a rough road has more. A shake that the road keeps
    feeding shows less damping than it has.

    Examples
    --------
    >>> time = np.arange(0, 5, 0.01)
    >>> ringing = 3 * np.exp(-0.05 * 2 * np.pi * 8 * time) * np.sin(2 * np.pi * 8 * time)
    >>> found = damping_ratio(time, 9.81 + ringing, 8.0)
    >>> round(found.ratio, 3), found.standard_error < 0.001
    (0.05, True)
    """
    if not 0 < hertz < math.inf:
        raise ValueError("hertz must be finite and above zero")
    moments, values = clean(time, acceleration)
    begin, end = _dying(even(moments, values, _FEWEST_PERIODS / hertz), hertz)
    chosen = (moments >= begin) & (moments <= end)
    when, what = moments[chosen] - begin, values[chosen]
    if when.size < FEWEST_SAMPLES or when[-1] < (_FEWEST_PERIODS - 1) / hertz:
        raise VibrationError("no_decay")
    return _fitted(when, what, 2 * math.pi * hertz)


def _dying(record: Even, hertz: float) -> tuple[float, float]:
    """When the shake is at its top, and until when it dies away from there."""
    period = max(2, round(record.rate / hertz))
    found: list[tuple[float, float, float]] = []
    for stretch in record.stretches:
        swing = _swing(stretch.values, record.rate, hertz, period)
        if swing.size == 0:
            continue
        top = int(np.argmax(swing >= _TOP * swing.max()))
        # The mean over one period is highest half a period after the hit, unless it began so.
        begin = stretch.start + (top + period / 2 if top else 0.0) / record.rate
        end = begin + (_until(swing[top:], period) + period / 2) / record.rate
        found.append((float(swing[top]), begin, min(end, begin + LONGEST)))
    if not found:
        raise VibrationError("no_decay")
    _, begin, end = max(found)
    return begin, end


def _swing(values: Floats, rate: float, hertz: float, period: int) -> Floats:
    """Swing at one frequency, the mean over one period from each sample on, all axes added."""
    turn = np.exp(-2j * math.pi * hertz * np.arange(len(values)) / rate)
    total = np.cumsum((values - values.mean(axis=0)) * turn[:, None], axis=0)
    total = np.concatenate([np.zeros((1, values.shape[1])), total])
    mean = (total[period:] - total[:-period]) / period
    return np.asarray(np.sqrt(np.sum(np.abs(mean) ** 2, axis=1)))


def _until(swing: Floats, period: int) -> int:
    """How many samples it dies away for: until little is left, or until it swells again."""
    least = np.minimum.accumulate(swing)
    again = (swing > _AGAIN_OF_TOP * swing[0]) & (swing > _AGAIN_OF_LEAST * least)
    over = again | (swing < _LEFT * swing[0])
    over[: max(round(_FEWEST_PERIODS * period), _LEAST_FOLLOWED)] = False
    return int(over.argmax()) if over.any() else swing.size


def _fitted(when: Floats, what: Floats, omega: float) -> Damping:
    def residual(parameters: Floats) -> Floats:
        decay, turn = parameters * omega
        fall = np.exp(np.clip(-decay * when, None, _LARGEST))
        basis = np.column_stack(
            [fall * np.cos(turn * when), fall * np.sin(turn * when), np.ones_like(when), when]
        )
        inside, _ = np.linalg.qr(basis)
        return np.asarray((what - inside @ (inside.T @ what)).ravel())

    bounds = [(-_NEAR, 1 - _NEAR), (2.0, 1 + _NEAR)]
    pitch = _pitch(when, what, omega)
    begin = min(_STARTS, key=lambda start: float(np.sum(residual(np.array([start, pitch])) ** 2)))
    best = least_squares(residual, [begin, pitch], bounds=bounds)
    rest, free = 2 * best.cost, what.size - 2 - 4 * what.shape[1]
    gained = _about_a_line(when, what) - rest
    if free <= 0 or gained < _LEAST_F * (2 + 2 * what.shape[1]) * rest / free:
        raise VibrationError("no_decay")
    spread = np.linalg.pinv(best.jac.T @ best.jac) * (rest / free)
    decay, turn = best.x
    whole = math.hypot(decay, turn)
    slope = np.array([turn**2, -decay * turn]) / whole**3
    found = Damping(float(decay / whole), float(np.sqrt(slope @ spread @ slope)))
    if np.any(best.active_mask) or found.standard_error > _MOST_ERROR:
        raise VibrationError("no_decay")
    return found


def _pitch(when: Floats, what: Floats, omega: float) -> float:
    """Frequency to start from, as a share of `omega`: the strongest within a quarter of it."""
    steps = math.ceil(_FINE * omega * float(when[-1])) + 3
    shares = np.linspace(1 - _NEAR, 1 + _NEAR, steps)[1:-1]
    turns = np.exp(-1j * omega * shares[:, None] * when)
    power = np.sum(np.abs(turns @ (what - what.mean(axis=0))) ** 2, axis=1)
    return float(shares[power.argmax()])


def _about_a_line(when: Floats, what: Floats) -> float:
    """Squares left by a straight line alone: gravity, and a slow tilt."""
    inside, _ = np.linalg.qr(np.column_stack([np.ones_like(when), when]))
    return float(np.sum((what - inside @ (inside.T @ what)) ** 2))
