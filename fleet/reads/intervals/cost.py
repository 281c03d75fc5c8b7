"""The cheapest interval beside the safe one, where the fleet says what planned and unplanned work
cost. Where a loose joint can hold the vehicle, it is never longer than the safe one."""

from dataclasses import dataclass

import numpy as np

from fleet.calc.interval import CostOptimum, cost_optimal_interval
from fleet.calc.proposal import Offer, offer_of
from fleet.calc.units import use_from_si
from fleet.calc.weibull_fit import WeibullFit
from fleet.reads.intervals.aims import Aims
from fleet.reads.intervals.cells import Meter
from fleet.reads.intervals.today import UNITS, si
from fleet.records.models import IntervalProposal


@dataclass(frozen=True, slots=True)
class Cheapest:
    """Metres or seconds. `reason` says why there is none: "shape", "costs" or "age"; `offered_si`
    is what one acceptance may change today's interval to, None where it may not."""

    value_si: int | None
    offered_si: int | None
    reason: str = ""
    # Over the safe interval, on a joint that can hold the vehicle: it is not offered.
    past_safe: bool = False


def cheapest_of(row: IntervalProposal, aims: Aims, floor: float = 0.0) -> Cheapest | None:
    """None where the fleet gave no costs, or the record has no curve for these joints."""
    if aims.planned_cost is None or aims.unplanned_cost is None or row.shape is None:
        return None
    fit = WeibullFit(row.shape, float(row.scale_si or 0), np.eye(2), 0.0, float(row.finds))
    found = cost_optimal_interval(fit, aims.planned_cost, aims.unplanned_cost)
    if not isinstance(found, CostOptimum):
        return Cheapest(None, None, found.reason)
    value = found.value - row.age_si
    if value <= 0:
        return Cheapest(None, None, "age")
    past_safe = row.kind.holds and value > (row.allowed_si or 0)
    # Beyond what was seen the curve is the formula's word alone.
    seen = min(value, float(row.longest_tight_si - row.age_si))
    offer = Offer(None) if past_safe or seen <= 0 else _offer(row, seen, floor)
    offered = None if offer.value is None else si(offer.value, row.meter)
    return Cheapest(round(value), offered, past_safe=past_safe)


def _offer(row: IntervalProposal, value: float, floor: float) -> Offer:
    unit = UNITS[Meter(row.meter)][1]
    return offer_of(float(use_from_si(value, unit)), float(use_from_si(row.now_si, unit)), floor)
