"""VINs: what is found wrong, and where."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.vin import VinError, VinProblem, check_digit, validate_vin

ALLOWED = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"
vins = st.text(ALLOWED, min_size=17, max_size=17)


def with_check_digit(vin: str) -> str:
    return vin[:8] + check_digit(vin) + vin[9:]


@given(vins)
def test_a_vin_with_its_own_check_digit_has_no_problem(vin: str) -> None:
    assert validate_vin(with_check_digit(vin)).problems == ()
    assert validate_vin(f" {with_check_digit(vin).lower()} ").problems == ()


@given(vins, st.sampled_from([p for p in range(17) if p != 8]), st.sampled_from("0123456789"))
def test_one_wrong_digit_is_found(vin: str, position: int, digit: str) -> None:
    """Between two digits the weighted sum changes by less than 11 times anything."""
    right = with_check_digit(vin[:position] + "0" + vin[position + 1 :])
    wrong = right[:position] + digit + right[position + 1 :]
    found = validate_vin(wrong).problems
    assert [problem.code for problem in found] == ([] if digit == "0" else ["check_digit"])


@given(st.text(max_size=40))
def test_any_text_gets_an_answer(text: str) -> None:
    checked = validate_vin(text)
    if not checked.readable:
        with pytest.raises(VinError):
            check_digit(text[:8] + "!" + text[9:] if len(text) != 17 else text)
    assert checked.problems or len(checked.vin) == 17


def test_letters_that_look_like_digits_are_named_with_their_places() -> None:
    checked = validate_vin("IM8GDM9AXKPO4278Q")
    assert checked.problems == (
        VinProblem("character", 1, "I"),
        VinProblem("character", 12, "O"),
        VinProblem("character", 17, "Q"),
    )
    assert not checked.readable


def test_a_short_vin_says_how_many() -> None:
    checked = validate_vin("1M8GDM9AXKP04278")
    assert [str(problem) for problem in checked.problems] == ["16 characters, not 17"]
    assert checked.model_years == ()


def test_a_wrong_check_digit_is_named_and_the_vin_stays_readable() -> None:
    checked = validate_vin("JH2RC3604MM101581")
    assert checked.problems == (VinProblem("check_digit", 9, "4", "5"),)
    assert checked.readable
    assert checked.model_years == (1991, 2021)


def test_a_letter_beyond_ascii_keeps_its_place() -> None:
    problem = validate_vin("JH2RC360ßMM101581").problems[0]
    assert (problem.position, problem.found) == (9, "ß")


def test_a_code_that_stands_for_no_year_gives_none() -> None:
    assert validate_vin(with_check_digit("JH2RC3605UM101581")).model_years == ()


def test_no_check_digit_of_an_unreadable_vin() -> None:
    with pytest.raises(VinError) as caught:
        check_digit("JH2RC36O5MM10158")
    assert [problem.code for problem in caught.value.problems] == ["length", "character"]
    assert str(caught.value) == "16 characters, not 17; 'O' at position 8 is not allowed"
