"""Figures and VINs read back: what is shown is what the same text is recorded as."""

import pytest

from fleet.calc.units import parse_length, parse_torque
from fleet.operations.errors import Refused
from fleet.operations.understood import understood


@pytest.mark.parametrize(
    ("kind", "typed", "system", "reading", "other"),
    [
        ("length", "46 5/16", "us", "46 5/16 in", "1176.3 mm"),
        ("length", "46-5/16\"", "metric", "46 5/16 in", "1176.3 mm"),
        ("length", "1/8", "us", "1/8 in", "3.2 mm"),
        ("length", "0.03 in", "us", "0.03 in", "0.8 mm"),
        ("length", "0,8 mm", "us", "0.8 mm", "0.031 in"),
        ("length", "1176 mm", "us", "1176 mm", "46 19/64 in"),
        ("length", "3' 10 5/16\"", "us", "46 5/16 in", "1176.3 mm"),
        ("torque", "125 ft-lb", "us", "125 lbf·ft", "169.5 N·m"),
        ("torque", "170 Nm", "us", "170 N·m", "125.4 lbf·ft"),
        ("torque", "125.5", "us", "125.5 lbf·ft", "170.2 N·m"),
        ("torque", "120 in-lbs", "us", "120 lbf·in", "10 lbf·ft"),
        ("pressure", "38", "us", "38 psi", "262 kPa"),
        ("pressure", "4,5 bar", "metric", "4.5 bar", "450 kPa"),
    ],
)  # fmt: skip
def test_a_figure_is_said_as_typed_and_in_the_other_unit(
    kind: str, typed: str, system: str, reading: str, other: str
) -> None:
    read = understood(kind, typed, system=system)
    assert (read.reading, read.other) == (reading, other)


def test_the_reading_is_the_one_that_is_recorded() -> None:
    assert understood("length", "46 5/16").si == parse_length("46 5/16").si
    assert understood("torque", "125").si == parse_torque("125", "lbf·ft").si
    assert understood("torque", "170", unit="N·m").si == 170.0


def test_below_zero_only_where_it_makes_sense() -> None:
    assert understood("length", "-1/16", signed=True).reading == "-1/16 in"
    assert refused("length", "-1/16") == "negative"


def refused(kind: str, typed: str, **more: str) -> str:
    with pytest.raises(Refused) as caught:
        understood(kind, typed, **more)  # type: ignore[arg-type]  # texts alone
    return caught.value.problems[0].code


@pytest.mark.parametrize(
    ("kind", "typed", "code"),
    [
        ("length", "465/16", "improper_fraction"),
        ("length", "1,176 mm", "ambiguous_comma"),
        ("length", "12 N·m", "wrong_kind"),
        ("torque", "tight", "missing_number"),
        ("torque", "1" * 41, "too_many_digits"),
        ("weight", "9,900 lb", "kind_unknown"),
        ("vin", "JH2RC3605MM1O1581", "vin_wrong"),
        ("vin", "JH2RC36", "vin_wrong"),
    ],
)
def test_what_can_t_be_read_is_told_with_an_example(kind: str, typed: str, code: str) -> None:
    assert refused(kind, typed) == code


def test_a_unit_of_another_kind_is_refused() -> None:
    assert refused("length", "12", unit="N·m") == "unit_unknown"
    assert refused("length", "12", unit="cubit") == "unit_unknown"


def test_a_vin_is_read_back_tidied_and_its_check_digit_judged() -> None:
    """JH2RC3605MM101581 as in tests/calc/test_vin.py: a VIN whose check digit fits."""
    assert understood("vin", "jh2rc3605mm101581").reading == "JH2RC3605MM101581"
    assert understood("vin", "jh2rc3605mm101581").doubt == ""
    assert "check digit" in understood("vin", "JH2RC3615MM101581").doubt
