"""The tops of many smooth hills in the plane at once, by Newton's method that never steps down."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fleet.calc.spells import Codes, Floats
from fleet.calc.weibull_rows import Slope

#: The last step would gain less than this, in log likelihood.
_GAIN = 1e-11
#: A step that promises less is taken unseen: rounding may hide that it gains.
_TRUSTED = 1e-6
_MOST_STEPS = 80
#: A step goes this far at most in each direction: the shape not over threefold.
_LONGEST = np.array([1.1, 3.0])
_LEAST_BEND, _SMALLEST = 1e-9, 1e-10


class Top(NamedTuple):
    """Where the tops are (b, 2), how high, the second derivatives, and which were reached."""

    theta: Floats
    value: Floats
    hessian: Floats
    reached: NDArray[np.bool_]


def climb(hill: Callable[[Floats, Codes], Slope], start: Floats) -> Top:
    """Find the tops of many hills.

    Parameters
    ----------
    hill : callable
        ``hill(theta, which)`` gives height and derivatives of hills `which` (indices, (a,)) at
        their `theta`, (a, 2).
    start : ndarray, shape (b, 2)
        At a place of finite height.

    Notes
    -----
    Where a hill is hollow, its second derivatives are turned over far enough to point up. A step
    that does not gain is tried again at a quarter of its length.
    """
    theta, count = start.copy(), len(start)
    value, gradient, hessian = hill(theta, np.arange(count))
    step, gain = _steps(gradient, hessian)
    length, reached = np.ones(count), np.isfinite(value) & (gain < _GAIN)
    active = np.flatnonzero(~reached & np.isfinite(value))
    for _ in range(_MOST_STEPS):
        if active.size == 0:
            break
        there = theta[active] + length[active, None] * step[active]
        found = hill(there, active)
        wanted = value[active] + 1e-4 * length[active] * gain[active]
        better = (found.value >= wanted) | (np.isfinite(found.value) & (gain[active] < _TRUSTED))
        now = active[better]
        theta[now], value[now] = there[better], found.value[better]
        gradient[now], hessian[now] = found.gradient[better], found.hessian[better]
        step[now], gain[now] = _steps(gradient[now], hessian[now])
        length[now] = 1.0
        length[active[~better]] /= 4
        reached[now] = gain[now] < _GAIN
        active = active[~reached[active] & (length[active] > _SMALLEST)]
    theta[reached] += step[reached]
    return Top(theta, value + np.where(reached, gain / 2, 0.0), hessian, reached)


def _steps(gradient: Floats, hessian: Floats) -> tuple[Floats, Floats]:
    """Newton's steps and what they promise to gain, twice."""
    a, b, d = -hessian[:, 0, 0], -hessian[:, 0, 1], -hessian[:, 1, 1]
    middle, spread = (a + d) / 2, np.hypot((a - d) / 2, b)
    least = _LEAST_BEND * (np.abs(middle) + spread)
    low = middle - spread
    # Up to the size of the hollow, so that the step is no wilder than on a hill as steep.
    lift = np.where(low < least, least - low + np.abs(low), 0.0)
    a, d = a + lift, d + lift
    flat = a * d - b * b
    with np.errstate(divide="ignore", invalid="ignore"):
        step = np.stack(
            [
                (d * gradient[:, 0] - b * gradient[:, 1]) / flat,
                (a * gradient[:, 1] - b * gradient[:, 0]) / flat,
            ],
            axis=1,
        )
        step /= np.maximum(np.max(np.abs(step) / _LONGEST, axis=1, keepdims=True), 1.0)
    step = np.where(np.isfinite(step), step, 0.0)
    return step, np.sum(step * gradient, axis=1)
