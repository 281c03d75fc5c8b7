"""Figures on a page: said once, and kept in one piece."""

import pytest

from fleet.web.templatetags.figures import bound, in_one_piece, says_otherwise


@pytest.mark.parametrize(
    ("figure", "typed", "tells_more"),
    [
        ("195 to 220 lbf·ft", "195 – 220 lbf·ft", False),
        ("264 to 298 N·m", "195 – 220 lbf·ft", True),
        ("48 mph", "48 mph", False),
        ("77 km/h", "48 mph", True),
        ("48 mph", "about 45 to 50", True),
    ],
)
def test_a_figure_is_said_again_only_where_it_tells_more(
    figure: str, typed: str, tells_more: bool
) -> None:
    assert says_otherwise(figure, typed) is tells_more


def test_a_figure_is_never_torn_from_its_unit_or_its_fraction() -> None:
    assert (
        in_one_piece("195 – 220 lbf·ft")
        == "195\N{NO-BREAK SPACE}–\N{WORD JOINER}\N{NO-BREAK SPACE}220\N{NO-BREAK SPACE}lbf·ft"
    )
    assert in_one_piece("-0.5 – 0.7").startswith("−0.5")
    assert bound("Like 46 5/16 in or 915 mm.") == (
        "Like 46\N{NO-BREAK SPACE}5/16\N{NO-BREAK SPACE}in or 915\N{NO-BREAK SPACE}mm."
    )
