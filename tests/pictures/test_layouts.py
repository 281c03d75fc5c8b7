"""Every layout, linkage, knuckle and hub of the reference data, on either side of steering."""

import json
import re
from collections import Counter
from functools import cache
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from django.conf import settings

from fleet.pictures import figure, front_end
from fleet.pictures.apart import overlaps
from fleet.pictures.front_end import Drawing, Framed, Spot
from fleet.reads.front_end import EVERY, drawing, drawn_layouts
from fleet.reads.joints import GROUPS

LAYOUTS: list[dict[str, Any]] = json.loads(
    (settings.BASE_DIR / "fixtures/reference/layouts.json").read_text(encoding="utf-8")
)
KINDS = json.loads(
    (settings.BASE_DIR / "fixtures/reference/joint_kinds.json").read_text(encoding="utf-8")
)


def codes_of(axis: str) -> list[str]:
    return [row["code"] for row in LAYOUTS if row["axis"] == axis]


# Every axle with every linkage; knuckles and hubs take turns, so that each stands with each.
CODES = [
    (axle, linkage, codes_of("knuckle")[(i + j) % 2], codes_of("hub")[(i + j // 2) % 2])
    for i, axle in enumerate(codes_of("axle"))
    for j, linkage in enumerate(codes_of("linkage"))
]
WHOLE_PX, PART_PX = 760, 288


@cache
def drawn(codes: tuple[str, ...]) -> Drawing:
    return drawing((EVERY, *codes))


def spots_of(codes: tuple[str, ...], side: str) -> list[Spot]:
    """All that a vehicle of these layouts has, in walking order."""
    rows = [row for row in LAYOUTS if row["axis"] == "common" or row["code"] in codes]
    joints = sorted((j for row in rows for j in row["joints"]), key=lambda j: j["order"])
    sides = Counter(joint["kind"] for joint in joints if joint["side"])
    other = {"left": "right", "right": "left"}
    found = []
    for joint in joints:
        here = joint["side"] or ""
        if side == "right" and sides[joint["kind"]] == 1:
            here = other[here]
        found.append(Spot(joint["kind"], here, joint["kind"], "tight", 0.4, "/somewhere/"))
    return found


CASES = [
    pytest.param(codes, side, id=f"{'-'.join(codes)}-{side}")
    for codes in CODES
    for side in ("left", "right")
]


@cache
def frames(codes: tuple[str, ...], side: str) -> list[Framed]:
    spots = spots_of(codes, side)
    mirrored = side == "right"
    whole = front_end.whole(drawn(codes), spots, mirrored)
    return [whole, *front_end.parts(drawn(codes), spots, mirrored)]


@pytest.mark.parametrize(("codes", "side"), CASES)
def test_every_joint_has_a_place_inside_and_room_for_a_finger(
    codes: tuple[str, ...], side: str
) -> None:
    whole, *parts = frames(codes, side)
    wanted = spots_of(codes, side)
    assert [placed.spot for placed in whole.placed] == wanted
    assert sorted((p.spot.kind, p.spot.side) for each in parts for p in each.placed) == sorted(
        (spot.kind, spot.side) for spot in wanted
    )
    assert all(placed.true for placed in whole.placed)
    for each, px in [(whole, WHOLE_PX), *((part, PART_PX) for part in parts)]:
        left, top, width, height = each.view_box
        assert each.target * px / width >= 44
        assert overlaps_in(each) == []
        for placed in each.placed:
            for at in filter(None, (placed.true, placed.at)):
                assert left <= at[0] <= left + width
                assert top <= at[1] <= top + height


def overlaps_in(framed: Framed) -> list[tuple[int, int]]:
    return overlaps(np.array([placed.at for placed in framed.placed]), framed.target)


@pytest.mark.parametrize("codes", CODES, ids="-".join)
def test_right_hand_drive_is_the_mirror_image(codes: tuple[str, ...]) -> None:
    """The picture and the places turn over; the names of the sides stay the driver's own."""
    other = {"left": "right", "right": "left", "": ""}
    left, right = frames(codes, "left")[0], frames(codes, "right")[0]
    there = {(p.spot.kind, p.spot.side): p.true for p in left.placed}
    for placed in right.placed:
        mirrored = there[placed.spot.kind, other[placed.spot.side]]
        assert placed.true is not None
        assert mirrored is not None
        assert placed.true == pytest.approx((-mirrored[0], mirrored[1]))
    assert right.view_box[0] == pytest.approx(-(left.view_box[0] + left.view_box[2]))


@pytest.mark.parametrize("codes", CODES, ids="-".join)
def test_it_is_well_formed_small_and_needs_no_style_attribute(codes: tuple[str, ...]) -> None:
    whole, *parts = frames(codes, "left")
    page = [figure.store(drawn(codes), False), figure.frame(whole, "Joints")]
    page += [figure.frame(part, "Joints") for part in parts]
    alone = figure.plain(drawn(codes), whole, "Front end & joints")
    for svg in [*page, alone]:
        tree = ElementTree.fromstring(svg)  # noqa: S314 - written by us a line above
        assert not [node for node in tree.iter() if "style" in node.attrib]
        assert "nan" not in svg
    assert 'class="' not in alone
    # Half of what a page may weigh, before it is packed for the way.
    assert sum(map(len, page)) < 80_000
    assert len(page[0]) < 40_000


def test_every_layout_of_the_reference_data_is_drawn() -> None:
    assert {row["code"] for row in LAYOUTS} <= set(drawn_layouts())


def test_every_design_of_the_demo_is_drawn_whole() -> None:
    text = (settings.BASE_DIR / "fixtures/demo/designs.json").read_text(encoding="utf-8")
    for design in json.loads(text):
        codes = tuple(design[axis] for axis in ("axle", "linkage", "knuckle", "hub"))
        drawn_here = drawing((EVERY, *codes)).joints
        sided = [f"{s.kind}/{s.side}" if s.side else s.kind for s in spots_of(codes, "left")]
        missing = {key for key in sided if key.replace("/right", "/left") not in drawn_here}
        assert missing <= set(drawn_here), design["name"]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind["code"])
def test_every_kind_of_joint_is_on_some_drawing(kind: dict[str, Any]) -> None:
    sides = ("left", "right") if kind["sided"] else ("",)
    assert kind["group"] in GROUPS
    assert all(drawing(("nobody",)).point(kind["code"], side, False) for side in sides)


def test_a_joint_that_no_drawing_knows_still_gets_its_place() -> None:
    codes = CODES[0]
    spots = [*spots_of(codes, "left"), Spot("winch_mount", "", "Winch mount", href="/w/")]
    whole = front_end.whole(drawn(codes), spots)
    lost = whole.placed[-1]
    left, top, width, height = whole.view_box
    assert lost.true is None
    assert left < lost.at[0] < left + width
    assert top < lost.at[1] < top + height
    assert overlaps_in(whole) == []
    in_parts = [p.spot.kind for part in front_end.parts(drawn(codes), spots) for p in part.placed]
    assert in_parts.count("winch_mount") == 1


def test_a_layout_that_nobody_has_drawn_takes_the_places_other_drawings_know() -> None:
    three_link = drawing((EVERY, "three_link", "crossing", "ball_joint", "unit_hub"))
    point = three_link.point("link_upper_axle_end", "right", False)
    assert point is not None
    assert point[0] < 0
    assert three_link.scene.strokes


def test_what_is_not_fitted_is_not_drawn() -> None:
    codes = (EVERY, *CODES[0])
    names = {part["name"] for part in drawing(codes).parts}
    without = {part["name"] for part in drawing(codes, ("sway_bar",)).parts}
    assert names - without == {"sway bar", "sway bar mount", "sway bar link"}


def test_marks_say_what_they_are_told_and_letters_are_made_safe() -> None:
    spot = Spot("track_bar_frame_end", "", 'Bar <"end"> & bolt', "moved", 0.25, "/j/?a=1&b=2")
    svg = figure.frame(front_end.whole(drawn(CODES[0]), [spot]), "Joints")
    assert "<title>Bar &lt;&quot;end&quot;&gt; &amp; bolt</title>" in svg
    assert re.search(r'<a href="/j/\?a=1&amp;b=2" class="act"', svg)


def test_a_mark_without_an_address_leads_nowhere() -> None:
    spots = [Spot("pitman_arm", "", "Here"), Spot("gear_lash", "", "", marked=False)]
    svg = figure.frame(front_end.small(drawn(CODES[0]), spots), "Joints")
    assert "<a " not in svg
    assert svg.count('role="listitem"') == 1
    assert '<path class="dots"' in svg
