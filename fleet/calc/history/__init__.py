"""The record of a fleet as arrays: what each check could tell, what was usual, what stands out.

`looks_of` gives each check the use it covers on its joint's clock, `usual_before` says what checks
like it usually find by all that was known before, and `watch` holds finds against that, week by
week, as they came.
"""

from fleet.calc.history.looks import Checks, Looks, Starts, last_start, looks_of
from fleet.calc.history.usual import Usual, tallied, usual_before
from fleet.calc.history.watch import NEVER, Rows, Watch, watch

__all__ = [
    "NEVER",
    "Checks",
    "Looks",
    "Rows",
    "Starts",
    "Usual",
    "Watch",
    "last_start",
    "looks_of",
    "tallied",
    "usual_before",
    "watch",
]
