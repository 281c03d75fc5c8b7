"""Marks pulled apart: none over another, all in the picture, each near where it belongs."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.pictures.apart import apart, overlaps, pulled_apart

BOX = (0.0, 0.0, 100.0, 80.0)
places = st.tuples(st.floats(-20, 120), st.floats(-20, 100))


@settings(deadline=None, max_examples=25)
@given(st.lists(places, min_size=1, max_size=24))
def test_none_lies_over_another_and_all_lie_inside(points: list[tuple[float, float]]) -> None:
    found = apart(np.array(points), 12.0, BOX)
    assert overlaps(found, 12.0) == []
    assert (found >= 6 - 1e-6).all()
    assert (found[:, 0] <= 94 + 1e-6).all()
    assert (found[:, 1] <= 74 + 1e-6).all()


def test_what_has_room_stays_where_it_is() -> None:
    points = np.array([[20.0, 20.0], [50.0, 40.0], [80.0, 60.0]])
    assert apart(points, 12.0, BOX) == pytest.approx(points, abs=0.5)


def test_two_in_one_place_part_by_just_enough() -> None:
    found = apart(np.array([[50.0, 40.0], [50.0, 40.0]]), 12.0, BOX)
    assert np.abs(found[0] - found[1]).max() == pytest.approx(12, abs=0.2)
    assert found.mean(axis=0) == pytest.approx([50, 40], abs=6)


def test_the_same_places_give_the_same_answer() -> None:
    crowd = np.array([[50.0, 40.0]] * 9)
    assert (apart(crowd, 12.0, BOX) == apart(crowd, 12.0, BOX)).all()
    assert pulled_apart(((1.0, 2.0),), 4.0, BOX)[0] == pytest.approx((2, 2), abs=0.01)


def test_a_box_filled_to_the_last_place_is_shared_out() -> None:
    found = apart(np.array([[50.0, 40.0]] * 35), 14.0, BOX)
    assert overlaps(found, 14.0) == []


def test_too_many_are_refused() -> None:
    with pytest.raises(ValueError, match="room for 12"):
        apart(np.array([[50.0, 40.0]] * 13), 24.0, BOX)


def test_none_at_all_is_no_trouble() -> None:
    assert len(apart(np.empty((0, 2)), 12.0, BOX)) == 0
