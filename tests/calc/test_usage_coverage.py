"""How often the true day lies between low and high, over generated fleets.

Three kinds of use: steady (five days a week, lognormal miles, the work changing by a quarter
every two months), seasonal (the same, down to 15 % for more than half the year) and gappy (the
steady one, read every 18 days on average, now and then not for two months).
Asked for a target 100 to 6,000 miles on, 80 % wanted; held here: steady 83 %, seasonal 86 %,
gappy 81 %, of 380 to 400 answers each.
"""

import numpy as np
import pytest
from numpy.typing import NDArray

from fleet.calc.usage import Due, date_when_due

MILE = 1609.344
DAYS = 1300
VEHICLES = 50
TARGETS = np.array([100.0, 500.0, 2500.0, 6000.0]) * MILE

Floats = NDArray[np.float64]


def use_by_day(kind: str, rng: np.random.Generator) -> Floats:
    day = np.arange(DAYS)
    works = (day + rng.integers(7)) % 7 < 5
    changing = np.exp(np.repeat(rng.normal(0, 0.25, DAYS // 60 + 1), 60)[:DAYS])
    miles = rng.uniform(20, 160) * rng.lognormal(-0.18, 0.6, DAYS) * works * changing
    if kind == "seasonal":
        miles *= np.where((day + rng.integers(365)) % 365 < 170, 1.0, 0.15)
    return np.asarray(np.cumsum(miles) * MILE, dtype=np.float64)


def days_read(kind: str, rng: np.random.Generator) -> NDArray[np.int_]:
    gaps = rng.exponential(18, DAYS) + 1 if kind == "gappy" else rng.integers(4, 11, DAYS)
    days = np.cumsum(gaps).astype(int)
    return np.asarray(days[days < DAYS])


def day_reached(use: Floats, target: float) -> float:
    after = int(np.searchsorted(use, target))
    return float(np.interp(target, use[after - 1 : after + 1], [after - 1, after]))


def share_covered(kind: str) -> tuple[float, int]:
    rng = np.random.default_rng(20261125)
    held = []
    for _ in range(VEHICLES):
        use, read = use_by_day(kind, rng), days_read(kind, rng)
        for today in rng.integers(90, 1000, 2):
            days = read[read <= today]
            for target in use[days[-1]] + TARGETS:
                answer = date_when_due(days, use[days], target, float(today))
                if isinstance(answer, Due) and target < use[-1]:
                    held.append(answer.low <= day_reached(use, target) <= answer.high)
    return float(np.mean(held)), len(held)


@pytest.mark.parametrize("kind", ["steady", "seasonal", "gappy"])
def test_the_true_day_lies_inside_about_as_often_as_wanted(kind: str) -> None:
    covered, asked = share_covered(kind)
    # Answers of one vehicle hang together: 50 vehicles give about 5 points of spread.
    assert asked > 350
    assert 0.70 <= covered <= 0.92
