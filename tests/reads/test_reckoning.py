"""What holds of every calculator: no bare number, no failure on any text, nothing loaded early."""

import doctest
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.calc import bolts, fastener_text, records, samples, slotted_nuts, unit_errors
from fleet.calc.units import parse_length
from fleet.reads.reckoning import CALCULATORS, show, why
from fleet.reads.reckoning.answers import Answer, Unclear
from tests.reads.reckoned import WHOLE, ask, whole, wrongs

ROOT = Path(__file__).parents[2]
NAMES = list(CALCULATORS)
TYPED = NAMES.copy()
TYPED.remove("vibration")


@pytest.mark.parametrize("name", NAMES)
def test_no_figure_stands_without_unit_limit_and_origin(name: str) -> None:
    answer = whole(name)
    assert answer.verdict.text
    assert answer.figures
    for figure in answer.figures:
        assert figure.limit
        assert figure.origin
        for amount in figure.amounts:
            assert amount.shown
            # A date and a year are their own unit.
            assert amount.unit or name in ("due-date", "vin")
    for table in answer.tables:
        assert table.limit
        assert table.origin
        assert all(column.unit for column in table.columns)
        assert all(len(row) == len(table.columns) for row in table.rows)


@pytest.mark.parametrize("name", NAMES)
def test_what_was_typed_is_read_back_as_understood(name: str) -> None:
    answer = whole(name)
    choices = {ask.name for ask in CALCULATORS[name].asks if ask.kind in ("choice", "tick")}
    assert {one.field for one in answer.understood} == set(WHOLE[name]) - choices
    assert all(one.read_as and one.label for one in answer.understood)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_typed_asks_for_what_is_needed_with_an_example(name: str) -> None:
    with pytest.raises(Unclear) as unclear:
        ask(name)
    assert {problem.code for problem in unclear.value.problems} == {"missing"}
    needed = {ask.name for ask in CALCULATORS[name].asks if ask.needed}
    assert needed <= {problem.field for problem in unclear.value.problems}
    assert all(problem.message for problem in unclear.value.problems)


@pytest.mark.parametrize("name", NAMES)
def test_every_example_of_a_field_can_be_typed(name: str) -> None:
    for ask_for in CALCULATORS[name].asks:
        for units in ("us", "metric"):
            example = ask_for.example_for(units)
            if example and ask_for.kind not in ("record", "lines"):
                assert ask_for.name not in wrongs(name, units, **{ask_for.name: example})


def answered(name: str, typed: dict[str, str]) -> Answer | None:
    """An answer or None; anything else that is raised fails the test."""
    try:
        return ask(name, **typed)
    except Unclear:
        return None


FIGURE_LIKE = st.text("0123456789 /.,-°'\"ainmNft%:;x×M\n", max_size=14)


@pytest.mark.parametrize("name", TYPED)
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_no_text_in_any_field_makes_it_fail(name: str, data: st.DataObject) -> None:
    typed = dict(WHOLE[name])
    fields = [one.name for one in CALCULATORS[name].asks]
    for field in data.draw(st.lists(st.sampled_from(fields), min_size=1, max_size=3)):
        typed[field] = data.draw(FIGURE_LIKE | st.text(max_size=12), label=field)
    answer = answered(name, typed)
    assert answer is None or answer.verdict.text


@settings(max_examples=60, deadline=None)
@given(st.text("time,axyz;\n0123456789.-g/", max_size=60))
def test_no_text_as_a_record_makes_it_fail(text: str) -> None:
    assert answered("vibration", {"record": text}) is None


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        (why.FIGURE, unit_errors.MESSAGES),
        (why.FASTENER, fastener_text.MESSAGES),
        (why.RECORD, records.MESSAGES),
        (why.SHAKE, samples.MESSAGES),
        (why.SLOT, slotted_nuts.REFUSALS),
        (
            why.REFUSED,
            dict.fromkeys([*(code for code, _ in bolts.REFUSALS.values()), "prevailing"]),
        ),
    ],
    ids=["figures", "fasteners", "records", "shakes", "slots", "refusals"],
)
def test_every_code_of_the_arithmetic_has_its_words(
    words: dict[str, str], codes: dict[str, object]
) -> None:
    assert set(words) == set(codes)


def test_the_signal_library_is_loaded_only_for_a_record() -> None:
    code = """
import os, sys
os.environ["DJANGO_SETTINGS_MODULE"] = "fleet.settings"
import django
django.setup()
import fleet.urls
sys.exit("scipy.signal" in sys.modules or "scipy.interpolate" in sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False)  # noqa: S603  (our own code)
    assert done.returncode == 0


@given(st.integers(-64 * 200, 64 * 200))
def test_a_length_shown_as_a_tape_reads_is_read_back_exactly(sixty_fourths: int) -> None:
    metres = sixty_fourths / 64 * show.INCH
    typed = show.inches(metres).replace("−", "-")
    assert parse_length(typed, "in", signed=True).si == pytest.approx(metres, abs=1e-12)


@given(st.floats(-5, 5))
def test_a_length_shown_is_never_off_by_more_than_its_last_digit(metres: float) -> None:
    plain = show.inches(metres).replace("−", "-").replace(",", "")
    assert parse_length(plain, "in", signed=True).si == pytest.approx(metres, abs=0.00052 * 0.0254)
    millimeters = float(show.millimetres(metres).replace("−", "-").replace(",", ""))
    assert millimeters == pytest.approx(metres * 1000, abs=0.0501)


@given(st.floats(1, 500), st.floats(1, 500))
def test_more_torque_is_never_less_clamp_load(one: float, other: float) -> None:
    low, high = sorted((one, other))
    loads = [whole("clamp-load", low=f"{torque:.4f} N·m", factory_low="").figures[1].amounts[0]
             for torque in (low, high)]  # fmt: skip
    assert (loads[0].value or 0) <= (loads[1].value or 0)


@given(st.integers(-16, 16), st.integers(-16, 16))
def test_there_and_back_turns_the_sleeve_there_and_back(one: int, other: int) -> None:
    there, back = (
        whole("sleeve-turns", toe_now=f"{a} mm", toe_wanted=f"{b} mm").figures[0].amounts[0]
        for a, b in ((one, other), (other, one))
    )
    assert (there.value or 0) == pytest.approx(-(back.value or 0))


@pytest.mark.parametrize("text", ["0.001", "1/64", "1/8", "1", "46 5/16", "200"])
def test_inches_and_their_millimeters_are_one_length(text: str) -> None:
    inch = ask("units", kind="length", text=text).figures[0].amounts
    metric = ask("units", "metric", kind="length", text=f"{inch[2].value:.6f}")
    assert [one.shown for one in metric.figures[0].amounts] == [one.shown for one in inch]


def test_the_examples_in_its_docstrings_hold() -> None:
    assert doctest.testmod(show).failed == 0
