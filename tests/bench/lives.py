"""Lives fitted beside other libraries on the same rows: `python -m tests.bench.lives`.

Both sides are checked to say the same before they are timed; each round is a pair, one after the
other. What is generated stands in tests/calc/lives.py: five or six looks a spell, at uses nobody
shares, fifty spells a vehicle.
"""

import sys
import time
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from statistics import median

import lifelines
import numpy as np
import surpyval

from fleet.calc.interval import recheck_interval
from fleet.calc.life import Spells, fit_weibull, turnbull
from fleet.calc.turnbull_cells import Reaches, gap_to_optimum
from tests.bench.table import plain_table
from tests.calc.lives import looked_at

ROUNDS = 5
SAME = 1e-4
HEADS = ("", "rows", "ours ms", "peer ms", "times faster", "min", "max", "goal", "")
NOTE = """\
Lives. times faster: peer / ours, median of paired runs. With both bounds: the fit, its one-sided
profile bound and 200 refits by vehicle, against lifelines' fit alone. Both sides were checked to
give the same answer: shape and scale to 1e-4, and a likelihood no lower than theirs."""


@dataclass(frozen=True)
class LifeRow:
    """One line of the table; times in milliseconds."""

    name: str
    rows: int
    ours: float
    peer: float
    ratio: float
    low: float
    high: float
    goal: float
    most_ms: float | None

    @property
    def met(self) -> bool:
        return self.ratio >= self.goal and (self.most_ms is None or self.ours < self.most_ms)


def measure(
    name: str, spells: Spells, ours: Callable[[], object], peer: Callable[[], object], goal: float,
    most_ms: float | None = None, rounds: int = ROUNDS,
) -> LifeRow:  # fmt: skip
    """Time pairs; the first warms up."""
    taken = [(_ms(ours), _ms(peer)) for _ in range(rounds + 1)][1:]
    ratios = [theirs / mine for mine, theirs in taken]
    mine, theirs = (median(column) for column in zip(*taken, strict=True))
    return LifeRow(
        name, spells.lower.size, mine, theirs, median(ratios), min(ratios), max(ratios), goal,
        most_ms,
    )  # fmt: skip


def _ms(run: Callable[[], object]) -> float:
    started = time.perf_counter()
    run()
    return (time.perf_counter() - started) * 1000


def rows() -> Iterator[LifeRow]:
    for many in (10_000, 100_000):
        yield from _fits(looked_at(many, 1, vehicles=many // 50), most_ms=50.0)
    for many in (1_000, 10_000):
        yield _turnbulls(looked_at(many, 2))


def _fits(spells: Spells, most_ms: float) -> Iterator[LifeRow]:
    lower, upper = spells.lower, spells.upper

    def ours() -> object:
        return fit_weibull(lower, upper)

    def bounded() -> object:
        return recheck_interval(spells, 0.9)

    def by_lifelines() -> lifelines.WeibullFitter:
        return lifelines.WeibullFitter().fit_interval_censoring(lower, upper)

    def by_surpyval() -> surpyval.Parametric:
        return surpyval.Weibull.fit(xl=lower, xr=upper)

    fit, peer = fit_weibull(lower, upper), by_lifelines()
    _same("lifelines", (fit.shape, fit.scale), (peer.rho_, peer.lambda_))
    _no_lower("lifelines", fit.loglik, peer.log_likelihood_)
    other = by_surpyval()
    _same("surpyval", (fit.scale, fit.shape), tuple(other.params))
    _no_lower("surpyval", fit.loglik, -other.neg_ll())
    yield measure("Weibull fit, lifelines", spells, ours, by_lifelines, 20.0, most_ms)
    yield measure("Weibull fit, surpyval", spells, ours, by_surpyval, 5.0, most_ms)
    yield measure("... with both bounds, lifelines", spells, bounded, by_lifelines, 1.0)


def _turnbulls(spells: Spells) -> LifeRow:
    def ours() -> object:
        return turnbull(spells.lower, spells.upper)

    def peer() -> surpyval.NonParametric:
        return surpyval.Turnbull.fit(
            xl=spells.lower, xr=spells.upper, turnbull_estimator="Kaplan-Meier"
        )

    found, other = turnbull(spells.lower, spells.upper), peer()
    reaches = Reaches(spells)
    # No end is shared, so that mass in a cell is what its survival falls by from end to end.
    tight = np.append(other.R, 0.0)
    at = [np.searchsorted(other.x, ends) for ends in (reaches.left, reaches.right)]
    mass = tight[at[0]] - np.where(np.isinf(reaches.right), 0.0, tight[at[1]])
    gap, loglik = gap_to_optimum(reaches, mass / mass.sum())
    _no_lower("surpyval's Turnbull", found.loglik, loglik)
    print(f"  Turnbull, gap to the optimum: {found.gap:.1e}, surpyval {gap:.1e}", file=sys.stderr)
    return measure("Turnbull, surpyval", spells, ours, peer, 1.0)


def _same(peer: str, ours: tuple[float, float], theirs: tuple[float, ...]) -> None:
    if not np.allclose(ours, theirs, rtol=SAME, atol=0):
        raise SystemExit(f"{peer} says {theirs}, not {ours}")


def _no_lower(peer: str, ours: float, theirs: float) -> None:
    if ours < theirs - 1e-6 * (1 + abs(theirs)) * SAME:
        raise SystemExit(f"{peer} has a likelihood of {theirs}, above {ours}")


def table() -> str:
    with warnings.catch_warnings():
        # The peers' own, about their own code.
        warnings.simplefilter("ignore")
        return plain_table("Lives", [HEADS, *(_cells(row) for row in rows())])


def _cells(row: LifeRow) -> tuple[str, ...]:
    goal = f"> {row.goal:.0f}" + (f", < {row.most_ms:.0f} ms" if row.most_ms else "")
    return (
        row.name, f"{row.rows:,}", f"{row.ours:.1f}", f"{row.peer:.1f}", f"{row.ratio:.1f}",
        f"{row.low:.1f}", f"{row.high:.1f}", goal, "" if row.met else "not met",
    )  # fmt: skip


if __name__ == "__main__":
    print(f"{table()}\n{NOTE}")
