"""Finds against what was expected: rates, groups, shrinkage, evidence and causes.

Examples
--------
Nine finds where checks led to expect four, and what remains after many nights' looking:

>>> float(rate_outliers(9, 4.0).ratio), float(e_value(9, 4.0).round(1))
(2.25, 5.5)
"""

from fleet.calc.clusters.counts import ClusterError
from fleet.calc.clusters.evidence import RATIOS, e_bh, e_value, e_value_among
from fleet.calc.clusters.expected import expected_events, spent_hazard, weibull_hazard
from fleet.calc.clusters.groups import LEAST_RATIO, RatesCompared, compare_rates, group_dispersion
from fleet.calc.clusters.helped import Helped, Posterior, Verdict, did_it_help, posterior
from fleet.calc.clusters.rates import RateTest, benjamini_hochberg, rate_outliers
from fleet.calc.clusters.shrinking import Shrunk, Spread, shrink_rates, vehicle_spread
from fleet.calc.clusters.worsening import Worsening, e_value_worsening

__all__ = [
    "LEAST_RATIO",
    "RATIOS",
    "ClusterError",
    "Helped",
    "Posterior",
    "RateTest",
    "RatesCompared",
    "Shrunk",
    "Spread",
    "Verdict",
    "Worsening",
    "benjamini_hochberg",
    "compare_rates",
    "did_it_help",
    "e_bh",
    "e_value",
    "e_value_among",
    "e_value_worsening",
    "expected_events",
    "group_dispersion",
    "posterior",
    "rate_outliers",
    "shrink_rates",
    "spent_hazard",
    "vehicle_spread",
    "weibull_hazard",
]
