"""A ribbon: along its high side and back along its low one, behind the axes."""

import re

import pytest

from fleet.pictures.plots import NARROW, SIZES, Axis, Line, Plot, Ribbon, Size, draw


def plot(*points: tuple[float, float, float]) -> Plot:
    line = Line([(x, (low + high) / 2) for x, low, high in points], "middle")
    return Plot("p", "A ribbon", "It says so.", Axis("x"), Axis("y"), [Ribbon(points), line])


@pytest.mark.parametrize("size", SIZES, ids=lambda size: str(size.name))
def test_it_is_one_closed_shape_that_lies_within_the_axes(size: Size) -> None:
    drawn = draw(plot((0, 90, 100), (10, 60, 95), (20, 40, 80)), size)
    assert drawn.count('class="trace-band"') == 1
    band = (
        drawn.split('class="trace-band"')[0].rsplit("<path", 1)[1]
        + drawn.split('class="trace-band"')[1].split(">")[0]
    )
    assert band.count("L") == 5
    assert "Z" in band


def test_without_points_nothing_is_drawn() -> None:
    empty = Plot("p", "A", "B.", Axis(), Axis(), [Ribbon([]), Line([(0, 0), (1, 1)], "l")])
    assert "trace-band" not in draw(empty, SIZES[0])


def test_names_of_curves_that_end_at_one_height_stand_one_over_the_other() -> None:
    one, other = (Line([(0, 9), (1, 0.2 * n)], f"curve {n}") for n in range(2))
    drawn = draw(Plot("p", "A", "B.", Axis(), Axis(), [one, other]), NARROW)
    low, high = (
        float(re.search(rf'y="([0-9.]+)"[^>]*>{name}<', drawn)[1])  # type: ignore[index]
        for name in ("curve 0", "curve 1")
    )
    assert abs(low - high) >= NARROW.text
