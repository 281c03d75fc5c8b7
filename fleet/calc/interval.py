"""When to look again: as long as enough joints can be trusted to be tight, and what it costs.

A proposal only. Nobody is cleared by it, and the manufacturer's interval stands where there is
one; a shorter one costs a look, a longer one may cost more than that.
"""

import math
from dataclasses import dataclass
from typing import Literal

from scipy.special import gamma, gammainc, ndtri

from fleet.calc.life_errors import LifeError
from fleet.calc.profile import (
    check_age,
    check_share,
    log_use,
    profile_bound,
    quantile_path,
)
from fleet.calc.resampled import Weighings, weighings
from fleet.calc.spells import Spells
from fleet.calc.weibull_fit import Fitted, WeibullFit, fitted
from fleet.calc.weibull_paths import Hazard

LEAST_FINDS, LEAST_VEHICLES = 5, 5

Limit = Literal["profile", "resampled", "longest_tight", "cap"]


@dataclass(frozen=True, slots=True)
class Interval:
    """A proposed recheck.

    Attributes
    ----------
    value : float
        Use from now (from `age`) until the next look, in the unit of the spells.
    lower_bound_survival : float
        The share of joints still tight by then, at least, with the confidence asked for.
    limited_by : {"profile", "resampled", "longest_tight", "cap"}
        What it could not be longer for: the spells, the spread between vehicles, that no joint
        was ever found tight at more, or the cap.
    """

    value: float
    lower_bound_survival: float
    limited_by: Limit


def recheck_interval(
    spells: Spells,
    target: float,
    confidence: float = 0.9,
    age: float = 0.0,
    cap: float | None = None,
    *,
    seed: int = 0,
) -> Interval:
    """Propose how long joints may go until the next look.

    Parameters
    ----------
    spells : Spells
        Of one kind of joint, layout, duty and practice, one event; with the vehicle of each.
        Where `cluster` is None each spell counts as a vehicle of its own.
    target : float
        Share of joints that shall still be tight at the look, between 0 and 1.
    confidence : float
        Of the lower bound of that share, one-sided.
    age : float
        Use since turning of the joints asked about, all of them tight at it.
    cap : float, optional
        Not longer than this.
    seed : int
        Of the weighing of vehicles.

    Returns
    -------
    Interval

    Raises
    ------
    ValueError
        For shares outside 0 to 1, an `age` below 0 or a `cap` not above it.
    LifeError
        Where nothing can be proposed, with how much more it takes (`missing`):
        ``"too_few_finds"`` (5 are needed), ``"too_few_vehicles"`` (finds on 5),
        ``"past_seen"`` (no joint was found tight beyond `age`), ``"too_wide"``, and those of
        `fleet.calc.life.fit_weibull`.

    Notes
    -----
    The lower of two bounds of the use ``x`` over which ``S(age + x) / S(age)`` falls to `target`:
    by profile likelihood, and by weighing vehicles anew (`fleet.calc.resampled`). It never
    reaches past the longest use at which a joint was found tight, since beyond it the curve is
    the formula's word alone.

    At the bench: more finds move the bound towards the best guess; looks at longer use move the
    limit of what was seen. A joint that was found loose tells more than ten that were tight, but
    only if somebody had looked before.

    Examples
    --------
    >>> tight, loose = [0, 1, 2, 3, 3, 4, 4, 5, 5, 5], [1, 3, 4, 4, 5, 5] + [math.inf] * 4
    >>> spells = Spells([1000.0 * x for x in tight], [1000.0 * x for x in loose],
    ...                 cluster=["T-1", "T-2", "T-3", "T-4", "T-5"] * 2)
    >>> found = recheck_interval(spells, 0.9)
    >>> round(found.value, -1), round(found.lower_bound_survival, 3), found.limited_by
    (540.0, 0.9, 'profile')
    >>> recheck_interval(spells, 0.9, cap=200).limited_by
    'cap'
    >>> recheck_interval(Spells([0, 500, 900], [400, 800, math.inf]), 0.9)
    Traceback (most recent call last):
    fleet.calc.life_errors.LifeError: too few finds (have 2, need 5)
    """
    check_share(target, "target")
    check_share(confidence, "confidence")
    check_age(age)
    if cap is not None and not cap > 0:
        raise ValueError("cap must be above 0")
    seen = _enough(spells, age)
    fit = fitted(spells)
    weighed = weighings(spells, fit, seed=seed)
    limits = _limits(fit, weighed, target, confidence, age)
    limits["longest_tight"] = seen
    if cap is not None:
        limits["cap"] = cap
    limited_by = min(limits, key=lambda name: limits[name])
    value = limits[limited_by]
    if not value > 0:
        raise LifeError("too_wide")
    if limited_by in ("profile", "resampled"):
        return Interval(value, target, limited_by)
    return Interval(value, _least_tight(fit, weighed, confidence, age, value), limited_by)


def _enough(spells: Spells, age: float) -> float:
    """How far beyond `age` joints were found tight; refused where too little is known."""
    if spells.finds < LEAST_FINDS:
        raise LifeError("too_few_finds", spells.finds, LEAST_FINDS)
    if spells.vehicles_with_finds < LEAST_VEHICLES:
        raise LifeError("too_few_vehicles", spells.vehicles_with_finds, LEAST_VEHICLES)
    if spells.longest_tight <= age:
        raise LifeError("past_seen", spells.longest_tight, age)
    return spells.longest_tight - age


def _limits(
    fit: Fitted, weighed: Weighings, target: float, confidence: float, age: float
) -> dict[Limit, float]:
    """The use that each of the two bounds allows."""
    path = quantile_path(fit, 1 - target, age)
    logs: dict[Limit, float] = {
        "profile": profile_bound(fit, path, -float(ndtri(confidence))),
        "resampled": weighed.figure(path, confidence, "lower"),
    }
    return {name: math.exp(log + fit.rows.centre) for name, log in logs.items()}


def _least_tight(
    fit: Fitted, weighed: Weighings, confidence: float, age: float, use: float
) -> float:
    """The lower of the two bounds of the share still tight after a use."""
    path = Hazard(log_use(age, fit), log_use(age + use, fit))
    most = max(
        profile_bound(fit, path, float(ndtri(confidence))),
        weighed.figure(path, confidence, "upper"),
    )
    return math.exp(-math.exp(most))


@dataclass(frozen=True, slots=True)
class CostOptimum:
    """The cheapest interval: use until the work is done anyhow, and what a unit of use then costs;
    beside it what it costs to wait until it gives."""

    value: float
    cost_rate: float
    cost_rate_without: float


@dataclass(frozen=True, slots=True)
class NoOptimum:
    """No finite interval is cheapest.

    Attributes
    ----------
    reason : {"shape", "costs"}
        The longer it held the longer it holds (a shape not above 1), so that work before it gives
        buys nothing; or planned work costs as much as unplanned. Stable, to translate by.
    """

    reason: Literal["shape", "costs"]


def cost_optimal_interval(
    fit: WeibullFit, planned_cost: float, unplanned_cost: float
) -> CostOptimum | NoOptimum:
    """Find the interval of planned work that costs least in the long run.

    Parameters
    ----------
    fit : WeibullFit
        Of lives that begin anew with each work.
    planned_cost, unplanned_cost : float
        Of the work at its time, and of what comes when it gives before: any one currency.

    Returns
    -------
    CostOptimum or NoOptimum
        Costs per unit of use.

    Raises
    ------
    ValueError
        If a cost is not finite and above 0.

    Notes
    -----
    Replacement by age: cost per use ``(p S(T) + u (1 - S(T))) / integral of S up to T``. With a
    rising hazard the only minimum is where ``h(T) * integral - F(T) = p / (u - p)``, found by
    bisection. A cost says nothing of safety: on a joint that can hurt somebody the interval is
    `recheck_interval`'s, not this.

    References
    ----------
    Barlow, R. E., Hunter, L. (1960). Optimum preventive maintenance policies. Operations
    Research 8, 90-100 (from memory, unverified).

    Examples
    --------
    >>> import numpy as np
    >>> fit = WeibullFit(2.5, 1000.0, np.eye(2), -1.0, 9.0)
    >>> found = cost_optimal_interval(fit, 1, 5)
    >>> round(found.value, 1), round(found.cost_rate, 4)
    (493.0, 0.0035)
    >>> cost_optimal_interval(WeibullFit(0.9, 1000.0, np.eye(2), -1.0, 9.0), 1, 5)
    NoOptimum(reason='shape')
    """
    if not (0 < planned_cost < math.inf and 0 < unplanned_cost < math.inf):
        raise ValueError("costs must be finite and above 0")
    if fit.shape <= 1:
        return NoOptimum("shape")
    if planned_cost >= unplanned_cost:
        return NoOptimum("costs")
    ratio = planned_cost / (unplanned_cost - planned_cost)
    hazard = _root_of_cost(fit.shape, ratio)
    if hazard == math.inf:
        return NoOptimum("costs")
    use = hazard ** (1 / fit.shape)
    lost = -math.expm1(-hazard)
    rate = (planned_cost * (1 - lost) + unplanned_cost * lost) / _mean_use(fit.shape, hazard)
    without = unplanned_cost / gamma(1 + 1 / fit.shape)
    return CostOptimum(use * fit.scale, rate / fit.scale, float(without) / fit.scale)


def _mean_use(shape: float, hazard: float) -> float:
    """Mean use until it gives or is worked on, in scales."""
    return float(gamma(1 + 1 / shape) * gammainc(1 / shape, hazard))


def _root_of_cost(shape: float, ratio: float) -> float:
    """The cumulative hazard at the cheapest moment; infinite where no digit tells it from never."""
    low, high = math.log(1e-300), math.log(700.0)

    def short(log: float) -> bool:
        hazard = math.exp(log)
        pace = shape * hazard ** (1 - 1 / shape)
        return bool(pace * _mean_use(shape, hazard) + math.expm1(-hazard) < ratio)

    if short(high):
        return math.inf
    while high - low > 1e-14 * max(1.0, abs(high)):
        middle = (low + high) / 2
        if not low < middle < high:
            break
        low, high = (middle, high) if short(middle) else (low, middle)
    return math.exp(high)
