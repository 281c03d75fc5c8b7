"""The order of looking: practice first, then what this fleet found."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.triage import rank_suspects

KEYS = ["frame end", "axle end", "bracket", "rod ends", "tires"]
priors = st.dictionaries(st.sampled_from(KEYS), st.floats(0.1, 10), min_size=1)
counts = st.dictionaries(st.sampled_from([*KEYS, "found once"]), st.integers(0, 50))


@given(priors, counts, st.floats(0.1, 100))
def test_shares_fall_and_make_one(
    prior: dict[str, float], found: dict[str, int], strength: float
) -> None:
    order = rank_suspects(prior, found, strength)
    shares = [one.share for one in order]
    assert shares == sorted(shares, reverse=True)
    assert math.fsum(shares) == pytest.approx(1)
    assert math.fsum(one.prior for one in order) == pytest.approx(1)
    assert {one.key for one in order} == {*prior, *found}


@given(priors, counts, st.sampled_from(KEYS))
def test_one_more_find_never_moves_a_suspect_back(
    prior: dict[str, float], found: dict[str, int], key: str
) -> None:
    def place(with_counts: dict[str, int]) -> int:
        return [one.key for one in rank_suspects(prior, with_counts)].index(key)

    known = {**found, key: found.get(key, 0)}
    assert place({**known, key: known[key] + 1}) <= place(known)


@given(priors, counts)
def test_only_the_ratios_of_the_prior_count(prior: dict[str, float], found: dict[str, int]) -> None:
    doubled = {key: 2 * weight for key, weight in prior.items()}
    ours, theirs = rank_suspects(prior, found), rank_suspects(doubled, found)
    assert [one.share for one in ours] == [one.share for one in theirs]
    assert [one.key for one in ours] == [one.key for one in theirs]


@given(priors)
def test_with_no_finds_it_is_the_prior(prior: dict[str, float]) -> None:
    for one in rank_suspects(prior, {}):
        assert one.share == pytest.approx(one.prior)
        assert one.count == 0


@given(priors, counts)
def test_with_very_many_finds_it_is_the_finds(
    prior: dict[str, float], found: dict[str, int]
) -> None:
    total = sum(found.values())
    if total:
        many = {key: n * 10**6 for key, n in found.items()}
        for one in rank_suspects(prior, many):
            assert one.share == pytest.approx(found.get(one.key, 0) / total, abs=1e-4)


@given(st.permutations(KEYS))
def test_ties_keep_the_order_of_practice(order: list[str]) -> None:
    ranked = rank_suspects(dict.fromkeys(order, 1.0), {"tires": 0})
    assert [one.key for one in ranked] == order


def test_what_any_shake_begins_with_stays_first() -> None:
    """Wheel nuts, pressures and tires first: common practice, no source."""
    prior = {"wheel nuts": 2, "tires": 1, "frame end": 8, "axle end": 6}
    ranked = rank_suspects(prior, {"axle end": 30}, first=("wheel nuts", "tires", "not here"))
    assert [one.key for one in ranked] == ["wheel nuts", "tires", "axle end", "frame end"]


def test_a_cause_that_practice_does_not_name_is_taken_in() -> None:
    ranked = rank_suspects({"frame end": 1}, {"crossmember": 30}, strength=10)
    assert [(one.key, one.share) for one in ranked] == [("crossmember", 0.75), ("frame end", 0.25)]


def test_figures_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ValueError, match="prior must weigh"):
        rank_suspects({}, {"tires": 1})
    with pytest.raises(ValueError, match="prior"):
        rank_suspects({"tires": -1}, {})
    with pytest.raises(ValueError, match="counts"):
        rank_suspects({"tires": 1}, {"tires": -1})
    with pytest.raises(ValueError, match="strength"):
        rank_suspects({"tires": 1}, {}, strength=0)
