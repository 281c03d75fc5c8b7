"""What holds of every calculator: no bare number, no failure on any text, nothing loaded early."""

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.calc import bolts, fastener_text, records, samples, slotted_nuts, unit_errors
from fleet.reads.reckoning import CALCULATORS, why
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
