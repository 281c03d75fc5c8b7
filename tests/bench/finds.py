"""The mean cumulative function beside one sort of its times, and beside a peer at 10,000 events.

    python -m tests.bench.finds

Both sides get the same arrays; ours is checked against the peer before anything is timed. The peer
(reliability, a developer's dependency) takes a list a unit, made outside its time.
"""

import importlib
import time
from collections.abc import Callable
from statistics import median

import numpy as np

from fleet.calc.recurrence import mean_cumulative_function
from tests.bench.measure import BulkRow, forget_peak, peak_mb

EVENTS_A_UNIT = 20
ROUNDS, PEER_ROUNDS = 15, 9
FEWEST_RUNS, MOST_RUNS, LONG_ENOUGH = 2, 20, 0.05
SORT_GOAL = 3.0
PEER_GOAL = 1 / 50


def rows() -> list[BulkRow]:
    """Against the sort at both sizes, and against the peer at the small one."""
    small, large = _made(10_000), _made(1_000_000)
    return [_beside_sort(small), _beside_sort(large), _beside_peer(small)]


def _made(events: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(20261128)
    end = rng.uniform(50.0, 100.0, events // EVENTS_A_UNIT)
    unit = rng.integers(end.size, size=events)
    return unit, rng.uniform(0.0, 1.0, events) * end[unit], end


def _beside_sort(made: tuple[np.ndarray, np.ndarray, np.ndarray]) -> BulkRow:
    _, times, _ = made
    return _paired(
        "finds a vehicle, beside one stable argsort", times.size,
        lambda: mean_cumulative_function(*made), lambda: times.argsort(kind="stable"),
        ROUNDS, SORT_GOAL,
    )  # fmt: skip


def _beside_peer(made: tuple[np.ndarray, np.ndarray, np.ndarray]) -> BulkRow:
    unit, times, end = made
    peer = importlib.import_module("reliability.Repairable_systems").MCF_nonparametric
    order = np.lexsort((times, unit))
    lists = np.split(times[order], np.cumsum(np.bincount(unit, minlength=end.size))[:-1])
    told = [[*each, last] for each, last in zip(lists, end, strict=True)]

    def theirs() -> np.ndarray:
        return np.asarray(peer(told, print_results=False, show_plot=False).MCF, dtype=float)

    if not np.allclose(theirs(), mean_cumulative_function(*made).value):
        raise AssertionError("the peer answers something else")
    return _paired(
        "finds a vehicle, beside reliability", times.size,
        lambda: mean_cumulative_function(*made), theirs, PEER_ROUNDS, PEER_GOAL,
    )  # fmt: skip


def _paired(
    name: str, events: int, ours: Callable[[], object], yardstick: Callable[[], object],
    rounds: int, goal: float,
) -> BulkRow:  # fmt: skip
    ours()
    forget_peak()
    taken = [(_seconds(ours), _seconds(yardstick)) for _ in range(rounds)]
    mine, other = (median(column) for column in zip(*taken, strict=True))
    ratios = [a / b for a, b in taken]
    return BulkRow(
        name, events, mine, other, median(ratios), min(ratios), max(ratios), goal, None, peak_mb()
    )


def _seconds(run: Callable[[], object]) -> float:
    """The least of a few runs, as the machine may have other work in between."""
    taken: list[float] = []
    while len(taken) < FEWEST_RUNS or (sum(taken) < LONG_ENOUGH and len(taken) < MOST_RUNS):
        started = time.perf_counter()
        run()
        taken.append(time.perf_counter() - started)
    return min(taken)


def line(row: BulkRow) -> str:
    met = "" if row.ratio < row.goal else "  not met"
    return (
        f"{row.name:<44}{row.rows:>10,}  ours {row.ours * 1e3:8.1f} ms  beside "
        f"{row.yardstick * 1e3:8.1f} ms  ratio {row.ratio:.4g} ({row.low:.4g} to {row.high:.4g})  "
        f"goal < {row.goal:g}  peak {row.peak_mb:.0f} MB{met}"
    )


if __name__ == "__main__":
    for found in rows():
        print(line(found), flush=True)
