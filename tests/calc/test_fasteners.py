"""Clamp loads as ranges: verdicts, refusals, and a shop's figure above the factory's."""

import copy

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.fastener_tables import METRIC_PITCHES, NUT_FACTORS, UNIFIED_THREADS
from fleet.calc.fasteners import (
    REFUSALS,
    Fastener,
    TorqueRefused,
    assess_torque,
    clamp_load,
    parse_fastener,
    proof_load,
    refusal,
    shop_above_factory,
    tensile_stress_area,
    torque_for_share,
)

M14 = parse_fastener("M14 x 2 10.9")
bolts = st.sampled_from(
    [f"M{size} {grade}" for size in METRIC_PITCHES for grade in ("8.8", "10.9", "12.9")]
    + [f"{size}-{row[2]} grade {n}" for size, row in UNIFIED_THREADS.items() for n in (2, 5, 8)]
).map(parse_fastener)
conditions = st.sampled_from(sorted(NUT_FACTORS))
torques = st.floats(1, 800)


@given(torques, torques, bolts, conditions)
def test_more_torque_is_never_less_load(
    one: float, other: float, bolt: Fastener, condition: str
) -> None:
    less, more = (assess_torque(torque, bolt, condition) for torque in sorted((one, other)))
    assert less.clamp_low <= more.clamp_low
    assert less.share_of_proof_high <= more.share_of_proof_high


@given(torques, bolts, conditions, st.floats(0, 0.2))
def test_the_range_holds_the_plain_figure(
    torque: float, bolt: Fastener, condition: str, tolerance: float
) -> None:
    check = assess_torque(torque, bolt, condition, tolerance)
    k = NUT_FACTORS[condition]
    plain = clamp_load(torque, bolt.thread.diameter, [k.high, k.low])
    assert check.clamp_low <= plain[0] * (1 + 1e-12)
    assert plain[1] <= check.clamp_high * (1 + 1e-12)
    assert check.share_of_proof_low == check.clamp_low / proof_load(bolt)


@given(st.floats(0.05, 1.5), bolts, conditions, st.floats(0, 0.1), st.floats(0, 10))
def test_the_torque_of_a_share_gives_the_share_back(
    share: float, bolt: Fastener, condition: str, tolerance: float, prevailing: float
) -> None:
    found = torque_for_share(share, bolt, condition, tolerance, prevailing)
    under = assess_torque(found.stays_under + 50, bolt, condition, tolerance, prevailing)
    assert under.share_of_proof_high > share
    reached = assess_torque(found.surely_reaches, bolt, condition, tolerance, prevailing)
    assert reached.share_of_proof_low == pytest.approx(share)


def test_the_torque_that_stays_under_a_share_reaches_it_at_the_slippery_end_only() -> None:
    found = torque_for_share(0.9, M14, "oiled")
    check = assess_torque(found.stays_under, M14, "oiled")
    assert check.share_of_proof_high == pytest.approx(0.9)
    assert check.share_of_proof_low < 0.7


@given(st.floats(0.005, 0.03), st.floats(0.1, 0.3), torques)
def test_a_load_gives_its_torque_back(diameter: float, k: float, torque: float) -> None:
    assert clamp_load(torque, diameter, k) * k * diameter == pytest.approx(torque)


@pytest.mark.parametrize(
    ("share", "verdict"),
    [
        pytest.param((0.30, 0.4999), "loose", id="even the high side under half"),
        pytest.param((0.30, 0.5), "in_range", id="half"),
        pytest.param((0.70, 0.8999), "in_range", id="under nine tenths"),
        pytest.param((0.70, 0.9001), "high", id="nine tenths"),
        pytest.param((0.70, 1.0001), "may_pass_proof", id="the high side at proof"),
        pytest.param((1.0001, 1.3), "past_proof", id="the low side at proof"),
    ],
)
def test_verdict_by_share_of_proof(share: tuple[float, float], verdict: str) -> None:
    # With K = 1 of a bolt of 14 mm, a torque is a load times its diameter.
    moment = proof_load(M14) * M14.thread.diameter
    band = share[0] * moment, share[1] * moment
    check = assess_torque(band, M14, "dry", tool_tolerance=0, nut_factor=(1, 1))
    assert check.verdict == verdict
    assert (check.share_of_proof_low, check.share_of_proof_high) == pytest.approx(share)


def test_prevailing_torque_is_taken_off_both_sides() -> None:
    check = assess_torque((100, 120), M14, "oiled", 0.04, 10)
    bare = assess_torque((86, 114.8), M14, "oiled", 0)
    assert check.clamp_low == pytest.approx(bare.clamp_low)
    assert check.clamp_high == pytest.approx(bare.clamp_high)
    with pytest.raises(TorqueRefused) as refused:
        assess_torque(10, M14, "oiled", 0.04, 10)
    assert refused.value.code == "prevailing"


@pytest.mark.parametrize(
    ("held_by", "code"),
    [
        ("slotted_stud", "tapered_stud"), ("clamp", "clamp"), ("stud_nuts", "hub_nut"),
        ("adjusting_nut", "adjusting_nut"), ("angle", "to_yield"), ("none", "no_thread"),
    ],
)  # fmt: skip
def test_where_the_relation_does_not_hold_it_is_refused(held_by: str, code: str) -> None:
    bolt = parse_fastener("M14 x 2 10.9", held_by)
    with pytest.raises(TorqueRefused) as refused:
        assess_torque(100, bolt, "dry")
    assert refused.value.code == code
    assert refused.value.reason
    assert copy.copy(refused.value).code == code
    with pytest.raises(TorqueRefused):
        torque_for_share(0.5, bolt, "dry")
    with pytest.raises(TorqueRefused):
        shop_above_factory(120, 100, bolt, "oiled")


@pytest.mark.parametrize("held_by", ["bolt", "slotted_bolt", "u_bolt"])
def test_straight_bolts_are_judged(held_by: str) -> None:
    assert held_by not in REFUSALS
    assert refusal(held_by) is None
    assert assess_torque(100, parse_fastener("M14 10.9", held_by), "dry").clamp_low > 0


@pytest.mark.parametrize(
    ("shop", "factory", "condition", "flagged"),
    [
        pytest.param(81.3, 54.2, "anti_seize", True, id="the habit, lubricated"),
        pytest.param(81.3, 54.2, "oiled", True, id="may pass only"),
        pytest.param(81.3, 54.2, "threadlocker", True, id="wet threadlocker eases too"),
        pytest.param(81.3, 54.2, "dry", False, id="dry"),
        pytest.param(81.3, 81.3, "anti_seize", False, id="the factory's own figure"),
        pytest.param(81.3, (54.2, 85.0), "anti_seize", False, id="within the factory's band"),
        pytest.param(56.0, 54.2, "oiled", False, id="above, far from proof"),
    ],
)
def test_a_shop_figure_is_flagged_above_the_factorys_on_lubricated_threads_near_proof(
    shop: float, factory: float | tuple[float, float], condition: str, flagged: bool
) -> None:
    found = shop_above_factory(shop, factory, parse_fastener("M10 x 1.5 10.9"), condition)
    assert found.flagged is flagged


def test_a_dry_figure_also_shows_what_lubricant_would_do() -> None:
    found = shop_above_factory(81.3, 54.2, parse_fastener("M10 x 1.5 10.9"), "dry")
    assert found.above_factory
    assert not found.lubricated
    assert found.shop.verdict == "in_range"
    assert found.shop_if_lubricated.verdict == "past_proof"


def test_every_condition_has_its_origin_and_threadlocker_says_there_is_none() -> None:
    for factor in NUT_FACTORS.values():
        assert factor.citation
        assert 0 < factor.low < factor.high
    check = assess_torque(100, M14, "threadlocker")
    assert check.note == "no_source"
    assert "no published range" in check.citation


def test_areas_and_loads_take_arrays() -> None:
    areas = tensile_stress_area([0.008, 0.010], [0.00125, 0.0015])
    assert areas.shape == (2,)
    assert np.all(np.diff(areas) > 0)
    assert clamp_load([[50.0], [60.0]], 0.010, [0.2, 0.15]).shape == (2, 2)


@pytest.mark.parametrize(
    "band", [(0.0, 10.0), (20.0, 10.0), (1.0, float("inf")), (float("nan"), 1.0)]
)
def test_a_band_that_is_none_is_refused(band: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="torque"):
        assess_torque(band, M14, "dry")


def test_other_figures_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ValueError, match="condition"):
        assess_torque(100, M14, "wet")
    with pytest.raises(ValueError, match="nut_factor"):
        assess_torque(100, M14, "dry", nut_factor=(0.2, 0.1))
    with pytest.raises(ValueError, match="tool_tolerance"):
        assess_torque(100, M14, "dry", tool_tolerance=1)
    with pytest.raises(ValueError, match="share"):
        torque_for_share(0, M14, "dry")
    with pytest.raises(ValueError, match="series"):
        tensile_stress_area(0.01, 0.0015, "pipe")
    with pytest.raises(ValueError, match="within the bolt"):
        tensile_stress_area(0.001, 0.002)
    with pytest.raises(ValueError, match="torque"):
        clamp_load(-1, 0.01, 0.2)
    with pytest.raises(ValueError, match="nut_factor"):
        clamp_load(1, 0.01, 0)
