"""Each layer's name beside the layer itself, instead of a legend."""

from collections.abc import Sequence

from fleet.pictures.plots.figures import Element, Elements, text_at, width_of
from fleet.pictures.plots.frame import Frame, Size
from fleet.pictures.plots.labels import Label, spread
from fleet.pictures.plots.looks import Look
from fleet.pictures.plots.plot import (
    Band,
    Columns,
    Layer,
    Line,
    Plot,
    Point,
    Points,
    Ribbon,
    Steps,
    Target,
)

LINE_HEIGHT = 1.2
_MIDDLE = 0.35
_BOLD = 1.1


def named_layers(plot: Plot, frame: Frame, look: Look) -> Elements:
    """Every name that stands inside the plot or to its right."""
    wide = frame.size.name == "wide"
    ends = _beside(plot, frame, look) if wide else _within(plot, frame, look)
    return [*ends, *_at_points(plot, frame, look)]


def room_beside(plot: Plot, size: Size) -> float:
    """How much room the names to the right of a wide plot want; strong ones are a little wider."""
    if size.name != "wide":
        return 0.0
    names = [(layer.name, _BOLD if _is_main(layer) else 1.0) for layer, _end in _ends(plot)]
    return max((width_of(name, size.text) * times for name, times in names), default=0.0)


def _end_labels(plot: Plot, frame: Frame) -> list[Label]:
    """A name for each line, curve, band and target that has one, at the height where it ends."""
    return [Label(frame.y(end), layer.name, strong=_is_main(layer)) for layer, end in _ends(plot)]


def _ends(plot: Plot) -> list[tuple[Line | Steps | Band | Target, float]]:
    return [
        (layer, end)
        for layer in plot.layers
        if not isinstance(layer, Columns | Points | Ribbon)
        and layer.name
        and (end := _end_of(layer)) is not None
    ]


def _end_of(layer: Layer) -> float | None:
    match layer:
        case Line() | Steps() if layer.points:
            return layer.points[-1][1]
        case Band() if layer.stretches:
            return (layer.stretches[-1].low + layer.stretches[-1].high) / 2
        case Target() if not layer.upright:
            return layer.at
        case _:
            return None


def _is_main(layer: Layer) -> bool:
    return isinstance(layer, Line | Steps) and layer.kind == "line"


def _beside(plot: Plot, frame: Frame, look: Look) -> Elements:
    """To the right, each at the height of its end."""
    size = frame.size.text
    labels = _end_labels(plot, frame)
    placed = spread(labels, size * LINE_HEIGHT, frame.top + size / 2, frame.bottom)
    return [
        text_at(frame.right + 9, label.y + size * _MIDDLE, label.text, _style(label, look))
        for label in placed
    ]


def _within(plot: Plot, frame: Frame, look: Look) -> Elements:
    """On a narrow plot curves are named at their ends and what they are held against on top."""
    size = frame.size.text
    curves = [layer for layer, _end in _ends(plot) if isinstance(layer, Line | Steps)]
    against = [layer.name for layer, _end in _ends(plot) if not isinstance(layer, Line | Steps)]
    labels = [
        Label(_at_end(layer, curves, frame), layer.name, strong=_is_main(layer)) for layer in curves
    ]
    found = [
        text_at(frame.right, label.y, label.text, _style(label, look), "end")
        for label in spread(labels, size * LINE_HEIGHT, frame.top + size, frame.bottom - 3)
    ]
    if against:
        on_top = text_at(frame.size.width, size, " · ".join(against), look.of("text"), "end")
        found.append(on_top)
    return found


def _at_end(layer: Line | Steps, curves: Sequence[Line | Steps], frame: Frame) -> float:
    """Above the end of a curve that rises highest, else below: there the paper is empty."""
    ends = [one.points[-1][1] for one in curves]
    rises = layer.points[-1][1] >= layer.points[0][1]
    above = rises and layer.points[-1][1] == max(ends)
    y = frame.y(layer.points[-1][1]) + (-6 if above else frame.size.text * 1.4)
    return min(max(y, frame.top + frame.size.text), frame.bottom - 3)


def _at_points(plot: Plot, frame: Frame, look: Look) -> Elements:
    """The name of each shape beside the last place where it stands."""
    size = frame.size.text
    lasts = {
        layer.name: frame.place(layer.points[-1])
        for layer in plot.layers
        if isinstance(layer, Points) and layer.name and layer.points
    }
    labels = [Label(y, name) for name, (_x, y) in lasts.items()]
    return [
        _by(lasts[label.text], label, frame, look)
        for label in spread(labels, size * LINE_HEIGHT, frame.top, frame.bottom)
    ]


def _by(spot: Point, label: Label, frame: Frame, look: Look) -> Element:
    """Right of a point where there is room, else left of it."""
    room = spot[0] + 9 + width_of(label.text, frame.size.text) <= frame.right
    x, anchor = (spot[0] + 9, "start") if room else (spot[0] - 9, "end")
    y = label.y + frame.size.text * _MIDDLE
    return text_at(x, y, label.text, _style(label, look), anchor)


def _style(label: Label, look: Look) -> dict[str, str]:
    return _style_of(label.strong, look)


def _style_of(strong: bool, look: Look) -> dict[str, str]:
    return look.over("text-strong" if strong else "text")
