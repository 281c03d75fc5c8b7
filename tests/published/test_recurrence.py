"""Published recurrent events, p-values and rates, and the answers that belong to them.

Each row's source, and whether it was read or computed, stands at the head of its table.
"""

import numpy as np
import pytest

from fleet.calc.clusters import benjamini_hochberg, compare_rates
from fleet.calc.recurrence import (
    fit_power_law,
    laplace_trend,
    mean_cumulative_function,
    mil_hdbk_189_trend,
    unbiased_shape,
)
from tests.published.tables import rows
from tests.support.events import Events, from_rows


@pytest.fixture(scope="module")
def valve_seats() -> Events:
    """Nelson's valve seats, 41 engines (read)."""
    table = rows("valve_seat.csv")
    return from_rows([(row["engine"], float(row["days"]), row["event"] == "end") for row in table])


@pytest.fixture(scope="module")
def amsaa() -> Events:
    """AMSAA TR-138, three systems over 200 h (read)."""
    table = rows("amsaa_tr138.csv")
    return from_rows(
        [(row["system"], float(row["time_hours"]), False) for row in table],
        {row["system"]: 200.0 for row in table},
    )


def test_the_valve_seats_have_48_replacements_on_41_engines(valve_seats: Events) -> None:
    assert (valve_seats.time.size, valve_seats.end.size) == (48, 41)


def test_the_mean_cumulative_function_of_the_valve_seats(valve_seats: Events) -> None:
    """Computed from the published data; Nelson's printed table was not read."""
    found = mean_cumulative_function(*valve_seats.arguments)
    table = rows("valve_seat_mcf_computed.csv")
    assert found.time.tolist() == [float(row["age_days"]) for row in table]
    np.testing.assert_allclose(found.value, [float(row["mcf"]) for row in table], atol=6e-7)
    error = [float(row["se_lawless_nadeau"]) for row in table]
    np.testing.assert_allclose(np.sqrt(found.variance), error, atol=6e-7)


def test_the_power_law_of_amsaa_tr_138(amsaa: Events) -> None:
    """0.461 and 0.615 as published (from memory, unverified); more digits computed."""
    fit = fit_power_law(*amsaa.arguments)
    assert (round(fit.rate, 3), round(fit.shape, 3)) == (0.461, 0.615)
    assert fit.rate == pytest.approx(0.460547, abs=5e-7)
    assert fit.shape == pytest.approx(0.615336, abs=5e-7)
    assert unbiased_shape(fit.shape, 36) == pytest.approx(0.598244, abs=1e-6)
    # With one end for all, the variance of log shape is exactly 1 / n.
    assert fit.covariance[0, 0] == pytest.approx(1 / 36)


def test_both_trend_tests_see_amsaa_improve(amsaa: Events) -> None:
    """The handbook's chi-square is 2 n over the shape: a relation of MIL-HDBK-189."""
    handbook = mil_hdbk_189_trend(*amsaa.arguments)
    assert handbook.chi2 == pytest.approx(2 * 36 / 0.615336, rel=1e-6)
    assert handbook.degrees == 72
    assert handbook.p < 0.01
    assert laplace_trend(*amsaa.arguments).z < -2


def test_benjamini_and_hochberg_reject_four_of_fifteen() -> None:
    """JRSS B 57, 289-300, and adjusted values of SciPy's documentation (read)."""
    table = rows("bh1995.csv")
    adjusted = benjamini_hochberg([float(row["p"]) for row in table])
    np.testing.assert_allclose(adjusted, [float(row["bh_adjusted"]) for row in table], atol=5e-9)
    assert [int(value <= 0.05) for value in adjusted] == [int(row["bh_reject"]) for row in table]


def test_two_poisson_rates() -> None:
    """11 in 800 against 21 in 3,011 (data from memory, unverified; answers computed, exact)."""
    given = [11, 21], [800, 3011], [True, False], [0, 0]
    found = compare_rates(*given)
    assert found.ratio == pytest.approx(1.971488, abs=5e-7)
    assert compare_rates(*given, method="minlike").p == pytest.approx(0.0796686, abs=5e-8)
    assert (found.low, found.high) == pytest.approx((0.858426, 4.277266), abs=5e-7)
    assert found.expected == pytest.approx(6.7174, abs=5e-5)
