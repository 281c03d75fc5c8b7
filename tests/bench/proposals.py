"""How often a proposed recheck held: `python -m tests.bench.proposals` prints the table.

90 % are wanted; 400 fleets leave 1.5 points of chance. "They differ" is the standard deviation of
the log of a factor that the lives of one vehicle share; the profile bound alone knows nothing of
it. What is generated stands in tests/calc/lives.py.
"""

import sys

from tests.bench.table import plain_table
from tests.calc.lives import Fleets

FLEETS = 400
CASES = [
    Fleets(12, 12, 0.0), Fleets(24, 12, 0.0), Fleets(60, 15, 0.0), Fleets(240, 60, 0.0),
    Fleets(60, 15, 0.0, shape=0.8), Fleets(60, 15, 0.0, shape=3.0),
    Fleets(60, 15, 0.4), Fleets(240, 60, 0.4), Fleets(240, 15, 0.8),
    Fleets(120, 15, 0.4, target=0.5), Fleets(120, 15, 0.8, target=0.5),
    Fleets(240, 60, 0.8, target=0.5),
]  # fmt: skip
HEADS = ("spells", "vehicles", "they differ", "shape", "target", "held", "profile alone",
         "of the truth", "refused")  # fmt: skip


def table(fleets: int) -> str:
    lines = []
    for case in CASES:
        found = case.proposals(fleets)
        lines.append((
            str(case.n), str(case.vehicles), f"{case.spread:.1f}", f"{case.shape:.1f}",
            f"{case.target:.0%}", f"{found.held:.1%}", f"{found.profile_held:.1%}",
            f"{found.of_truth:.2f}", f"{found.refused:.1%}",
        ))  # fmt: skip
    return plain_table("Proposed rechecks, 90 % wanted", [HEADS, *lines])


if __name__ == "__main__":
    print(table(int(sys.argv[1]) if len(sys.argv) > 1 else FLEETS))
