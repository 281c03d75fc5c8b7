"""A share and its exact bounds, beside general-purpose libraries that reckon the same."""

import pytest
from scipy.stats import binomtest
from statsmodels.stats.proportion import proportion_confint

from fleet.calc.proportion import share_of

CASES = [(0, 1), (1, 1), (0, 12), (12, 12), (1, 2), (4, 20), (9, 46), (3, 2_000), (1_999, 2_000)]


@pytest.mark.parametrize(("found", "looked"), CASES)
@pytest.mark.parametrize("confidence", [0.9, 0.95, 0.99])
def test_the_bounds_are_those_of_two_libraries(found: int, looked: int, confidence: float) -> None:
    ours = share_of(found, looked, confidence)
    # SciPy (binomtest, exact) and statsmodels (beta), both Clopper and Pearson 1934.
    scipy = binomtest(found, looked).proportion_ci(confidence, method="exact")
    low, high = proportion_confint(found, looked, 1 - confidence, method="beta")
    assert (ours.low, ours.high) == pytest.approx((scipy.low, scipy.high), abs=1e-9)
    assert (ours.low, ours.high) == pytest.approx((low, high), abs=1e-9)
    assert ours.low <= ours.value == found / looked <= ours.high


@pytest.mark.parametrize(
    ("found", "looked", "confidence"), [(-1, 5, 0.9), (6, 5, 0.9), (0, 0, 0.9), (1, 5, 1.0)]
)
def test_what_cant_be_is_refused(found: int, looked: int, confidence: float) -> None:
    with pytest.raises(ValueError, match="must lie between"):
        share_of(found, looked, confidence)
