"""Fasteners as typed: what is read, and where a text fails."""

import copy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.fastener_tables import METRIC_PITCHES, UNIFIED_THREADS
from fleet.calc.fastener_text import MESSAGES, parse_class
from fleet.calc.fasteners import FastenerTextError, parse_fastener, parse_thread

NAMES = [f"M{size} x {pitch:g}" for size, row in METRIC_PITCHES.items() for pitch in row] + [
    f"{size}-{row[n]} {series}"
    for size, row in UNIFIED_THREADS.items()
    for n, series in ((1, "UNC"), (2, "UNF"))
]


@pytest.mark.parametrize("name", NAMES)
def test_the_name_of_every_thread_is_read_back(name: str) -> None:
    thread = parse_thread(name)
    assert thread.name == name
    assert parse_thread(name.upper().replace(" ", "")) == thread


@pytest.mark.parametrize(
    ("text", "reads"),
    [
        ("M14 x 2 10.9", "M14 x 2 10.9"),
        ("M14×2 10.9", "M14 x 2 10.9"),
        ("m14X2,0 class 10,9", "M14 x 2 10.9"),
        ("M10x1.5", ""),
        ("M10x1.5 8.8", "M10 x 1.5 8.8"),
        ("M 12 10.9", "M12 x 1.75 10.9"),
        ("M12, property class 12.9", "M12 x 1.75 12.9"),
        ("9/16-18 UNF grade 8", "9/16-18 UNF grade 8"),
        ("9/16-18 gr. 8", "9/16-18 UNF grade 8"),
        ('1/2" - 13 SAE grade 5', "1/2-13 UNC grade 5"),
        ("1-8 UNC 2", "1-8 UNC grade 2"),
        ("  3/4-16 unf, Grade 8  ", "3/4-16 UNF grade 8"),
    ],
)
def test_ways_of_writing_a_fastener(text: str, reads: str) -> None:
    if reads:
        assert str(parse_fastener(text)) == reads
    else:
        with pytest.raises(FastenerTextError, match="class"):
            parse_fastener(text)


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        ("", "empty", ""),
        ("x" * 99, "too_long", "x" * 39),
        ("bolt", "unknown_thread", "bolt"),
        ("M13 10.9", "unknown_thread", "13 10.9"),
        ("M10 x 2 10.9", "unknown_pitch", "2 10.9"),
        ("M10 x 1.5x60 10.9", "unknown_thread", "M10 x 1.5x60 10.9"),
        ("9/16-20 grade 8", "unknown_pitch", "20 grade 8"),
        ("11/16-12 grade 8", "unknown_thread", "11/16-12 grade 8"),
        ("9/16-18 UNC grade 8", "series_mismatch", "UNC grade 8"),
        ("M14 x 2", "class_missing", ""),
        ("M14 x 2 9.8", "unknown_class", "9.8"),
        ("M14 x 2 strong", "unknown_class", "strong"),
        ("M14 x 2 grade 8", "class_of_other_series", "8"),
        ("9/16-18 UNF 8.8", "class_of_other_series", "8.8"),
        ("M14 x 2 10.9 zinc", "unexpected", "zinc"),
    ],
)
def test_an_error_names_the_place_and_gives_an_example(text: str, code: str, place: str) -> None:
    with pytest.raises(FastenerTextError) as failed:
        parse_fastener(text)
    error = failed.value
    assert (error.code, error.text[error.position :]) == (code, place)
    assert error.hint in str(error)
    assert MESSAGES[code] in str(error)
    assert str(copy.copy(error)) == str(error)


def test_the_hint_of_a_pitch_lists_what_the_size_has() -> None:
    with pytest.raises(FastenerTextError) as failed:
        parse_thread("M10 x 2")
    assert failed.value.hint == "M10 x 1.5 or M10 x 1.25 or M10 x 1"


@given(st.text(max_size=40) | st.text("M1490/-x×.,8 UNFgradecls", max_size=25))
def test_any_text_is_read_or_refused_in_its_place(text: str) -> None:
    place = 0
    try:
        bolt = parse_fastener(text)
    except FastenerTextError as error:
        place = error.position
    else:
        assert parse_fastener(str(bolt)) == bolt
    assert 0 <= place <= len(text)


def test_thread_and_class_alone() -> None:
    with pytest.raises(FastenerTextError) as failed:
        parse_thread("M14 x 2 10.9")
    assert (failed.value.code, failed.value.hint) == ("unexpected", "M14 x 2")
    assert parse_class("Grade 8", "inch").name == "8"
    with pytest.raises(FastenerTextError):
        parse_class(" ", "metric")
