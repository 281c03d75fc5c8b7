"""Figures as the trade says them, and the mark in shape and in words."""

from datetime import UTC, datetime, timedelta

import pytest
from django.utils import translation

from fleet.calc.units import use_si
from fleet.reads import said
from fleet.records.models import Mark
from fleet.web.templatetags import figures, marks


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (said.torque(115.2445, "us"), "85 lbf·ft"),
        (said.torque(115.2445, "metric"), "115.2 N·m"),
        (said.tape(1.1763375, "us"), "46 5/16 in"),
        (figures.play(0.0015875, "us"), "0.063 in"),
        (said.toe(0.0015875, "us"), "1/16 in toe-in"),
        (said.toe(-0.0016, "metric"), "1.6 mm toe-out"),
        (said.toe(0.0001, "us"), "no toe"),
        (said.meter(use_si(48_210, "mi"), "mi"), "48,210 mi"),
        (said.meter(use_si(1_302, "h"), "h"), "1,302 h"),
        (figures.per_day(40 * 1609.344, "mi"), "40 mi a day"),
        (figures.per_day(3.5 * 3600, "h"), "3.5 h a day"),
        (figures.speed(22.352, "us"), "50 mph"),
        (figures.speed(22.352, "metric"), "80 km/h"),
        (figures.share(0.625), "62%"),
        (figures.degrees(30.0), "30°"),
        (said.torque(None, "us"), "—"),
        (said.meter(None, "mi"), "—"),
        (figures.day(None), "—"),
    ],
)
def test_a_figure_always_comes_with_its_unit(shown: str, expected: str) -> None:
    assert shown == expected


@pytest.mark.parametrize(
    ("hours", "words"), [(0, "0 hours"), (1, "1 hour"), (30, "1 day"), (73_728, "3,072 days")]
)
def test_an_age_is_told_in_days_or_on_the_first_day_in_hours(hours: int, words: str) -> None:
    now = datetime(2026, 11, 25, 19, tzinfo=UTC)
    assert figures.age(now - timedelta(hours=hours), now) == words


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("on A-109: loose", 'on <span class="nowrap">A-109</span>: loose'),
        ("lot K-2231", 'lot <span class="nowrap">K-2231</span>'),
        ("on 2027-03-02, or", 'on <span class="nowrap">2027-03-02</span>, or'),
        ("drag-link end", "drag-link end"),
        ("<b>A-1", '&lt;b&gt;<span class="nowrap">A-1</span>'),
    ],
)
def test_no_line_ends_inside_a_unit_or_lot_number(text: str, shown: str) -> None:
    assert figures.unbroken(text) == shown


def test_why_the_program_let_a_recheck_go_is_read_in_the_reader_s_language() -> None:
    with translation.override("es"):
        assert figures.let_go("done again") == "se hizo otra vez"
        assert figures.let_go("Frame was cut") == "Frame was cut"


def test_each_state_has_a_shape_of_its_own_and_its_words() -> None:
    drawings = {str(marks.mark(state)) for state in Mark}
    shapes = {drawing.split(">", 1)[1] for drawing in drawings}
    assert len(shapes) == len(Mark)
    for state in Mark:
        assert f'aria-label="{state.label}"' in marks.mark(state)


def test_the_arc_tells_the_share_used_and_goes_no_further_than_round() -> None:
    assert 'stroke-dasharray="25 100"' in marks.mark("tight", 0.25)
    late = marks.mark("tight", 3.0)
    assert 'stroke-dasharray="100 100"' in late
    assert "mark-arc--over" in late
    assert "300% of the recheck interval used" in late
    assert "mark-arc" not in marks.mark("tight")


def test_a_mark_beside_its_words_is_not_read_twice() -> None:
    drawing = marks.mark("play", 0.5, hidden=True)
    assert 'aria-hidden="true"' in drawing
    assert "aria-label" not in drawing
