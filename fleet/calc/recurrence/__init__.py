"""Recurrent events: finds of many units, each watched from its own start to its own end.

Examples
--------
Two vehicles watched to 10,000 and 12,000 miles, three finds between them:

>>> found = mean_cumulative_function([0, 1, 1], [4.0, 5.0, 11.0], [10.0, 12.0])
>>> found.value.tolist()
[0.5, 1.0, 2.0]
"""

from fleet.calc.recurrence.mean_cumulative import (
    MeanCompared,
    MeanCumulative,
    compare_mcf,
    mean_cumulative_function,
)
from fleet.calc.recurrence.observed import RecurrenceError
from fleet.calc.recurrence.power_law import PowerLaw, fit_power_law, unbiased_shape
from fleet.calc.recurrence.trends import (
    ChiSquareTrend,
    ExpectedTrend,
    LaplaceTrend,
    expected_trend,
    laplace_trend,
    mil_hdbk_189_trend,
)

__all__ = [
    "ChiSquareTrend",
    "ExpectedTrend",
    "LaplaceTrend",
    "MeanCompared",
    "MeanCumulative",
    "PowerLaw",
    "RecurrenceError",
    "compare_mcf",
    "expected_trend",
    "fit_power_law",
    "laplace_trend",
    "mean_cumulative_function",
    "mil_hdbk_189_trend",
    "unbiased_shape",
]
