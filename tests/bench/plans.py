"""Plans: 2,000 pieces of work, 30 days, 6 yards, beside the plain model alone for as long.

    python -m tests.bench.plans --seconds 60 --seed 1

Seconds are those of the processor (one thread), since other work on the machine bends wall time.
"""

import argparse
import sys
import time
from math import isinf

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from fleet.calc.planning import Effort, Plan, plan_visits
from fleet.calc.planning.board import Board
from fleet.calc.planning.model import Model, apart, model_of
from fleet.calc.planning.pieces import numbered, pieces_of
from tests.bench.measure import forget_peak, peak_mb
from tests.bench.plan_ask import Ask, make
from tests.bench.table import plain_table
from tests.calc.planning.checker import broken

HEADS = ("", "processor s", "days late", "bound", "gap", "left out", "peak MB", "goal", "")
GOAL, FIRST_SECONDS = 0.01, 5.0
#: Wall seconds that one second of the processor is allowed on a busy machine.
PATIENCE = 20
NOTE = """\
Plans. days late: weighted, work left out counted as done a week after the plan. The plan names bay,
minute and person and is held against a checker of its own. The plain model knows only minutes of a
day, so its whole-number plan need not fit by the clock; HiGHS through SciPy has its time, by yards
that share people. gap: (days late - bound) / days late, each by its own bound."""

Told = list[tuple[float, float, float]]


def table(seconds: float = 60.0, seed: int = 1) -> str:
    """Plan, check, and set the plain model beside it."""
    ask = make(seed=seed)
    forget_peak()
    plan, told = planned(ask, seconds)
    peak = peak_mb()
    wrong = broken(plan, ask.work, ask.yards, ask.people, ask.days, ask.standing)
    if wrong:
        raise AssertionError(wrong)
    half = next((one for one in reversed(told) if one[0] <= seconds / 2), told[0])
    rows: list[tuple[str, ...]] = [HEADS]
    for name, (spent, late, bound) in (("first plan", told[0]), ("half the time", half)):
        rows.append(_row(name, spent, late, bound, "", 0.0, f"in {FIRST_SECONDS:.0f} s"))
    rows.append(
        _row("planned", told[-1][0], plan.objective, plan.bound, str(len(plan.unplaced)), peak,
             f"< {GOAL:.0%}")
    )  # fmt: skip
    rows.append(plain(ask, seconds))
    return plain_table(f"Plans, seed {seed}", rows)


def planned(ask: Ask, seconds: float) -> tuple[Plan, Told]:
    """Plan with so many seconds of the processor; return all that was told meanwhile."""
    started, told = time.process_time(), Told()

    def spent() -> float:
        return time.process_time() - started

    effort = Effort(
        GOAL,
        seconds * PATIENCE,
        on_progress=lambda best, bound, _: told.append((spent(), best, bound)),
        should_stop=lambda: spent() > seconds,
    )
    plan = plan_visits(ask.work, ask.yards, ask.people, ask.days, ask.standing, effort)
    return plan, told


def plain(ask: Ask, seconds: float) -> tuple[str, ...]:
    """The plain model by groups of yards, in whole numbers, by HiGHS alone."""
    asked = numbered(ask.work, ask.yards, ask.people, ask.days, ask.standing)
    board = Board(asked, pieces_of(asked))
    groups = apart(board)
    started, late, bound = time.process_time(), 0.0, 0.0
    for yards in groups:
        found = solved(model_of(board, yards), seconds / len(groups))
        late, bound = late + found[0], bound + found[1]
    return _row("plain model", time.process_time() - started, late, bound, "", 0.0, "")


def solved(model: Model, seconds: float) -> tuple[float, float]:
    """Days late and bound of one model; HiGHS counts wall time."""
    columns, rows = len(model.weights), len(model.low)
    matrix = csr_array((model.values, model.columns, model.starts), shape=(rows, columns))
    found = milp(
        model.weights,
        constraints=LinearConstraint(matrix, np.array(model.low), np.array(model.high)),
        integrality=np.ones(columns),
        bounds=Bounds(0, 1),
        options={"time_limit": seconds},
    )
    return (
        float("inf") if found.fun is None else float(found.fun),
        float(found.mip_dual_bound or 0.0),
    )


def _row(
    name: str, spent: float, late: float, bound: float, left_out: str, peak: float, goal: str
) -> tuple[str, ...]:
    gap = 1.0 if isinf(late) else (late - bound) / late if late else 0.0
    met = {"first plan": spent < FIRST_SECONDS, "planned": gap < GOAL}.get(name, True)
    return (
        name, f"{spent:.1f}", f"{late:.1f}", f"{bound:.1f}", f"{gap:.1%}", left_out,
        f"{peak:.0f}" if peak else "", goal if name != "half the time" else "",
        "" if met else "not met",
    )  # fmt: skip


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="tests.bench.plans", description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args(sys.argv[1:])
    print(f"{table(given.seconds, given.seed)}\n\n{NOTE}")
