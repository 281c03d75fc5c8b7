"""The record of a fleet as arrays: what each check could tell, what was usual, what stands out.

`looks_of` gives each check the use it covers on its joint's clock, `usual_before` says what checks
like it usually find by all that was known before, and `watch` holds finds against that, week by
week, as they came.

Examples
--------
A joint tightened at 100 and found tight at 400 and at 900:

>>> import numpy as np
>>> one, two, never = np.array([7]), np.array([7, 7]), np.full(2, np.nan)
>>> starts = Starts(one, np.array([0.0]), np.array([100.0]), np.array([True]))
>>> no = np.array([False, False])
>>> checks = Checks(two, np.array([1.0, 2.0]), np.array([400.0, 900.0]), no, no, never, never)
>>> looks = looks_of(starts, checks)
>>> looks.lower.tolist(), looks.upper.tolist()
([0.0, 300.0], [300.0, 800.0])
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
