"""What a cell of a file is answered when it names something that is not on file."""

import pytest

from fleet.operations.bring_in.cells import CellError, named


def answer(*on_file: str) -> str:
    with pytest.raises(CellError) as refused:
        named(dict.fromkeys(on_file, 1), "design")("Quillon")
    return str(refused.value)


def test_a_name_like_none_on_file_is_answered_with_those_that_are() -> None:
    assert answer("Foothill", "Basin") == "There is no such design. On file: Basin; Foothill."


def test_of_many_names_the_first_are_told_and_how_many_more() -> None:
    told = answer(*(f"Mesa {number}" for number in range(12)))
    assert told.endswith(", and 4 more.")
    assert told.count("Mesa") == 8


def test_with_nothing_on_file_it_says_so() -> None:
    assert answer() == "There is no such design: none is on file yet."
