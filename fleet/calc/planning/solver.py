"""HiGHS, the solver: the one file that knows it. It is loaded when the first plan is made."""

from itertools import count
from math import isfinite
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fleet.calc.planning.clock import Clock
from fleet.calc.planning.model import Model

Floats = NDArray[np.float64]

#: Threads of the solver: a plan is made beside people who wait for pages.
THREADS = 1
#: It looks up after each step of the simplex method; asking each time costs more than a step.
ASKING = 10


class Solved(NamedTuple):
    """Least objective that the model proves, and the columns; None where it was cut short."""

    bound: float | None
    columns: Floats | None


class Relaxed:
    """The model without whole numbers. Solving again after a change begins where it ended."""

    def __init__(self, model: Model, seed: int) -> None:
        import highspy  # noqa: PLC0415 - only a plan needs it

        self.kinds = highspy
        self.model = model
        self.highs = highspy.Highs()
        for name, value in (
            ("output_flag", False), ("threads", THREADS), ("mip_rel_gap", 0.0),
            ("random_seed", seed % 2**31),
        ):  # fmt: skip
            self.highs.setOptionValue(name, value)
        self.highs.passModel(_filled(highspy.HighsLp(), highspy, model))

    def least(self, hold: float, clock: Clock, seconds: float | None = None) -> Solved:
        """Solve with hold work at most so late, in the time left or in `seconds`."""
        left = clock.left if seconds is None else seconds
        if left <= 0 or clock.stop_asked():
            return Solved(None, None)
        highs = self.highs
        highs.changeRowBounds(self.model.hold_row, -self.kinds.kHighsInf, hold)
        highs.setOptionValue("time_limit", highs.getRunTime() + left)
        if clock.effort.should_stop is not None:
            _ask(highs, clock)
        highs.run()
        if highs.getModelStatus() != self.kinds.HighsModelStatus.kOptimal:
            return Solved(None, None)
        columns = np.asarray(highs.getSolution().col_value)
        return Solved(highs.getInfo().objective_function_value, columns)

    def whole(self, hold: float, clock: Clock, seconds: float) -> Solved:
        """The same in whole numbers, in so many seconds at most; columns as far as it came."""
        size = len(self.model.weights)
        index, kinds = np.arange(size, dtype=np.int32), self.kinds.HighsVarType
        highs = self.highs
        highs.changeRowBounds(self.model.hold_row, -self.kinds.kHighsInf, hold)
        highs.changeColsIntegrality(size, index, np.full(size, int(kinds.kInteger), np.uint8))
        highs.setOptionValue("time_limit", highs.getRunTime() + max(min(seconds, clock.left), 0.0))
        highs.cbMipInterrupt.clear()
        highs.cbMipInterrupt.subscribe(lambda event: event.interrupt(clock.stop_asked()))
        highs.run()
        bound = float(highs.getInfo().mip_dual_bound)
        found = (
            highs.getInfo().primal_solution_status
            == self.kinds.SolutionStatus.kSolutionStatusFeasible
        )
        columns = np.asarray(highs.getSolution().col_value) if found else None
        highs.changeColsIntegrality(size, index, np.full(size, int(kinds.kContinuous), np.uint8))
        return Solved(bound if isfinite(bound) else None, columns)

    def forbid(self, columns: list[int], but: list[int]) -> None:
        """Not all of these at once, unless one of the others is there too."""
        index = np.asarray([*columns, *but], dtype=np.int32)
        value = np.asarray([1.0] * len(columns) + [-1.0] * len(but))
        self.highs.addRow(-self.kinds.kHighsInf, len(columns) - 1.0, len(index), index, value)

    def fix(self, columns: list[int], values: list[float]) -> None:
        """Hold these columns at these values from here on."""
        index, value = np.asarray(columns, dtype=np.int32), np.asarray(values, dtype=np.float64)
        self.highs.changeColsBounds(len(columns), index, value, value)

    def weigh(self, weights: list[float]) -> None:
        """Weigh the columns anew."""
        index = np.arange(len(weights), dtype=np.int32)
        self.highs.changeColsCost(len(weights), index, np.asarray(weights, dtype=np.float64))

    def loosen(self) -> None:
        """Let all columns go again."""
        size = len(self.model.weights)
        index = np.arange(size, dtype=np.int32)
        self.highs.changeColsBounds(size, index, np.zeros(size), np.ones(size))


def _ask(highs: Any, clock: Clock) -> None:
    """Let the solver ask, each so many times that it looks up from its work."""
    looked = count()
    highs.cbSimplexInterrupt.clear()
    highs.cbSimplexInterrupt.subscribe(
        lambda event: event.interrupt(next(looked) % ASKING == 0 and clock.stop_asked())
    )


def _filled(empty: Any, kinds: Any, model: Model) -> Any:
    columns = len(model.weights)
    empty.num_col_, empty.num_row_ = columns, len(model.low)
    empty.col_cost_ = np.asarray(model.weights)
    empty.col_lower_, empty.col_upper_ = np.zeros(columns), np.ones(columns)
    empty.row_lower_, empty.row_upper_ = np.asarray(model.low), np.asarray(model.high)
    matrix = empty.a_matrix_
    matrix.format_ = kinds.MatrixFormat.kRowwise
    matrix.start_ = np.asarray(model.starts, dtype=np.int32)
    matrix.index_ = np.asarray(model.columns, dtype=np.int32)
    matrix.value_ = np.asarray(model.values)
    return empty
