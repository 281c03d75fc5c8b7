"""What sheets, rechecks, states and the rebuild make of a joint that is apart or not fitted."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import rebuild, roll
from fleet.operations.actor import server_actor
from fleet.records.models import Finding, Hold, Joint, JointState, Recheck
from tests.operations.apart import (
    AXLE,
    CLAMPS,
    DAMPER,
    FRAME,
    make,
    put_together,
    refused,
    taken_apart,
)
from tests.operations.conftest import RETORQUE, House
from tests.operations.tables import refusal, row_counts

# What every look makes of it -------------------------------------------------------------------


@pytest.mark.parametrize("code", ["no_play", "play", "boot_torn"])
def test_nothing_apart_sits_tight_or_loose(house: House, code: str) -> None:
    make(house, "apart", "tie_rod_at_drag_link")
    look = house.look("tie_rod_at_drag_link", code, method="look")
    assert ("joint_apart", "findings.0.code") in refusal(house.inspect, look)


def test_what_was_found_on_its_parts_is_recorded(house: House) -> None:
    make(house, "apart", "tie_rod_at_drag_link")
    house.inspect(house.look("tie_rod_at_drag_link", "worn_out", method="look"))
    assert Finding.objects.get().response == "hold"


def test_a_routine_look_is_paid_without_what_is_not_fitted(house: House) -> None:
    make(house, "not_fitted", CLAMPS, by=house.manager)
    assert walked(house, house.vehicle.joints.filter(kind__holds=True, fitted="fitted"))


def test_the_word_not_fitted_on_a_sheet_leaves_nothing_out(house: House) -> None:
    """A technician's sheet does not say what a manager has to say."""
    assert not walked(house, house.vehicle.joints.filter(kind__holds=True), not_fitted=CLAMPS)


def walked(house: House, joints: Any, not_fitted: str = "") -> bool:
    """Whether a look over these joints paid the routine."""
    house.later(days=60)
    looks = [
        house.look(j.kind.code, "not_fitted", j.side) if j.kind.code == not_fitted
        else house.look(j.kind.code, "no_play", j.side, method=j.kind.play_methods[0])
        for j in joints.select_related("kind")
    ]  # fmt: skip
    house.inspect(*looks)
    return Recheck.objects.filter(kind="routine", state="done").exists()


def test_the_yards_midnight_holds_no_second_time_for_what_is_apart(house: House) -> None:
    house.repair(("retorque", FRAME, RETORQUE))
    make(house, "apart")
    roll.roll(server_actor(), at=house.later(days=40))
    assert Recheck.objects.get(joint=house.joint(), ladder="track_bar").state == "missed"
    held = Hold.objects.filter(lifted_at=None, joint=house.joint())
    assert list(held.values_list("reason", flat=True)) == ["apart"]


# One after the other, and kept as the facts say ------------------------------------------------


@pytest.mark.parametrize(
    ("given", "named"),
    [
        ({"to": "fitted"}, {("same_already", "to")}),
        ({"to": "lost"}, {("fitted_unknown", "to")}),
        ({"to": "apart", "reason": " "}, {("reason_missing", "reason")}),
        ({"to": "apart", "reason": "x" * 201}, {("too_long", "reason")}),
    ],
)
def test_what_it_becomes_and_why(
    house: House, given: dict[str, Any], named: set[tuple[str, str]]
) -> None:
    before = row_counts()
    assert refusal(lambda: make(house, **given)) == named
    assert row_counts() == before


def test_a_moment_before_the_last_word_is_refused(house: House) -> None:
    make(house, "apart", DAMPER)
    earlier = house.now - timedelta(hours=1)
    assert refused(house, "fitted", DAMPER, occurred_at=earlier) == {"out_of_order"}


def mark(house: House) -> str:
    return JointState.objects.get(joint=house.joint()).mark


def test_what_was_seen_before_it_was_taken_apart_says_nothing_of_it_now(house: House) -> None:
    house.moved()
    assert mark(house) == "moved"
    house.later(days=1)
    ticket = taken_apart(house)
    state = JointState.objects.get(joint=house.joint())
    assert (state.mark, state.last_turned_at) == ("unknown", None)
    assert state.last_finding is not None
    put_together(house, ticket)
    make(house, "fitted")
    assert mark(house) == "tight"
    assert list(rebuild.differences()) == []


def test_rebuilt_equals_kept_and_a_change_by_hand_is_told_and_mended(house: House) -> None:
    make(house, "apart", DAMPER)
    make(house, "apart", AXLE)
    house.later(hours=1)
    make(house, "not_fitted", DAMPER)
    assert list(rebuild.differences()) == []
    Joint.objects.filter(pk=house.joint(DAMPER).pk).update(fitted="fitted")
    Joint.objects.filter(pk=house.joint(FRAME).pk).update(fitted="apart")
    told = sorted(str(one) for one in rebuild.differences())
    assert told == [
        "A-101, Steering damper, fixed end: fitted is fitted, should be not_fitted",
        "A-101, Track bar, frame end: fitted is apart, should be fitted",
    ]
    rebuild.rebuild(house.manager, at=house.now)
    assert house.joint(DAMPER).fitted == "not_fitted"
    assert list(rebuild.differences()) == []
