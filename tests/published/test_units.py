"""Unit factors against NIST SP 811 (printed figures from memory, unverified) and two libraries."""

import pint
import pytest
from scipy import constants

from fleet.calc.unit_table import UNITS
from fleet.calc.units import convert
from tests.published.tables import rows

OURS = [row for row in rows("unit_factors.csv") if "survey" not in row["from"]]
PINT_NAMES = {
    "in": "inch", "ft": "foot", "mm": "millimeter", "cm": "centimeter", "m": "meter",
    "mi": "mile", "km": "kilometer", "h": "hour", "s": "second", "N·m": "newton*meter",
    "lbf·ft": "pound_force*foot", "lbf·in": "pound_force*inch", "kgf·m": "kilogram_force*meter",
    "psi": "psi", "kPa": "kilopascal", "bar": "bar", "MPa": "megapascal", "N": "newton",
    "lbf": "pound_force",
}  # fmt: skip
REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize(
    "row", OURS, ids=lambda row: f"NIST SP 811 B.8 {row['from']} to {row['to']} (from memory)"
)
def test_factor_agrees_as_far_as_it_is_printed(row: dict[str, str]) -> None:
    printed = row["sp811_printed"]
    half_a_last_digit = 0.5 * 10.0 ** -len(printed.partition(".")[2])
    ours = convert(1, row["from"], row["to"])
    assert ours == pytest.approx(float(printed), abs=half_a_last_digit)
    assert ours == pytest.approx(float(row["full_precision"]), rel=1e-15)


@pytest.mark.parametrize(
    ("unit", "factor"),
    [
        pytest.param("in", constants.inch, id="scipy.constants inch"),
        pytest.param("ft", constants.foot, id="scipy.constants foot"),
        pytest.param("mi", constants.mile, id="scipy.constants mile"),
        pytest.param("lbf", constants.lbf, id="scipy.constants pound-force"),
        pytest.param("psi", constants.psi, id="scipy.constants psi"),
        pytest.param("bar", constants.bar, id="scipy.constants bar"),
        pytest.param("lbf·ft", constants.lbf * constants.foot, id="scipy.constants lbf ft"),
        pytest.param("lbf·in", constants.lbf * constants.inch, id="scipy.constants lbf in"),
        pytest.param("kgf·m", constants.kgf, id="scipy.constants kgf m"),
        pytest.param("h", constants.hour, id="scipy.constants hour"),
    ],
)
def test_factor_agrees_with_scipy(unit: str, factor: float) -> None:
    assert float(UNITS[unit].factor) == pytest.approx(factor, rel=1e-15)


@pytest.mark.parametrize("name", sorted(UNITS), ids=lambda name: f"pint {PINT_NAMES[name]}")
def test_factor_agrees_with_pint(name: str) -> None:
    theirs = REGISTRY.Quantity(1.0, PINT_NAMES[name]).to_base_units().magnitude
    # pint's base unit of force and pressure is in kilograms, meters and seconds: the same as SI.
    assert float(UNITS[name].factor) == pytest.approx(float(theirs), rel=1e-14)


def test_the_mile_is_not_the_us_survey_mile() -> None:
    survey = next(row for row in rows("unit_factors.csv") if "survey" in row["from"])
    assert convert(1, "mi", "km") != pytest.approx(float(survey["full_precision"]), rel=1e-6)
