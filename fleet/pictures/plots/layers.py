"""Each kind of layer as elements of SVG."""

from collections.abc import Callable, Sequence
from typing import Any

from fleet.pictures.plots import marks
from fleet.pictures.plots.figures import Element, Elements, place, text_at, traced, width_of
from fleet.pictures.plots.frame import Frame
from fleet.pictures.plots.looks import Look
from fleet.pictures.plots.plot import (
    Band,
    Column,
    Columns,
    Layer,
    Line,
    Point,
    Points,
    Ribbon,
    Steps,
    Stretch,
    Target,
)

#: Beyond so many points a place is kept to a whole unit, and one place is drawn once.
FINE = 150
_DOT = 3.4
_MOST = 800


def drawn(layer: Layer, frame: Frame, look: Look) -> Elements:
    """The elements of one layer, back to front."""
    draw: dict[type, Callable[[Any, Frame, Look], Elements]] = {
        Band: _band, Columns: _columns, Line: _line, Points: _points, Ribbon: _ribbon,
        Steps: _steps, Target: _target,
    }  # fmt: skip
    return draw[type(layer)](layer, frame, look)


def _line(layer: Line, frame: Frame, look: Look) -> Elements:
    places = _thinned([frame.place(point) for point in layer.points])
    path = "M" + "L".join(f"{place(x)} {place(y)}" for x, y in places)
    return [traced(path, look.of(layer.kind))] if places else []


def _steps(layer: Steps, frame: Frame, look: Look) -> Elements:
    if not layer.points:
        return []
    end = frame.x(layer.until)
    found: Elements = []
    if layer.band:
        found.append(traced(_band_of_steps(layer, frame, end), look.of("band")))
    path = step_path([frame.place(point) for point in layer.points], end)
    return [*found, traced(path, look.of(layer.kind))]


def staircase(places: Sequence[Point], end: float) -> list[Point]:
    """The corners that `step_path` runs along."""
    corners = list(places[:1])
    for x, y in places[1:]:
        corners += [(x, corners[-1][1]), (x, y)]
    return [*corners, (end, corners[-1][1])]


def step_path(places: Sequence[Point], end: float) -> str:
    """Right to each event and then up or down to its value; right once more to the end."""
    first, *rest = places
    path = f"M{place(first[0])} {place(first[1])}"
    path += "".join(f"H{place(x)}V{place(y)}" for x, y in _last_of_each(rest))
    return path + f"H{place(end)}"


def _last_of_each(places: Sequence[Point]) -> list[Point]:
    """Of events at one place the last, since the curve passes the others by; of very many
    events those of two units of width are one."""
    if len(places) <= FINE:
        return list(places)
    return list({round(x / 2): (float(round(x / 2) * 2), y) for x, y in places}.values())


def _band_of_steps(layer: Steps, frame: Frame, end: float) -> str:
    """Along the high side and back along the low side, in the same steps as the curve."""
    xs = [frame.x(x) for x, _y in layer.points]
    low = [frame.y(one[0]) for one in layer.band]
    high = [frame.y(one[1]) for one in layer.band]
    path = step_path(list(zip(xs, high, strict=True)), end) + f"V{place(low[-1])}"
    back = [(xs[n], low[n - 1]) for n in range(len(xs) - 1, 0, -1)]
    path += "".join(f"H{place(x)}V{place(y)}" for x, y in _last_of_each(back))
    return path + f"H{place(xs[0])}Z"


def _band(layer: Band, frame: Frame, look: Look) -> Elements:
    shapes = [_box(one, frame) for one in layer.stretches]
    fill = "".join(f"M{a} {b}H{c}V{d}H{a}Z" for a, b, c, d in shapes)
    edge = "".join(f"M{a} {b}H{c}M{a} {d}H{c}" for a, b, c, d in shapes)
    if not shapes:
        return []
    return [traced(fill, look.of("band")), traced(edge, look.of("edge"))]


def _ribbon(layer: Ribbon, frame: Frame, look: Look) -> Elements:
    """Along the high side and back along the low one."""
    over = [frame.place((x, high)) for x, _low, high in layer.points]
    under = [frame.place((x, low)) for x, low, _high in reversed(layer.points)]
    path = "M" + "L".join(f"{place(x)} {place(y)}" for x, y in [*over, *under]) + "Z"
    return [traced(path, look.of("band"))] if layer.points else []


def _box(one: Stretch, frame: Frame) -> tuple[str, str, str, str]:
    sides = (frame.x(one.begin), frame.y(one.high), frame.x(one.end), frame.y(one.low))
    a, b, c, d = (place(side) for side in sides)
    return a, b, c, d


def _points(layer: Points, frame: Frame, look: Look) -> Elements:
    places = [frame.place(point) for point in layer.points]
    if not places:
        return []
    if len(places) > FINE:
        drawn_at = "".join(f"M{x} {y}h0" for x, y in _apart(places))
        cap = {"stroke-width": "4", "stroke-linecap": "round"}
        return [traced(drawn_at, {**look.of("line", layer.act), **cap})]
    part = "mark" if layer.shape in marks.OPEN else "dot" if layer.solid else "ring"
    wide = {"stroke-width": "1.8"} if part == "mark" else {}
    return [traced(marks.path_of(layer.shape, places, _DOT), {**look.of(part, layer.act), **wide})]


def _apart(places: Sequence[Point]) -> list[tuple[int, int]]:
    """Places on a grid that is made coarser until few enough of them differ."""
    grids = (
        list(dict.fromkeys((round(x / grid) * grid, round(y / grid) * grid) for x, y in places))
        for grid in (1, 2, 4, 8, 16)
    )
    return next((found for found in grids if len(found) <= _MOST), [])


def _target(layer: Target, frame: Frame, look: Look) -> Elements:
    if layer.upright:
        path = f"M{place(frame.x(layer.at))} {place(frame.top)}V{place(frame.bottom)}"
    else:
        path = f"M{place(frame.left)} {place(frame.y(layer.at))}H{place(frame.right)}"
    return [traced(path, look.of("target"))]


def _columns(layer: Columns, frame: Frame, look: Look) -> Elements:
    path = "".join(_column(one, frame) for one in layer.columns)
    if not path:
        return []
    size = frame.size.text
    room = min(abs(frame.x(one.end) - frame.x(one.begin)) for one in layer.columns)
    fits = all(width_of(one.text, size) <= room for one in layer.columns)
    over = [_over(one, frame, look) for one in layer.columns if one.text] if fits else []
    return [traced(path, look.of("bar")), *over]


def _column(one: Column, frame: Frame) -> str:
    """A column of four fifths of its room."""
    begin, end = frame.x(one.begin), frame.x(one.end)
    gap = (end - begin) / 10
    base, top = frame.y(0.0), frame.y(one.value)
    return f"M{place(begin + gap)} {place(base)}V{place(top)}H{place(end - gap)}V{place(base)}Z"


def _over(one: Column, frame: Frame, look: Look) -> Element:
    x = (frame.x(one.begin) + frame.x(one.end)) / 2
    return text_at(x, frame.y(one.value) - 4, one.text, look.over("text"), "middle")


def _thinned(places: list[Point]) -> list[Point]:
    """Without points that would be drawn where the last one was."""
    if len(places) <= FINE:
        return places
    return list(dict.fromkeys((float(round(x)), float(round(y))) for x, y in places))
