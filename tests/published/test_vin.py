"""VIN check digits and tables as 49 CFR 565 and others print them."""

import pytest

from fleet.calc.vin import check_digit, validate_vin
from tests.published.tables import rows


@pytest.mark.parametrize(
    "row",
    rows("vin_examples.csv"),
    ids=lambda row: f"{row['vin']} - {row['source']} ({row['read_or_memory']})",
)
def test_check_digit_of_a_published_example(row: dict[str, str]) -> None:
    assert check_digit(row["vin"]) == row["check_digit"]
    whole = row["vin"].replace("_", row["check_digit"])
    assert validate_vin(whole).problems == ()


@pytest.mark.parametrize(
    "row",
    rows("vin_transliteration.csv"),
    ids=lambda row: f"49 CFR 565.15(c) Table III {row['character']}={row['value']}",
)
def test_value_of_a_character(row: dict[str, str]) -> None:
    # At position 16 the weight is 3, alone in a row of noughts.
    remainder = 3 * int(row["value"]) % 11
    assert check_digit("0" * 15 + row["character"] + "0") == "0123456789X"[remainder]


@pytest.mark.parametrize(
    "row",
    rows("vin_weights.csv"),
    ids=lambda row: f"49 CFR 565.15(c) Table IV position {row['position']}",
)
def test_weight_of_a_position(row: dict[str, str]) -> None:
    position = int(row["position"])
    only_one = "0" * (position - 1) + "1" + "0" * (17 - position)
    assert check_digit(only_one) == "0123456789X"[int(row["weight"]) % 11]


@pytest.mark.parametrize(
    "row",
    rows("vin_model_year.csv"),
    ids=lambda row: f"49 CFR 565.15 Table VII year code {row['code']}",
)
def test_model_year_of_a_code(row: dict[str, str]) -> None:
    early, late = int(row["year_1980_2009"]), int(row["year_2010_2039"])
    with_digit, with_letter = f"000000100{row['code']}0000000", f"000000A00{row['code']}0000000"
    assert validate_vin(with_digit).model_years == (early, late)
    assert validate_vin(with_digit, light=True).model_years == (early,)
    assert validate_vin(with_letter, light=True).model_years == (late,)
    assert validate_vin(with_letter, light=False).model_years == (early, late)
