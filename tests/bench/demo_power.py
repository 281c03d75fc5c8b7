"""Power of the demo's planted causes: how often the scan would find each, whatever chance does.

    python -m tests.bench.demo_power --draws 200

makes the demo once, in a folder of its own, and keeps who checked what and when. What each check
finds is then drawn anew as often as told: by what is usual there without any cause, the vehicle's
own factor, and the planted one. Each draw is judged as the scan judges the record. No seed is
chosen by what it shows: a cause that is found too seldom gets more exposure or a larger factor in
fixtures/demo.
"""

import argparse
import os
import sys
import tempfile
from collections import Counter

import django
import numpy as np
from django.core.management import call_command

SEED = 20_261_128


def main(arguments: list[str]) -> None:
    parser = argparse.ArgumentParser(prog="tests.bench.demo_power", description=__doc__)
    parser.add_argument("--draws", type=int, default=200)
    parser.add_argument("--data", help="folder of a demo already made; else one is made")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="axlekeep-power-") as folder:
        os.environ["AXLEKEEP_DATA"] = asked.data or folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
        django.setup()
        if not asked.data:
            call_command("migrate", verbosity=0)
            call_command("seed_demo")
        _tell(asked.draws)


def _tell(draws: int) -> None:
    # The records can be loaded only now.
    from tests.bench.demo_causes import read_demo  # noqa: PLC0415
    from tests.bench.demo_draws import judged  # noqa: PLC0415

    demo = read_demo()
    rng = np.random.default_rng(SEED)
    alone, found, other, finds = (Counter[str]() for _ in range(4))
    for _ in range(draws):
        told = judged(demo, rng)
        alone.update(told.alone)
        found.update(told.found)
        other.update(told.other)
        finds.update(told.finds)
    print("| cause | factor | checks | finds without it | finds expected | by itself | power |")
    print("| --- | ---: | ---: | ---: | ---: | ---: | ---: |")
    for one in demo.planted:
        print(f"| {one.name} | {one.factor:g} | {int(one.mine.sum()):,} | {demo.usual(one):.1f} "
              f"| {finds[one.name] / draws:.1f} | {alone[one.name] / draws:.0%} "
              f"| {found[one.name] / draws:.0%} |")  # fmt: skip
    print(f"\nStanding besides, of {draws} draws: {other.most_common(12)}")


if __name__ == "__main__":
    main(sys.argv[1:])
