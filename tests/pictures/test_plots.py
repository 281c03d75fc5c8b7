"""Plots: what is drawn lies where its figures are, and says what it is."""

import itertools
import math
import re
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest

from fleet.pictures.plots import (
    NARROW,
    PAPER,
    SIZES,
    WIDE,
    Axis,
    Band,
    Column,
    Columns,
    Line,
    Plot,
    Points,
    Size,
    Steps,
    Stretch,
    Target,
    draw,
)
from fleet.pictures.plots.draw import laid_out
from fleet.pictures.plots.marks import SHAPES, path_of
from fleet.pictures.plots.plot import Layer
from tests.pictures.svg_read import SVG, corners, of_class, read, value, words
from tests.pictures.svg_read import path_of as path_in

STEPS = Steps([(0, 0.0), (10, 0.5), (30, 0.75)], until=40, name="this lot",
              band=[(0, 0), (0.25, 0.75), (0.5, 1.0)])  # fmt: skip


def plot(
    *layers: Layer, name: str = "Finds", events: list[tuple[float, str]] | None = None
) -> Plot:
    return Plot(
        "finds", name, "It rose to 0.75.", Axis("days"), Axis("finds"), layers, events or []
    )


def everything() -> Plot:
    return plot(
        Band([Stretch(0, 20, 0.1, 0.3), Stretch(20, 40, 0.2, 0.4)], "wanted"),
        STEPS,
        Line([(0, 0), (40, 0.6)], "the fleet", kind="guide"),
        *(Points([(5 + n, 0.1 * n)], shape=shape, solid=bool(n % 2), act=n == 2, name=shape)
          for n, shape in enumerate(SHAPES)),
        Columns([Column(0, 10, 0.4, "40"), Column(10, 20, 0.6, "60")]),
        Target(0.5, "target"),
        Target(25, "proposed", upright=True),
        events=[(12, "new spec"), (13, "rod")],
    )  # fmt: skip


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("look", ["page", "paper"])
def test_every_picture_is_well_formed_named_and_without_style(size: Size, look: str) -> None:
    drawn = draw(everything(), size, PAPER) if look == "paper" else draw(everything(), size)
    root = read(drawn)
    title, says = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert says is not None
    assert (title.text, says.text) == ("Finds", "It rose to 0.75.")
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == title.get("id")
    assert root.get("aria-describedby") == says.get("id")
    assert not any("style" in one.attrib or one.tag == f"{SVG}style" for one in root.iter())


def test_both_sizes_can_stand_on_one_page() -> None:
    ids = [one.get("id") for size in SIZES for one in read(draw(everything(), size)).iter()
           if one.get("id")]  # fmt: skip
    assert len(ids) == len(set(ids)) == 4


def test_paper_has_attributes_where_a_page_has_classes() -> None:
    on_page, on_paper = read(draw(everything(), WIDE)), read(draw(everything(), WIDE, PAPER))
    assert not any(one.get("stroke") or one.get("fill") for one in on_page.iter())
    assert not any(one.get("class") for one in on_paper.iter())
    colors = {one.get(name) for one in on_paper.iter() for name in ("fill", "stroke")}
    assert colors <= {None, "none"} | {f"#{g * 3}" for g in "0456789c"} | {"#fff", "#e6e6e6"}


def test_a_step_curve_goes_right_and_then_up() -> None:
    text = draw(plot(STEPS), WIDE)
    frame = laid_out(plot(STEPS), WIDE)
    places = corners(path_in(read(text), "trace-line"))
    found = [value(frame, place) for place in places]
    expected = [(0, 0), (10, 0), (10, 0.5), (30, 0.5), (30, 0.75), (40, 0.75)]
    assert found == [pytest.approx(pair, abs=0.02) for pair in expected]


def test_a_step_curves_band_keeps_to_its_edges() -> None:
    frame = laid_out(plot(STEPS), WIDE)
    found = [
        value(frame, place)
        for place in corners(path_in(read(draw(plot(STEPS), WIDE)), "trace-band"))
    ]
    high = [(0, 0), (10, 0), (10, 0.75), (30, 0.75), (30, 1.0), (40, 1.0)]
    low = [(40, 0.5), (30, 0.5), (30, 0.25), (10, 0.25), (10, 0.0), (0, 0.0)]
    assert found == [pytest.approx(pair, abs=0.02) for pair in (*high, *low)]


def test_a_curve_that_falls_goes_right_and_then_down() -> None:
    falls = plot(Steps([(0, 1.0), (5, 0.5)], until=10))
    places = corners(path_in(read(draw(falls, NARROW)), "trace-line"))
    assert places[1][1] == places[0][1]
    assert places[2][0] == places[1][0]
    assert places[2][1] > places[1][1]


def test_a_tolerance_band_changes_where_the_specification_did() -> None:
    band = Band([Stretch(0, 20, 0.1, 0.3), Stretch(20, 40, 0.2, 0.4)], "wanted")
    frame = laid_out(plot(band), WIDE)
    found = [
        value(frame, place)
        for place in corners(path_in(read(draw(plot(band), WIDE)), "trace-band"))
    ]
    first, second = found[:4], found[4:]
    assert first == [
        pytest.approx(pair, abs=0.01) for pair in ((0, 0.3), (20, 0.3), (20, 0.1), (0, 0.1))
    ]
    assert second == [
        pytest.approx(pair, abs=0.01) for pair in ((20, 0.4), (40, 0.4), (40, 0.2), (20, 0.2))
    ]


def test_equal_steps_of_a_figure_are_equal_steps_of_the_picture() -> None:
    frame = laid_out(plot(Line([(0, 0), (100, 8)])), WIDE)
    across = [frame.x(at) for at in (0, 25, 50, 75, 100)]
    upward = [frame.y(at) for at in (0, 2, 4, 6, 8)]
    for places in (across, upward):
        gaps = [b - a for a, b in pairwise(places)]
        assert gaps == pytest.approx([gaps[0]] * 4)
    assert across == sorted(across)
    assert upward == sorted(upward, reverse=True)


def test_columns_stand_on_nothing_and_reach_their_value() -> None:
    columns = plot(Columns([Column(0, 10, 0.4), Column(10, 20, 0.8)]))
    frame = laid_out(columns, WIDE)
    places = [value(frame, p) for p in corners(path_in(read(draw(columns, WIDE)), "trace-bar"))]
    assert [y for _x, y in places] == [
        pytest.approx(y, abs=0.01) for y in (0, 0.4, 0.4, 0, 0, 0.8, 0.8, 0)
    ]
    assert all(0 <= x <= 20 for x, _y in places)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_each_layer_is_named_beside_itself(size: Size) -> None:
    said = " · ".join(words(read(draw(everything(), size))))
    for name in ("this lot", "the fleet", "wanted", "target", "proposed", "new spec", *SHAPES):
        assert name in said


def test_names_to_the_right_do_not_stand_on_one_another() -> None:
    crowd = plot(*(Line([(0, 0), (10, 1 + n / 100)], f"joint {n}") for n in range(5)))
    root = read(draw(crowd, WIDE))
    heights = sorted(float(one.attrib["y"]) for one in root.iter(f"{SVG}text")
                     if (one.text or "").startswith("joint"))  # fmt: skip
    assert all(b - a >= WIDE.text for a, b in pairwise(heights))


NAMED = re.compile(r"the fleet|found|left")


def _boxes(root: ET.Element, text: float) -> list[tuple[float, float, float, float]]:
    """Where the names inside the picture stand, as narrow as letters are at the least."""
    found = []
    for one in root.iter(f"{SVG}text"):
        if one.text and NAMED.fullmatch(one.text):
            x, y = float(one.attrib["x"]), float(one.attrib["y"])
            found.append((x, y - 0.7 * text, x + 0.5 * text * len(one.text), y))
    return found


def _covered(box: tuple[float, float, float, float], place: tuple[float, float]) -> bool:
    return box[0] <= place[0] <= box[2] and box[1] <= place[1] <= box[3]


def test_on_a_phone_no_name_stands_on_a_point_or_on_another_name() -> None:
    found = [(day, 0.4 + 0.3 * math.sin(day)) for day in range(0, 40, 3)]
    crowded = plot(
        Line([(0, 0.1), (40, 0.9)], "the fleet"),
        Points(found, name="found"),
        Points([(day + 1, height - 0.1) for day, height in found], shape="diamond", name="left"),
    )
    frame = laid_out(crowded, NARROW)
    boxes = _boxes(read(draw(crowded, NARROW)), NARROW.text)
    assert boxes
    for one in crowded.layers:
        if isinstance(one, Points):
            places = [frame.place(point) for point in one.points]
            assert not [place for place in places for box in boxes if _covered(box, place)]
    for box, other in itertools.combinations(boxes, 2):
        assert not (box[0] < other[2] and other[0] < box[2] and box[1] < other[3]
                    and other[1] < box[3])  # fmt: skip


def test_a_name_with_no_room_is_left_to_the_table_behind() -> None:
    packed = [(x, y / 12) for x in range(0, 41, 2) for y in range(13)]
    said = words(read(draw(plot(Points(packed, name="found")), NARROW)))
    assert "found" not in said


def test_on_a_phone_the_name_of_a_curve_keeps_off_the_curve() -> None:
    rising = Steps([(0, 0.0), (10, 0.2), (20, 0.5), (30, 1.0)], until=40, name="the fleet")
    root = read(draw(plot(rising), NARROW))
    frame = laid_out(plot(rising), NARROW)
    [box] = _boxes(root, NARROW.text)
    corners_of = [(0, 0.0), (10, 0.0), (10, 0.2), (20, 0.2), (20, 0.5), (30, 0.5), (30, 1.0),
                  (40, 1.0)]  # fmt: skip
    places = [frame.place(corner) for corner in corners_of]
    for (x, y), (to_x, to_y) in pairwise(places):
        along = [(x + (to_x - x) * n / 50, y + (to_y - y) * n / 50) for n in range(51)]
        assert not [place for place in along if _covered(box, place)]


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_no_word_leaves_the_picture(size: Size) -> None:
    for one in read(draw(everything(), size)).iter(f"{SVG}text"):
        wide = len(one.text or "") * size.text * 0.55
        begin = {"end": wide, "middle": wide / 2}.get(one.get("text-anchor", "start"), 0.0)
        x = float(one.attrib["x"])
        assert x - begin >= -2
        assert x - begin + wide <= size.width + size.text


def test_what_a_person_typed_stays_words() -> None:
    hostile = '</text><script>alert("1")</script>\x00&amp;'
    drawn = draw(plot(Line([(0, 0), (1, 1)], hostile), name=hostile, events=[(0, hostile)]), WIDE)
    root = read(drawn)
    assert not list(root.iter(f"{SVG}script"))
    assert hostile.replace("\x00", "") in words(root)


def test_the_shape_says_more_than_the_color() -> None:
    paths = {shape: path_of(shape, [(0.0, 0.0)], 3) for shape in SHAPES}
    assert len(set(paths.values())) == len(SHAPES)
    open_one, solid = (
        read(draw(plot(Points([(1, 1)], solid=solid)), WIDE)) for solid in (False, True)
    )
    assert of_class(open_one, "trace-ring")
    assert of_class(solid, "trace-dot")


def test_one_point_and_equal_points_can_be_drawn() -> None:
    for points in ([(5.0, 1.0)], [(5.0, 1.0), (5.0, 1.0)], [(0.0, 0.0)]):
        for size in SIZES:
            assert of_class(read(draw(plot(Points(points)), size)), "trace-dot")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_long_lists_stay_small(size: Size) -> None:
    """Two thousand events, each a step with its band, and two thousand readings."""
    many = [(float(n), n * 0.001) for n in range(2_000)]
    band = [(y * 0.8, y * 1.2) for _x, y in many]
    assert len(draw(plot(Steps(many, 2_000, band=band)), size)) < 15_000
    scattered = [(float(n * 7 % 2000), (n * 13 % 997) / 997) for n in range(2_000)]
    assert len(draw(plot(Points(scattered)), size)) < 15_000
    assert len(draw(plot(Line(many)), size)) < 15_000


def test_a_curve_of_very_many_events_ends_where_it_ends() -> None:
    many = plot(Steps([(float(n), n * 0.001) for n in range(2_000)], 2_000))
    frame = laid_out(many, WIDE)
    *_rest, last = corners(path_in(read(draw(many, WIDE)), "trace-line"))
    assert value(frame, last) == pytest.approx((2_000, 1.999), abs=0.02)


def test_a_band_of_another_length_and_events_out_of_order_are_refused() -> None:
    with pytest.raises(ValueError, match="band"):
        Steps([(0, 0), (1, 1)], 2, band=[(0, 1)])
    with pytest.raises(ValueError, match="rise"):
        Steps([(1, 0), (0, 1)], 2)
