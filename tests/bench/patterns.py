"""False alarms and power of the patterns, on simulated fleets.

    python -m tests.bench.patterns alarms --fleets 2000 --vehicles 60
    python -m tests.bench.patterns power

"none": finds given the fleet's own total; "estimated": and weighed against the spread between
vehicles. How the fleets are made, and what is wrong in them,
stands in tests/support/simulate.
"""

import argparse
import sys

from tests.support.simulate.promises import false_alarms, power
from tests.support.simulate.world import Size, Truth

SEED = 20261128
#: Fleets of each size for the power table: about as many vehicles in each.
FLEETS = {20: 240, 60: 100, 200: 30, 600: 12}
YEARS = (2, 4, 8)
CAUSES = {
    "tool 1.8x": Truth(tool=1.8),
    "lot 2.5x": Truth(lot=2.5),
    "route 1.6x": Truth(route=1.6),
    "oval hole 4x": Truth(hole=4.0),
    "oval hole 20x": Truth(hole=20.0),
}


def alarms_table(fleets: int, vehicles: list[int], years: float, level: float) -> None:
    for count in vehicles:
        size = Size(fleets, count, years)
        for spread in ("none", "estimated"):
            found = false_alarms(
                size, SEED, batch=max(1, 6000 // count), spread=spread, level=level
            )
            print(f"{count:>4} vehicles, {years:g} years, spread {spread}: {found}", flush=True)


def power_table(vehicles: list[int]) -> None:
    print("| cause | vehicles | years | finds expected | found over expected | power |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    for name, truth in CAUSES.items():
        for count in vehicles:
            size = Size(FLEETS[count], count, max(YEARS))
            for one in power(size, truth, SEED, years=YEARS):
                print(f"| {name} | {count} | {one.year} | {one.expected:.1f} | {one.ratio:.2f} "
                      f"| {one.power:.0%} |", flush=True)  # fmt: skip


def main(arguments: list[str]) -> None:
    parser = argparse.ArgumentParser(prog="tests.bench.patterns", description=__doc__)
    parser.add_argument("what", choices=["alarms", "power"])
    parser.add_argument("--fleets", type=int, default=200)
    parser.add_argument("--vehicles", type=int, nargs="+", default=list(FLEETS))
    parser.add_argument("--years", type=float, default=4.0)
    parser.add_argument("--level", type=float, default=0.05)
    asked = parser.parse_args(arguments)
    if asked.what == "alarms":
        alarms_table(asked.fleets, asked.vehicles, asked.years, asked.level)
    else:
        power_table(asked.vehicles)


if __name__ == "__main__":
    main(sys.argv[1:])
