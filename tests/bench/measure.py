"""Paired runs: ours, the empty answer of the same frame, and the yardstick, one after another."""

import resource
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from django.db import connection

Run = Callable[[int], object]
WARM = 3


@dataclass(frozen=True)
class Row:
    """One line of the table; times in milliseconds."""

    name: str
    queries: int
    ours: float
    p95: float
    empty: float
    yardstick: float
    ratio: float
    low: float
    high: float
    goal: float
    peak_mb: float
    facts: int

    @property
    def met(self) -> bool:
        return self.ratio < self.goal and self.p95 < 100


@dataclass(frozen=True)
class BulkRow:
    """One line of the table; times in seconds."""

    name: str
    rows: int
    ours: float
    yardstick: float
    ratio: float
    low: float
    high: float
    goal: float
    waited: float | None
    peak_mb: float


def measure(
    name: str, ours: Run, empty: Run, yardstick: Run, *, rounds: int, goal: float, facts: int = 0,
    between: Callable[[], None] = lambda: None,
) -> Row:  # fmt: skip
    """Each round is a pair: what ours took beyond the empty answer, over what SQL took.

    `between` makes the yardstick ready from what ours did, outside the time of either.
    """
    taken = []
    for n in range(WARM + rounds):
        if n == WARM:
            forget_peak()
        mine, blank = _ms(ours, n), _ms(empty, n)
        between()
        taken.append((mine, blank, _ms(yardstick, n)))
    taken = taken[WARM:]
    peak = peak_mb()
    ours_ms, empty_ms, sql_ms = (list(column) for column in zip(*taken, strict=True))
    ratios = [(a - b) / c for a, b, c in taken]
    return Row(
        name, queries_of(ours), median(ours_ms), sorted(ours_ms)[int(0.95 * (rounds - 1))],
        median(empty_ms), median(sql_ms), median(ratios), min(ratios), max(ratios), goal, peak,
        facts,
    )  # fmt: skip


def queries_of(run: Run) -> int:
    """How many statements one run sends."""
    sent = 0

    def count(execute: Callable[..., object], *args: object) -> object:
        nonlocal sent
        sent += 1
        return execute(*args)

    with connection.execute_wrapper(count):
        run(0)
    return sent


def _ms(run: Run, n: int) -> float:
    started = time.perf_counter()
    run(n)
    return (time.perf_counter() - started) * 1000


def forget_peak() -> None:
    """Let the kernel count the peak anew from here, where it can."""
    try:
        Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
    except OSError:
        return


def peak_mb(pid: int | str = "self") -> float:
    return memory_mb("VmHWM", pid) or resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def memory_mb(what: str, pid: int | str = "self") -> float:
    """A figure of /proc/<pid>/status in megabytes; 0 where the system has no such file."""
    try:
        lines = Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines()
    except OSError:
        return 0.0
    return next((int(x.split()[1]) / 1024 for x in lines if x.startswith(f"{what}:")), 0.0)
