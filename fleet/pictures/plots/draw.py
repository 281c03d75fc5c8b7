"""A plot as SVG: one text for each size, for a page or for paper."""

from fleet.pictures.plots.figures import (
    Elements,
    element,
    place,
    text_at,
    traced,
    width_of,
    written,
)
from fleet.pictures.plots.frame import Frame, Size, frame_of
from fleet.pictures.plots.labels import in_rows
from fleet.pictures.plots.layers import drawn
from fleet.pictures.plots.looks import PAGE, Look
from fleet.pictures.plots.names import LINE_HEIGHT, named_layers, room_beside
from fleet.pictures.plots.plot import Band, Plot, Ribbon, Target

#: Rows of labels over a plot at most.
_ROWS = 2


def draw(plot: Plot, size: Size, look: Look = PAGE) -> str:
    """Draw a plot.

    Parameters
    ----------
    plot : Plot
        With one layer at least that has a point; a plot of nothing is not drawn but said.
    size : Size
        `frame.WIDE`, or `frame.NARROW` for a phone.
    look : Look
        `looks.PAGE` with classes, `looks.PAPER` with attributes, black on white.

    Returns
    -------
    str
        A whole `svg` element with its name and description, and no style.
    """
    frame = laid_out(plot, size)
    back, front = _in_order(plot, frame, look)
    body: Elements = [
        *back,
        *_axes(plot, frame, look),
        *_events(plot, frame, look),
        *front,
        *named_layers(plot, frame, look),
    ]
    return root(plot.key, plot.name, plot.says, size, look, body)


def laid_out(plot: Plot, size: Size) -> Frame:
    """Where a plot's figures come to lie in a picture of one size."""
    return frame_of(plot, size, room_beside(plot, size), _rows(plot))


def _rows(plot: Plot) -> int:
    return min(_ROWS, len(_over(plot)))


def _over(plot: Plot) -> list[tuple[float, str]]:
    """What is named over the plot: its events, and targets that stand upright."""
    upright = [(t.at, t.name) for t in plot.layers if isinstance(t, Target) and t.upright]
    return sorted([*plot.events, *upright])


def root(key: str, name: str, says: str, size: Size, look: Look, body: Elements) -> str:
    """The outermost element: an image with a name and a description."""
    own, high = f"{key}-{size.name}", place(round(size.height))
    whole = {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {place(size.width)} {high}",
        "font-size": place(size.text),
        "role": "img",
        "aria-labelledby": f"{own}-name",
        "aria-describedby": f"{own}-says",
        **look.root,
    }
    if look.plain:
        whole |= {"width": place(size.width), "height": high}
    else:
        whole["class"] = f"trace trace--{size.name}"
    said = [
        element("title", {"id": f"{own}-name"}, said=name),
        element("desc", {"id": f"{own}-says"}, said=says),
    ]
    return written(element("svg", whole, [*said, *body]))


def _in_order(plot: Plot, frame: Frame, look: Look) -> tuple[Elements, Elements]:
    """Bands behind the axes, everything else before them."""
    back: Elements = []
    front: Elements = []
    for layer in plot.layers:
        (back if isinstance(layer, Band | Ribbon) else front).extend(drawn(layer, frame, look))
    return back, front


def _axes(plot: Plot, frame: Frame, look: Look) -> Elements:
    size, left, right = frame.size.text, frame.left, frame.right
    grid = "".join(f"M{place(left)} {place(frame.y(t.at))}H{place(right)}" for t in frame.upward)
    base = f"M{place(left)} {place(frame.bottom)}H{place(right)}"
    ticks = "".join(
        f"M{place(frame.x(t.at))} {place(frame.bottom)}v{9 if t.turn else 5}" for t in frame.across
    )
    soft = look.of("text-soft")
    found: Elements = [
        traced(grid, look.of("grid")),
        traced(base + ticks, look.of("axis")),
        *[text_at(left - 6, frame.y(t.at) + size * 0.35, t.text, soft, "end")
          for t in frame.upward],
        *_along(frame, look),
    ]  # fmt: skip
    if plot.y.name:
        found.append(text_at(0, size, plot.y.name, soft))
    if plot.x.name:
        under = frame.size.height - size * 0.45
        found.append(text_at(right, under, plot.x.name, soft, "end"))
    return found


def _along(frame: Frame, look: Look) -> Elements:
    """Words under the axis, kept within the picture."""
    size, soft, strong = frame.size.text, look.of("text-soft"), look.of("text")
    found: Elements = []
    for tick in frame.across:
        half = width_of(tick.text, size) / 2
        x = min(max(frame.x(tick.at), half), frame.size.width - half)
        y = frame.bottom + size * 1.5
        found.append(text_at(x, y, tick.text, strong if tick.turn else soft, "middle"))
    return found


def _events(plot: Plot, frame: Frame, look: Look) -> Elements:
    """Lines up the plot with short words over it; targets draw their own line."""
    size = frame.size.text
    lines = "".join(
        f"M{place(frame.x(at))} {place(frame.top - 3)}V{place(frame.bottom)}"
        for at, _text in plot.events
    )
    found: Elements = [traced(lines, look.of("event"))] if lines else []
    rows, places = _rows(plot), [(frame.x(at), text) for at, text in _over(plot)]
    for (row, begin), (_at, text) in zip(
        in_rows(places, size, frame.size.width, rows), places, strict=True
    ):
        if row >= 0:
            y = frame.top - 5 - (rows - 1 - row) * size * LINE_HEIGHT
            found.append(text_at(begin, y, text, look.of("text")))
    return found
