"""Each layer's name beside the layer itself, instead of a legend."""

from collections.abc import Iterator, Sequence

from fleet.pictures.plots.figures import Elements, text_at, width_of
from fleet.pictures.plots.frame import Frame, Size
from fleet.pictures.plots.labels import Label, spread
from fleet.pictures.plots.looks import Look
from fleet.pictures.plots.plot import (
    Band,
    Columns,
    Layer,
    Line,
    Plot,
    Points,
    Ribbon,
    Steps,
    Target,
)
from fleet.pictures.plots.room import COVERS, Room, Try, places_along, room_in

LINE_HEIGHT = 1.2
_MIDDLE = 0.35
_BOLD = 1.1
#: How many places along a curve, or points of a shape, a name is tried at.
_PLACES = 8
#: From the middle of a point to its name.
_BESIDE = 9.0


def named_layers(plot: Plot, frame: Frame, look: Look) -> Elements:
    """Every name that stands inside the plot or to its right."""
    wide = frame.size.name == "wide"
    room = room_in(plot, frame)
    ends = _beside(plot, frame, look) if wide else _within(plot, frame, look, room)
    return [*ends, *_at_points(plot, frame, look, room)]


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


def _within(plot: Plot, frame: Frame, look: Look, room: Room) -> Elements:
    """On a narrow plot curves are named along themselves and what they are held against on top."""
    size = frame.size.text
    curves = [layer for layer, _end in _ends(plot) if isinstance(layer, Line | Steps)]
    against = [layer.name for layer, _end in _ends(plot) if not isinstance(layer, Line | Steps)]
    found: Elements = []
    for layer in sorted(curves, key=_is_main, reverse=True):
        taken = room.take(layer.name, _along(layer, curves, frame))
        at = taken[0] if taken else _in_the_corner(layer.name, frame)
        room.keep(layer.name, at)
        found.append(text_at(at.x, at.y, layer.name, _style_of(_is_main(layer), look)))
    if against:
        on_top = text_at(frame.size.width, size, " · ".join(against), look.of("text"), "end")
        found.append(on_top)
    return found


def _along(layer: Line | Steps, curves: Sequence[Line | Steps], frame: Frame) -> Iterator[Try]:
    """Over and under a curve, best where it ends: over it there if it rises highest."""
    size = frame.size.text
    wide = width_of(layer.name, size) * (_BOLD if _is_main(layer) else 1.0)
    places = places_along(layer, frame)
    rises = layer.points[-1][1] >= layer.points[0][1]
    highest = layer.points[-1][1] == max(one.points[-1][1] for one in curves)
    for n in range(_PLACES):
        x = frame.right - wide - n * (frame.right - frame.left - wide) / (_PLACES - 1)
        heights = [y for at, y in places if x - 3 <= at <= x + wide + 3]
        if not heights:
            continue
        over, under = (0.0, 1.0) if rises and highest else (1.0, 0.0)
        # Where a curve climbs beside its name, most of it is far from the name.
        steep = (max(heights) - min(heights)) / size
        yield Try(x, min(heights) - 5, n + over + steep)
        yield Try(x, max(heights) + size, n + under + steep)


def _in_the_corner(text: str, frame: Frame) -> Try:
    """Where a curve leaves no room at all."""
    return Try(frame.right - width_of(text, frame.size.text), frame.top + frame.size.text)


def _at_points(plot: Plot, frame: Frame, look: Look, room: Room) -> Elements:
    """The name of each shape beside one of the places where it stands, the last if it can.

    Where every place would cover a point or another name it is left out: the table behind the
    picture has it.
    """
    found: Elements = []
    shapes = [one for one in plot.layers if isinstance(one, Points) and one.name and one.points]
    for layer in shapes:
        taken = room.take(layer.name, _about(layer, frame))
        if taken is None or taken[1] >= COVERS:
            continue
        room.keep(layer.name, taken[0])
        found.append(text_at(taken[0].x, taken[0].y, layer.name, _style_of(False, look)))
    return found


def _about(layer: Points, frame: Frame) -> Iterator[Try]:
    """Right of a point, left of it, over and under it; the last point first."""
    size = frame.size.text
    wide, middle = width_of(layer.name, size), size * _MIDDLE
    for n, point in enumerate(list(layer.points)[: -_PLACES - 1 : -1]):
        x, y = frame.place(point)
        # A point on the axis is named over the axis.
        level = min(y + middle, frame.bottom - 1)
        for like, shift in ((0.0, 0.0), (0.1, -middle), (0.2, middle)):
            yield Try(x + _BESIDE, level + shift, n + like)
            yield Try(x - _BESIDE - wide, level + shift, n + like + 0.25)
        yield Try(x - wide / 2, y - _BESIDE, n + 0.5)
        yield Try(x - wide / 2, y + _BESIDE + size * 0.8, n + 0.6)


def _style(label: Label, look: Look) -> dict[str, str]:
    return _style_of(label.strong, look)


def _style_of(strong: bool, look: Look) -> dict[str, str]:
    return look.over("text-strong" if strong else "text")
