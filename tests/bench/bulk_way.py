"""One way of bringing in, round after round beside its yardstick."""

from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import perf_counter
from typing import Any

from tests.bench.bulk_lock import Waiting
from tests.bench.bulk_twin import Twin
from tests.bench.measure import BulkRow, forget_peak, peak_mb


@dataclass
class Way:
    """A way in, and what each round of it came to."""

    name: str
    goal: float
    pairs: list[tuple[float, float]]
    rows: int = 0
    waited: float | None = None
    peak: float = 0.0

    def run(self, do: Callable[[], Any], twin: Callable[[Any], Twin]) -> None:
        forget_peak()
        with Waiting() as others:
            started = perf_counter()
            done = do()
            took = perf_counter() - started
        self.peak, self.waited = max(self.peak, peak_mb()), others.longest
        same = twin(done)
        self.rows = same.rows
        self.pairs.append((took, same.write()))

    def row(self) -> BulkRow:
        ratios = [ours / bare for ours, bare in self.pairs]
        ours, bare = (median(column) for column in zip(*self.pairs, strict=True))
        return BulkRow(self.name, self.rows, ours, bare, median(ratios), min(ratios), max(ratios),
                       self.goal, self.waited, self.peak)  # fmt: skip
