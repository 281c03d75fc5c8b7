"""A changed front end is drawn changed: what rides on the frame rises, the axle stays."""

import pytest

from fleet.pictures import front_end
from fleet.pictures.changed import AS_MADE, MOST_LIFT, REACH, Changed, changed_part, changed_place
from fleet.pictures.front_end import Drawing
from fleet.reads.front_end import EVERY, drawing
from tests.pictures.test_layouts import CODES, overlaps_in, spots_of

LIFT = 101.6
COILS = ("four_link_coil", "crossing", "ball_joint", "unit_hub")


def heights(changed: Changed, codes: tuple[str, ...] = COILS) -> dict[str, float]:
    return {key: place[2] for key, place in drawing((EVERY, *codes), (), changed).joints.items()}


def risen(changed: Changed, codes: tuple[str, ...] = COILS) -> dict[str, float]:
    made = heights(AS_MADE, codes)
    return {key: height - made[key] for key, height in heights(changed, codes).items()}


def test_a_lift_raises_what_rides_on_the_frame_and_nothing_on_the_axle() -> None:
    found = risen(Changed(LIFT))
    for on_frame in ("gear_to_frame", "link_upper_frame_end/left", "track_bar_frame_end",
                     "frame_at_track_bar", "sway_bar_mounts", "drag_link_frame_end"):  # fmt: skip
        assert found[on_frame] == pytest.approx(LIFT), on_frame
    for on_axle in ("link_upper_axle_end/left", "track_bar_axle_end", "ball_joint_upper/left",
                    "wheel_nuts/left", "drag_link_knuckle_end", "tie_rod_end/left"):  # fmt: skip
        assert found[on_axle] == pytest.approx(0), on_axle
    assert 0 < found["drag_link_clamps"] < LIFT


def test_a_drop_arm_takes_the_drag_link_down_and_a_lowered_bracket_the_track_bar() -> None:
    lifted, both = risen(Changed(LIFT)), risen(Changed(LIFT, True, True))
    moved = {key for key in lifted if both[key] != pytest.approx(lifted[key])}
    assert moved == {"drag_link_frame_end", "drag_link_clamps", "track_bar_frame_end",
                     "track_bar_frame_bracket"}  # fmt: skip
    assert lifted["drag_link_frame_end"] - both["drag_link_frame_end"] == pytest.approx(REACH)


def test_a_lift_that_nobody_builds_is_drawn_no_higher_than_the_highest() -> None:
    assert risen(Changed(2_000.0))["gear_to_frame"] == pytest.approx(MOST_LIFT)
    assert risen(Changed(-50.0)) == pytest.approx(risen(AS_MADE))


def test_a_part_between_axle_and_frame_is_stretched_from_one_to_the_other() -> None:
    ride = {"from": ["axle", [0, 0, 0]], "to": ["frame", [0, 0, 200]]}
    body = {"turned": {"from": [0, 0, 0], "to": [0, 0, 200], "profile": [[0, 9], [200, 9]]}}
    part = changed_part({"name": "damper", "rides": ride, "bodies": [body]}, Changed(100.0))
    [made] = [body["turned"] for body in part["bodies"]]
    assert (made["from"], made["to"]) == ([0, 0, 0], [0, 0, 300])
    assert made["profile"] == [[0, 9], [300, 9]]
    assert changed_place([5, 0, 100], ride, Changed(100.0)) == [5, 0, 150]


# Links, arms and leaves, each with another linkage.
@pytest.mark.parametrize("codes", CODES[::4], ids="-".join)
def test_a_changed_front_end_has_room_for_every_mark_and_looks_different(
    codes: tuple[str, ...],
) -> None:
    changed = drawing((EVERY, *codes), (), Changed(LIFT, True, True))
    as_made = drawing((EVERY, *codes))
    whole = front_end.whole(changed, spots_of(codes, "left"))
    assert overlaps_in(whole) == []
    assert all(placed.true for placed in whole.placed)
    assert _outlines(changed) != _outlines(as_made)


def _outlines(drawn: Drawing) -> set[tuple[str, ...]]:
    return {stroke.outlines for stroke in drawn.scene.strokes}
