"""What can open nothing is not worked out, and nothing that opens is lost by it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.calc.clusters import e_bh, e_value_among
from fleet.calc.clusters.among import Cells, among, fewest_finds
from fleet.calc.clusters.evidence import JOINT_RATIOS, RATIOS
from fleet.calc.history.watch import opened_each

LEAST = float(np.log(40))


def record(seed: int, *, alone: bool) -> tuple[Cells, np.ndarray, np.ndarray]:
    """Finds on twelve vehicles, some of them bad, split among joints or among groups."""
    rng = np.random.default_rng(seed)
    vehicles = np.repeat(np.arange(12), 5)
    groups = np.arange(60) if alone else np.tile(np.arange(5), 12)
    due = rng.gamma(1.0, 1.0, 60)
    seen = rng.poisson(due * rng.choice([1.0, 1.0, 1.0, 4.0], 60)).astype(float)
    cells = Cells(seen, due, vehicles, groups, int(groups.max()) + 1)
    return cells, np.bincount(vehicles, seen), np.bincount(vehicles, due)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.booleans(), st.sampled_from([0.7, 4.0, np.inf]))
def test_left_out_is_only_what_does_not_reach_the_line(
    seed: int, alone: bool, shape: float
) -> None:
    cells, seen, due = record(seed, alone=alone)
    ratios = JOINT_RATIOS if alone else RATIOS
    whole = among(cells, seen, due, np.array([shape]), ratios)
    quick = among(cells, seen, due, np.array([shape]), ratios, LEAST)
    reached = whole >= LEAST
    assert quick[reached].tolist() == pytest.approx(whole[reached].tolist(), rel=1e-12)
    assert np.all(quick[~reached] < LEAST)


def test_several_fleets_side_by_side_are_each_as_alone() -> None:
    made = [record(seed, alone=False) for seed in range(3)]
    told = [cells for cells, _seen, _due in made]
    cells = Cells(
        np.concatenate([one.seen for one in told]), np.concatenate([one.due for one in told]),
        np.concatenate([one.vehicle + 12 * number for number, one in enumerate(told)]),
        np.concatenate([one.group + 5 * number for number, one in enumerate(told)]), 15,
    )  # fmt: skip
    seen, due = (np.concatenate([one[place] for one in made]) for place in (1, 2))
    shape = np.array([1.0, 4.0, np.inf])
    beside = among(cells, seen, due, shape, RATIOS, LEAST)
    for number, (one, own_seen, own_due) in enumerate(made):
        whole = among(one, own_seen, own_due, shape[number : number + 1], RATIOS)
        reached = whole >= LEAST
        there = beside[5 * number : 5 * number + 5]
        assert there[reached] == pytest.approx(whole[reached])
        assert np.all(there[~reached] < LEAST)


@pytest.mark.parametrize("due", [1e-9, 0.3, 5.0])
def test_a_joint_found_loose_once_opens_nothing_whatever_was_expected(due: float) -> None:
    """The mean of the ratios is below 40: at 2.5 % even a family of one asks for more."""
    needed = fewest_finds(JOINT_RATIOS, LEAST)
    assert needed == 2
    assert evidence(needed - 1, due) < LEAST
    assert evidence(needed, 1e-9) >= LEAST


def evidence(finds: int, due: float) -> float:
    """Log e of a joint on a vehicle of its own, in a fleet that finds what is expected."""
    found, expected = [finds, 1000], [due, 1000.0]
    own = e_value_among([finds], [due], [0], [0], found, expected, np.inf, ratios=JOINT_RATIOS)
    return float(own[0])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-8, 12), min_size=1, max_size=30))
def test_each_row_is_opened_as_by_itself(logs: list[float]) -> None:
    opened = opened_each(np.array([logs, logs[::-1]]), 0.05)
    assert opened[0].tolist() == e_bh(np.exp(logs), 0.05).tolist() or len(set(logs)) < len(logs)
    assert opened[0].sum() == opened[1].sum() == e_bh(np.exp(logs), 0.05).sum()
