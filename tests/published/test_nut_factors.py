"""Published nut factors against the range of K that each thread condition is given."""

import pytest

from fleet.calc.fastener_tables import NUT_FACTORS

PUBLISHED = [
    ("dry", 0.30, "Shigley 9e Table 8-15, nonplated black (read)"),
    ("dry", 0.20, "Shigley 9e Table 8-15, zinc (read)"),
    ("dry", 0.20, "Handbook of Bolts and Bolted Joints as quoted, bare steel (read)"),
    ("dry", 0.295, "Handbook of Bolts and Bolted Joints as quoted, zinc dry (read)"),
    ("dry", 0.20, "public engineering page, dry, low side (read)"),
    ("dry", 0.25, "public engineering page, dry, high side (read)"),
    ("dry", 0.20, "mechanical design handbook page, dry (read)"),
    ("oiled", 0.18, "Shigley 9e Table 8-15, lubricated (read)"),
    ("oiled", 0.15, "public engineering page, oiled, low side (read)"),
    ("oiled", 0.20, "public engineering page, oiled, high side (read)"),
    ("oiled", 0.15, "mechanical design handbook page, lubricated (read)"),
    ("anti_seize", 0.12, "Shigley 9e Table 8-15, anti-seize (read)"),
    ("anti_seize", 0.12, "public engineering page, anti-seize, low side (read)"),
    ("anti_seize", 0.16, "public engineering page, anti-seize, high side (read)"),
]


@pytest.mark.parametrize(
    ("condition", "factor"), [pytest.param(*row[:2], id=row[2]) for row in PUBLISHED]
)
def test_a_published_factor_lies_within_the_range(condition: str, factor: float) -> None:
    known = NUT_FACTORS[condition]
    assert known.low <= factor <= known.high


@pytest.mark.parametrize("condition", ["dry", "oiled", "anti_seize"])
def test_the_range_is_no_wider_than_what_is_published(condition: str) -> None:
    factors = [factor for name, factor, _source in PUBLISHED if name == condition]
    assert (min(factors), max(factors)) == (NUT_FACTORS[condition].low, NUT_FACTORS[condition].high)
