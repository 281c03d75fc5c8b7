"""Paths through the plane of Weibull lives along which one figure of interest stays as it is.

A quantile, a scale, a survival and a shape are all fixed by one equation between ``(log k, c)``
(see `fleet.calc.weibull_rows`): a path. The best life on a path, as its figure moves, is the
profile likelihood.
"""

from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np

from fleet.calc.spells import Floats
from fleet.calc.weibull_rows import NEVER_BEFORE


class Bend(NamedTuple):
    """A path at one place: `theta` (2,), its first and second derivative along the path, and how
    it moves with the log of the figure (2,)."""

    theta: Floats
    first: Floats
    second: Floats
    moves: Floats


class Path(Protocol):
    """A figure of a life; `figure` is its log, `at` runs along the path."""

    def at(self, figure: float, along: float) -> Bend:
        """Where the path of this figure is, at this place along it."""

    def figure_of(self, theta: Floats) -> Floats:
        """The figure's log at each of many lives (b, 2)."""

    def along_of(self, theta: Floats) -> float:
        """Where along its path a life is."""


@dataclass(frozen=True, slots=True)
class Shape:
    """The shape itself: the path runs over ``c / (1 + k)``, which moves little as shapes grow
    (where the scale stands still) and as they fall (where `c` nearly does)."""

    def at(self, figure: float, along: float) -> Bend:
        k = np.exp(figure)
        theta, moves = np.array([figure, (1 + k) * along]), np.array([1.0, k * along])
        return Bend(theta, np.array([0.0, 1 + k]), np.zeros(2), moves)

    def figure_of(self, theta: Floats) -> Floats:
        return theta[:, 0]

    def along_of(self, theta: Floats) -> float:
        return float(theta[1] / (1 + np.exp(theta[0])))


def _hazard_on_top(log_k: Floats, age_x: float, until_x: Floats) -> tuple[Floats, Floats]:
    """Log of ``until**k - age**k``, and which share of ``until**k`` that is."""
    k = np.exp(log_k)
    share = -np.expm1(-k * np.minimum(until_x - age_x, NEVER_BEFORE))
    return k * until_x + np.log(share), share


@dataclass(frozen=True, slots=True)
class Hazard:
    """The hazard from `age` until a use: minus the log of the share of those still tight at `age`
    that are tight then. The path runs over log shapes. Uses are logs about the centre."""

    age_x: float
    until_x: float

    def at(self, figure: float, along: float) -> Bend:
        return _bend(self.age_x, self.until_x, figure, along, np.array([0.0, 1.0]))

    def figure_of(self, theta: Floats) -> Floats:
        reach, _ = _hazard_on_top(theta[:, 0], self.age_x, np.array(self.until_x))
        return reach + theta[:, 1]

    def along_of(self, theta: Floats) -> float:
        return float(theta[0])


@dataclass(frozen=True, slots=True)
class Quantile:
    """The use after `age` over which the hazard comes to a given one; at age 0 and hazard 1 the
    scale. The path runs over log shapes. Uses are logs about the centre."""

    age_x: float
    log_hazard: float

    def at(self, figure: float, along: float) -> Bend:
        until = float(np.logaddexp(self.age_x, figure))
        k = np.exp(along)
        share = -np.expm1(-k * min(until - self.age_x, NEVER_BEFORE))
        moves = np.array([0.0, -k / share * np.exp(figure - until)])
        return _bend(self.age_x, until, self.log_hazard, along, moves)

    def figure_of(self, theta: Floats) -> Floats:
        k, reach = np.exp(theta[:, 0]), self.log_hazard - theta[:, 1]
        until = np.logaddexp(k * self.age_x, reach) / k
        with np.errstate(divide="ignore"):
            return np.asarray(until + np.log(-np.expm1(self.age_x - until)))

    def along_of(self, theta: Floats) -> float:
        return float(theta[0])


def _bend(age_x: float, until_x: float, log_hazard: float, along: float, moves: Floats) -> Bend:
    """Along log shapes, with the level that gives the hazard."""
    k, gap = np.exp(along), min(until_x - age_x, NEVER_BEFORE)
    share = -np.expm1(-k * gap)
    left = gap * (1 - share) / share
    level = log_hazard - k * until_x - np.log(share)
    by_k, by_k_twice = -until_x - left, gap * left / share
    first = np.array([1.0, k * by_k])
    second = np.array([0.0, k * by_k + k * k * by_k_twice])
    return Bend(np.array([along, level]), first, second, moves)
