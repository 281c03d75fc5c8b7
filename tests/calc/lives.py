"""Seeded fleets with a known Weibull life, and what checks tell of it."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fleet.calc.interval import recheck_interval
from fleet.calc.life import LifeError, quantile_bound
from fleet.calc.spell_rows import spells_of_checks
from fleet.calc.spells import Spells

Floats = NDArray[np.float64]

SHAPE, SCALE = 1.3, 1000.0


def true_quantile(p: float, shape: float = SHAPE, scale: float = SCALE) -> float:
    return float(scale * (-np.log1p(-p)) ** (1 / shape))


def looked_at(
    n: int, seed: int, *, shape: float = SHAPE, scale: float = SCALE, every: float = 300.0,
    looks: int = 6, vehicles: int = 0, spread: float = 0.0,
) -> Spells:  # fmt: skip
    """Spells with `looks` checks about `every` apart; lives of one vehicle share a factor."""
    random = np.random.default_rng(seed)
    vehicle = np.arange(n) % (vehicles or n)
    own = np.exp(spread * random.standard_normal(vehicle.max() + 1))[vehicle]
    life = scale * own * random.weibull(shape, n)
    looked = every * random.uniform(0.5, 1.5, (n, looks)).cumsum(axis=1)
    lower = np.where(looked < life[:, None], looked, 0.0).max(axis=1)
    upper = np.where(looked >= life[:, None], looked, np.inf).min(axis=1)
    return Spells(lower, upper, cluster=vehicle if vehicles else None)


@dataclass(frozen=True)
class Kinds:
    """Lives known in every way: exactly, found at once, still tight, between looks, late."""

    lower: Floats
    upper: Floats
    entry: Floats

    @property
    def spells(self) -> Spells:
        return Spells(self.lower, self.upper, self.entry)


def of_every_kind(n: int, seed: int, *, late: bool = True) -> Kinds:
    random = np.random.default_rng(seed)
    life = SCALE * random.weibull(SHAPE, n)
    entry = np.where(random.random(n) < 0.4, random.uniform(0, 500, n), 0.0) * late
    life, entry = life[life > entry], entry[life > entry]
    looked = entry[:, None] + random.uniform(50, 900, (life.size, 3)).cumsum(axis=1)
    held = looked < life[:, None]
    lower = np.where(held, looked, entry[:, None]).max(axis=1)
    upper = np.where(held, np.inf, looked).min(axis=1)
    # Watched all along up to the last look; looked at once, by the middle one; or at all three.
    kind = random.choice(3, life.size)
    watched, once = (kind == 0) & ~held[:, 2], kind == 1
    lower = np.where(watched, life, np.where(once & ~held[:, 1], entry, lower))
    upper = np.where(watched, life, np.where(once & ~held[:, 1], looked[:, 1], upper))
    lower = np.where(once & held[:, 1], looked[:, 1], lower)
    upper = np.where(once & held[:, 1], np.inf, upper)
    return Kinds(lower, upper, entry)


class Checked(NamedTuple):
    """Checks of many spells, in the words of `spells_of_checks`, and those that were found."""

    spell: NDArray[np.intp]
    use: Floats
    loose: NDArray[np.bool_]
    reached: Floats
    due: Floats

    def spells(self, *, naive: bool = False) -> Spells:
        """As they should be taken; or naively, complaints at their own use."""
        due = None if naive else self.due
        return spells_of_checks(self.spell, self.use, self.loose, self.reached, due=due).spells

    def one_row_a_check(self) -> Spells:
        """As they should not be taken: each check a life of its own."""
        before = np.where(self.spell == np.roll(self.spell, 1), np.roll(self.use, 1), 0.0)
        before[0] = 0.0
        return Spells(
            np.where(self.loose, before, self.use), np.where(self.loose, self.use, np.inf)
        )


def checked(
    n: int, seed: int, *, every: float = 250.0, complaints: float = 0.0, reached: float = 2000.0
) -> Checked:
    """Check spells on schedule until today or a find; some are found by a complaint before.

    `complaints` is how many come in one scale of use, from the moment a joint gave.
    """
    random = np.random.default_rng(seed)
    life = SCALE * random.weibull(SHAPE, n)
    today = random.uniform(0.2, 1.0, n) * reached
    looks = int(2 * reached / every) + 1
    schedule = every * random.uniform(0.5, 1.5, (n, looks)).cumsum(axis=1)
    due = np.where(schedule >= life[:, None], schedule, np.inf).min(axis=1)
    wait = random.exponential(SCALE / complaints, n) if complaints else np.full(n, np.inf)
    complained = life + wait
    early = (complained < due) & (complained <= today)
    tight = (schedule < np.minimum(life, today)[:, None]) & (schedule < due[:, None])
    spell, column = np.nonzero(tight)
    found = np.flatnonzero(early | (due <= today))
    at = np.where(early, complained, due)[found]
    order = np.argsort(np.concatenate([spell, found]), kind="stable")
    return Checked(
        np.concatenate([spell, found])[order],
        np.concatenate([schedule[spell, column], at])[order],
        np.repeat([False, True], [spell.size, found.size])[order],
        today,
        np.concatenate([np.full(spell.size, np.nan), np.where(early, due, np.nan)[found]])[order],
    )


class Proposals(NamedTuple):
    """Of fleets that a recheck could be proposed for: how often it held, and the profile bound
    alone; the median proposal over the truth; and the share of fleets refused."""

    held: float
    profile_held: float
    of_truth: float
    refused: float


@dataclass(frozen=True)
class Fleets:
    """Fleets of `n` spells on so many vehicles, whose lives differ by a factor of this spread."""

    n: int
    vehicles: int
    spread: float
    target: float = 0.9
    shape: float = SHAPE

    def truth(self) -> float:
        random = np.random.default_rng(0)
        own = np.exp(self.spread * random.standard_normal(200_000))
        return float(
            np.quantile(SCALE * own * random.weibull(self.shape, own.size), 1 - self.target)
        )

    def proposals(self, fleets: int) -> Proposals:
        truth, found = self.truth(), []
        for seed in range(fleets):
            spells = looked_at(
                self.n, seed, shape=self.shape, vehicles=self.vehicles, spread=self.spread
            )
            try:
                proposed = recheck_interval(spells, self.target).value
                found.append((proposed, quantile_bound(spells, 1 - self.target)))
            except LifeError:
                continue
        proposed, profile = np.transpose(found)
        return Proposals(
            float(np.mean(proposed <= truth)), float(np.mean(profile <= truth)),
            float(np.median(proposed) / truth), 1 - len(found) / fleets,
        )  # fmt: skip
