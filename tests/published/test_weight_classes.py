"""Weight classes of the routine rules against the lines that the law draws.

49 CFR 390.5: a gross weight rating of 4,536 kg (10,001 pounds) or more. 49 CFR 383.91 (a)(2): a
heavy straight vehicle, of 11,794 kilograms or more (26,001 pounds or more).
"""

import pytest

from fleet.reads.rules import weight_class
from fleet.records.models import Vehicle
from fleet.web.measures import WeightField


@pytest.mark.parametrize(
    ("typed", "its_class"),
    [
        ("10,000 lb", "light"),
        ("10,001 lb", "medium"),
        ("4,537 kg", "medium"),
        ("26,000 lb", "medium"),
        ("26,001 lb", "heavy"),
        ("11,793 kg", "medium"),
        ("11,794 kg", "heavy"),
    ],
)
def test_a_pound_over_the_line_is_over_the_line(typed: str, its_class: str) -> None:
    assert weight_class(Vehicle(gross_weight_kg=WeightField().clean(typed))) == its_class
