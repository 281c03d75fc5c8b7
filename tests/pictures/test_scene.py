"""Solid bodies: what stands in front hides what is behind, and each is drawn as it is seen."""

import re

import pytest

from fleet.calc.axonometry import View
from fleet.pictures.scene import both_sides, scene
from fleet.pictures.solids import seen

AHEAD = View(0.0, 0.0)


def ball(name: str, forward: float, across: float = 0.0, **more: object) -> dict[str, object]:
    through = [[across, forward, 0], [across + 1, forward, 0]]
    return {"name": name, "bodies": [{"rod": {"r": 40, "through": through}}], **more}


def order(*parts: dict[str, object], view: View = AHEAD) -> list[str]:
    return [stroke.name for stroke in scene(parts, view).strokes]


def test_the_nearer_is_drawn_later_whatever_its_turn_in_the_data() -> None:
    assert order(ball("near", 300), ball("far", 0)) == ["far", "near"]
    assert order(ball("far", 0), ball("near", 300)) == ["far", "near"]


def bar(name: str, radius: int, *through: list[int]) -> dict[str, object]:
    return {"name": name, "bodies": [{"rod": {"r": radius, "through": list(through)}}]}


def test_from_above_height_decides() -> None:
    low = bar("low", 20, [0, 0, 0], [90, 0, 0])
    high = bar("high", 20, [40, -50, 99], [40, 50, 99])
    assert order(high, low, view=View(0, 90)) == ["low", "high"]


def test_a_long_bar_goes_before_one_part_and_behind_another() -> None:
    # Its middle is nearer than either, which an order by mean depth would get wrong.
    long = bar("bar", 10, [-500, -400, 0], [500, 400, 0])
    names = order(ball("before it", -300, -480), long, ball("behind it", 300, 480))
    assert names.index("bar") < names.index("before it")
    assert names.index("behind it") < names.index("bar")


def test_three_in_a_ring_are_drawn_all_the_same() -> None:
    sticks = [([-90, 40, -60], [90, -40, -60]), ([80, 40, -90], [-20, -40, 90]),
              ([20, 40, 90], [-80, -40, -90])]  # fmt: skip
    ring = [bar(str(n), 8, *ends) for n, ends in enumerate(sticks)]
    assert sorted(order(*ring)) == ["0", "1", "2"]


def test_ghosts_come_first_since_one_sees_through_them() -> None:
    assert order(ball("tire", 900, weight="ghost"), ball("hub", 0)) == ["tire", "hub"]


def test_a_part_of_both_sides_is_drawn_on_both() -> None:
    found = both_sides([ball("hub", 0, 600, mirror=True)])
    starts = [part["bodies"][0]["rod"]["through"][0] for part in found]
    assert starts == [[600, 0, 0], [-600, 0, 0]]


def test_a_box_seen_from_a_corner_shows_three_faces_and_the_edges_between() -> None:
    box = {"plate": {"outline": [[0, 0, 0], [9, 0, 0], [9, 9, 0], [0, 9, 0]], "by": [0, 0, 9]}}
    corner = seen(box, View(45, 35))
    assert (len(corner.pieces), len(corner.edges)) == (3, 3)
    face_on = seen(box, View(0, 0))
    assert (len(face_on.pieces), len(face_on.edges)) == (1, 0)


@pytest.mark.parametrize("way", [1, -1])
def test_a_box_is_the_same_whichever_way_round_its_outline_is_written(way: int) -> None:
    outline = [[0, 0, 0], [9, 0, 0], [9, 9, 0], [0, 9, 0]][::way]
    found = seen({"plate": {"outline": outline, "by": [0, 0, 9]}}, View(30, 40))
    assert len(found.pieces) == 3


def test_a_tube_shows_the_end_that_faces_the_eye() -> None:
    tube = {"turned": {"from": [0, -50, 0], "to": [0, 50, 0], "profile": [[0, 20], [100, 20]]}}
    ends = seen(tube, View(20, 20)).edges
    assert len(ends) == 1
    assert ends[0].points[:, 2].mean() > 0


def test_a_circle_seen_straight_on_is_written_as_a_circle() -> None:
    ring = {"edge": {"circle": [0, 0, 0], "axis": [0, 1, 0], "r": 30}}
    rod = {"rod": {"r": 30, "through": [[0, -9, 0], [0, 0, 0]]}}
    edges = scene([{"name": "end", "bodies": [rod, ring]}], AHEAD).strokes[0].edges
    assert re.findall(r"a([\d.]+) ([\d.]+)", edges) == [("30", "30"), ("30", "30")]


def test_a_coil_has_far_and_near_halves_and_no_seam_between() -> None:
    coil = {"coil": {"from": [0, 0, 0], "to": [0, 0, 200], "r": 60, "wire": 8, "turns": 4}}
    found = seen(coil, View(17, 28))
    assert len(found.far) == len(found.pieces) == 4
    assert len(found.patch) == 7
