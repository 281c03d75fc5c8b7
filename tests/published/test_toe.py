"""Toe distance against angle, with published pairs (tests/published/data/toe_examples.csv)."""

import pytest

from fleet.calc.alignment import toe_angle_degrees
from tests.published.tables import rows

#: The sources print angles to a hundredth, or to a thousandth of a degree.
LAST_DIGIT = {"A": 0.005, "B": 0.005, "C": 0.0005, "D": 0.005}


@pytest.mark.parametrize(
    "row",
    rows("toe_examples.csv"),
    ids=lambda row: f"{row['case']} {row['which']}: {row['note']} ({row['read_or_memory']})",
)
def test_angle_of_a_published_distance(row: dict[str, str]) -> None:
    one_wheel = row["which"].startswith("per wheel")
    distance = float(row["distance_mm"]) / 1000
    total = 2 * distance if one_wheel else distance
    degrees = toe_angle_degrees(total, float(row["D_mm"]) / 1000)
    expected = float(row["angle_deg"]) * (2 if one_wheel else 1)
    assert degrees == pytest.approx(expected, abs=LAST_DIGIT[row["case"]])
