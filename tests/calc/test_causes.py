"""One cause, one pattern, on checks made for the purpose."""

import numpy as np
import pytest
from numpy.typing import NDArray

from fleet.calc.clusters import ClusterError
from fleet.calc.clusters.causes import Candidate, find_causes

Ints = NDArray[np.intp]
CHECKS = 6000


class Made:
    """Checks of 40 vehicles in 4 yards with 8 tools; all alike until told otherwise."""

    def __init__(self, seed: int = 1) -> None:
        self.rng = np.random.default_rng(seed)
        self.vehicle = self.rng.integers(40, size=CHECKS)
        self.yard = self.vehicle % 4
        self.tool = self.rng.integers(8, size=CHECKS)
        self.joint = self.vehicle * 10 + self.rng.integers(10, size=CHECKS)
        self.due = np.full(CHECKS, 0.06)
        self.times = np.ones(CHECKS)

    def causes(self, **more: Ints) -> dict[Candidate, tuple[set[Candidate], set[Candidate]]]:
        found = self.rng.random(CHECKS) < self.due * self.times
        labels = {"joint": self.joint, "tool": self.tool, "yard": self.yard, **more}
        causes = find_causes(found, self.due, self.vehicle, labels)
        return {one.candidate: (set(one.explains), set(one.not_told_apart)) for one in causes}


def test_it_works() -> None:
    made = Made()
    made.times[made.tool == 3] = 2.5
    assert list(made.causes()) == [Candidate("tool", 3)]


def test_with_nothing_wrong_nothing_is_opened() -> None:
    assert not any(Made(seed).causes() for seed in range(20))


def test_two_causes_make_two_patterns() -> None:
    made = Made()
    made.times[made.tool == 3] = 2.5
    made.times[made.joint == 77] = 14.0
    assert set(made.causes()) == {Candidate("tool", 3), Candidate("joint", 77)}


def test_a_yard_that_only_uses_a_bad_tool_more_is_folded_under_it() -> None:
    made = Made(2)
    made.tool[(made.yard == 1) & (made.rng.random(CHECKS) < 0.6)] = 3
    made.times[made.tool == 3] = 4.0
    causes = made.causes()
    assert list(causes) == [Candidate("tool", 3)]
    explains, alike = causes[Candidate("tool", 3)]
    assert explains == {Candidate("yard", 1)}
    # The tool is bad in the other yards too, so the two can be told apart.
    assert alike == set()


def test_a_tool_used_in_one_yard_only_cannot_be_told_from_it() -> None:
    made = Made(3)
    made.tool = np.where(made.yard == 2, 8, made.tool)
    made.times[made.yard == 2] = 2.5
    causes = made.causes()
    assert len(causes) == 1
    (first, (explains, alike)) = causes.popitem()
    assert {first, *alike} == {Candidate("tool", 8), Candidate("yard", 2)}
    assert alike <= explains


def test_a_cause_in_one_place_does_not_close_one_elsewhere() -> None:
    """Two tools that share no check: each keeps its pattern, and explains nothing of the other."""
    made = Made(4)
    made.times[np.isin(made.tool, [3, 5])] = 3.0
    causes = made.causes()
    assert set(causes) == {Candidate("tool", 3), Candidate("tool", 5)}
    assert all(explains == set() for explains, _ in causes.values())


def test_what_is_not_to_be_shown_is_never_a_pattern() -> None:
    """A tool that only one person uses is left out by -1: it would be about a person."""
    made = Made(5)
    made.times[made.tool == 3] = 3.0
    made.tool = np.where(made.tool == 3, -1, made.tool)
    assert made.causes() == {}


def test_order_of_rows_and_counts_of_alike_rows_do_not_matter() -> None:
    made = Made(6)
    made.times[made.tool == 3] = 3.0
    found = (made.rng.random(CHECKS) < made.due * made.times).astype(int)
    labels = {"tool": made.tool, "yard": made.yard}
    one = find_causes(found, made.due, made.vehicle, labels, prior_shape=5.0)
    mixed = made.rng.permutation(CHECKS)
    other = find_causes(
        found[mixed], made.due[mixed], made.vehicle[mixed],
        {name: rows[mixed] for name, rows in labels.items()}, prior_shape=5.0,
    )  # fmt: skip
    # Rows of one vehicle and tool added up beforehand, as a large fleet's would be.
    cell = made.vehicle * 8 + made.tool
    keys = np.unique(cell)
    added = find_causes(
        np.bincount(cell, found)[keys], np.bincount(cell, made.due)[keys], keys // 8,
        {"tool": keys % 8, "yard": keys // 8 % 4}, prior_shape=5.0,
    )  # fmt: skip
    for again in (other, added):
        assert [cause.candidate for cause in again] == [cause.candidate for cause in one]
        assert [cause.log_e for cause in again] == pytest.approx([cause.log_e for cause in one])
    assert one[0].ratio == pytest.approx(one[0].observed / one[0].expected)


def test_nothing_expected_is_named() -> None:
    with pytest.raises(ClusterError) as refused:
        find_causes([0, 1], [0.0, 0.0], [0, 0], {"tool": [0, 1]})
    assert refused.value.code == "nothing_expected"
