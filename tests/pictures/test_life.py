"""A life along its dates: lanes, what lasted, and the meter at both ends."""

from datetime import date

import pytest

from fleet.pictures.plots import (
    PAPER,
    SIZES,
    WIDE,
    Gauge,
    Lane,
    Life,
    Reading,
    Sign,
    Size,
    Stay,
    Stretch,
    day_of,
    draw_life,
)
from tests.pictures.svg_read import SVG, of_class, path_of, read, words

FIRST, LAST = date(2023, 1, 1), date(2026, 1, 1)
SYMBOLS = {"tight": '<circle cx="12" cy="12" r="6"/>', "play": '<path d="M2 2v4"/>'}


def at(day: date) -> float:
    return day_of(day)


def life(*lanes: Lane, today: date | None = None) -> Life:
    ends, now = ("1,200 mi", "9,800 mi"), day_of(today) if today else None
    return Life("joint", "Its life", "Found loose once.", FIRST, LAST, lanes, ends, now, SYMBOLS)


def everything() -> Life:
    half = at(date(2024, 7, 2))
    readings = [Reading(half, 125), Reading(at(LAST), 90, solid=False, act=True)]
    band = [Stretch(half, at(LAST), 115, 135)]
    return life(
        Lane("Found", [Sign(half, "tight"), Sign(at(LAST), "play", act=True)]),
        Lane("Torque", gauge=Gauge(readings, band, "115 lbf·ft", "135 lbf·ft")),
        Lane("Part fitted", [Sign(half, "triangle")], texts=[(half, "<bolt> kit")]),
        Lane("Held", stays=[Stay(half, half + 20), Stay(at(LAST) - 3, at(LAST), act=True)]),
        Lane("Nothing yet"),
        today=date(2025, 11, 1),
    )  # fmt: skip


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("look", ["page", "paper"])
def test_every_life_is_well_formed_named_and_without_style(size: Size, look: str) -> None:
    drawn = (
        draw_life(everything(), size, PAPER) if look == "paper" else draw_life(everything(), size)
    )
    root = read(drawn)
    title, says = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert says is not None
    assert (title.text, says.text) == ("Its life", "Found loose once.")
    assert root.get("aria-labelledby") == title.get("id")
    assert not any("style" in one.attrib for one in root.iter())


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_it_says_its_lanes_its_years_and_the_meter_at_both_ends(size: Size) -> None:
    said = words(read(draw_life(everything(), size)))
    for word in ("Found", "Torque", "Part fitted", "Held", "Nothing yet", "1,200 mi", "9,800 mi",
                 "2024", "<bolt> kit", "115 lbf·ft", "135 lbf·ft"):  # fmt: skip
        assert word in said


def test_a_day_half_way_stands_half_way() -> None:
    middle = (at(FIRST) + at(LAST)) / 2
    places = []
    for day in (at(FIRST), middle, at(LAST)):
        root = read(draw_life(life(Lane("Looks", [Sign(day, "tight")])), WIDE))
        [use] = root.iter(f"{SVG}use")
        places.append(float(use.attrib["x"]))
    assert places[1] == pytest.approx((places[0] + places[2]) / 2, abs=0.1)


def test_a_mark_is_drawn_once_and_used_where_it_stands() -> None:
    root = read(draw_life(everything(), WIDE))
    symbols = {one.attrib["id"] for defs in root.iter(f"{SVG}defs") for one in defs}
    used = [one.attrib["href"].lstrip("#") for one in root.iter(f"{SVG}use")]
    assert set(used) == symbols == {"joint-wide-tight", "joint-wide-play"}


def test_what_still_lasts_asks_for_somebody() -> None:
    root = read(draw_life(everything(), WIDE))
    bars = of_class(root, "trace-bar")
    assert [("trace-act" in bar.get("class", "")) for bar in bars] == [False, True]


def test_a_figure_out_of_its_band_lies_outside_it() -> None:
    root = read(draw_life(everything(), WIDE))
    numbers = [float(one) for one in path_of(root, "trace-band").replace("M", " ").replace("H", " ")
               .replace("V", " ").replace("Z", " ").split()]  # fmt: skip
    top, bottom = numbers[1], numbers[3]
    [low_ring] = of_class(root, "trace-ring")
    y = float(low_ring.attrib["d"].split("m")[0].split(" ")[1])
    assert top < bottom < y


def test_twenty_years_of_weekly_looks_stay_small() -> None:
    looks = [Sign(at(FIRST) + 7 * n, "tick" if n % 9 else "play") for n in range(1_040)]
    long = Life(
        "v", "Years", "Many.", FIRST, date(2043, 1, 1), [Lane("Looks", looks)], symbols=SYMBOLS
    )
    for size in SIZES:
        assert len(draw_life(long, size)) < 15_000


def test_a_text_without_room_is_left_to_the_table() -> None:
    texts = [(at(FIRST) + n, "track-bar bolt, class 10.9, lot K-2231") for n in range(40)]
    root = read(
        draw_life(life(Lane("Part fitted", [Sign(at(FIRST), "triangle")], texts=texts)), WIDE)
    )
    assert sum("lot K-2231" in text for text in words(root)) == 1


def test_words_in_a_lane_never_stand_on_a_sign() -> None:
    first, near, far = (at(date(2024, 1, 1)) + days for days in (0, 60, 700))
    lane = Lane("Part fitted", [Sign(first, "triangle"), Sign(near, "triangle")],
                texts=[(first, "bar and bolt kit")])  # fmt: skip
    assert "bar and bolt kit" not in words(read(draw_life(life(lane), WIDE)))
    roomy = Lane("Part fitted", [Sign(first, "triangle"), Sign(far, "triangle")],
                 texts=[(first, "bar")])  # fmt: skip
    assert "bar" in words(read(draw_life(life(roomy), WIDE)))


def test_the_sides_of_a_band_are_written_off_the_readings_on_them() -> None:
    half, end = at(date(2024, 7, 2)), at(LAST)
    heights = []
    for value in (115.0, 145.0):
        readings = [Reading(half, 90), Reading(end - 20, value), Reading(half, 150)]
        gauge = Gauge(readings, [Stretch(half, end, 115, 135)], "115 lbf·ft", "135 lbf·ft")
        root = read(draw_life(life(Lane("Torque", gauge=gauge)), WIDE))
        [low] = [one for one in root.iter(f"{SVG}text") if one.text == "115 lbf·ft"]
        heights.append(float(low.attrib["y"]))
    assert heights[0] > heights[1]
