"""What is expected of each check, as the program may know it: from finds of earlier months only,
by the program's own `fleet.calc.history.usual_before`, many fleets side by side.
"""

import numpy as np

from fleet.calc.history.usual import expected_of, tallied, usual_before
from tests.support.simulate.weeks import Checks
from tests.support.simulate.world import AT_4000, Flags, Floats, World

MONTH = 4
SCALE = 4000.0
KINDS, LATER, DUTIES = AT_4000.size, 2, 3


def expectations(world: World, checks: Checks) -> tuple[Floats, Flags]:
    """Return each row's expected finds, and whether the fleet was known well enough by then."""
    months = -(-world.size.weeks // MONTH)
    fleet, month = world.vehicles.fleet[checks.vehicle], checks.time // MONTH
    kind, later = checks.stratum // 2, checks.stratum % 2
    sizes = (world.size.fleets, months, KINDS, LATER, DUTIES)
    cell = np.ravel_multi_index((fleet, month, kind, later, checks.duty), sizes)
    tally = tallied(cell, sizes, checks.lower, checks.upper, checks.found, SCALE)
    usual = usual_before(tally, axis=1)
    expected = expected_of(
        usual, (fleet, month), kind, later, checks.duty, checks.lower, checks.upper, SCALE
    )
    return expected, usual.known[fleet, month]
