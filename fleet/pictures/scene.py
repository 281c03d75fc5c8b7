"""The front end as one drawing: parts in the order in which they hide each other."""

import itertools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.calc.axonometry import View
from fleet.pictures import outlines
from fleet.pictures.solids import Edge, Seen, seen

Points = NDArray[np.float64]
#: The eye stands ahead, above, and somewhat to the side of the steering gear.
VIEW = View(azimuth_degrees=17.0, elevation_degrees=28.0)
CELL = 9.0  # mm in the picture: two parts meet where they share a cell
_GHOST = "ghost"
_SPECK = 4  # cells: what shows of an edge over no more than these is left out
#: mm: an edge this far beneath another body of its part is hidden by it; beneath its own body
#: only where that is surely another side of it.
_UNDER, _UNDER_OWN = 9.0, 34.0


@dataclass(frozen=True)
class Stroke:
    """One part as it is drawn, in this order.

    `outlines` hide what is behind them; `patch` hides where two of them meet; `edges` are the
    lines on the part.
    """

    name: str
    weight: str
    outlines: tuple[str, ...]
    patch: str
    edges: str


class _Surface:
    """The nearest point of a surface in each cell of the picture that it covers."""

    def __init__(self, points: list[Points]) -> None:
        all_points = np.vstack(points)
        keys = _keys(all_points)
        order = np.lexsort((-all_points[:, 2], keys))
        self.cells, first = np.unique(keys[order], return_index=True)
        self.depth = all_points[order][first, 2]

    def covers(self, points: Points, under: float) -> NDArray[np.bool_]:
        """Which points lie more than so far beneath it."""
        keys = _keys(points)
        at = np.clip(np.searchsorted(self.cells, keys), 0, len(self.cells) - 1)
        return np.asarray((self.cells[at] == keys) & (points[:, 2] < self.depth[at] - under))


@dataclass
class _Layer:
    name: str
    weight: str
    bodies: list[Seen]
    cells: NDArray[np.int64]
    depth: Points
    # Corners of what it covers, across and down.
    low: Points
    high: Points

    @property
    def mean(self) -> float:
        return float(self.depth.mean()) if len(self.depth) else 0.0


@dataclass(frozen=True)
class Scene:
    strokes: list[Stroke]
    # Left, top, right and bottom of everything drawn.
    extent: tuple[float, float, float, float]


def scene(parts: Iterable[Mapping[str, Any]], view: View = VIEW) -> Scene:
    """Every part, farthest first; ghosts (frame, tires) before all, since they are seen through.

    A part is {"name", "weight", "bodies": [...], "mirror": bool}.
    """
    layers = [_layer(part, view) for part in both_sides(parts)]
    if not layers:
        return Scene([], (-1.0, -1.0, 1.0, 1.0))
    ghosts = [layer for layer in layers if layer.weight == _GHOST]
    solid = [layer for layer in layers if layer.weight != _GHOST]
    found = [_stroke(layer) for layer in [*in_order(ghosts), *in_order(solid)]]
    low = np.min([layer.low for layer in layers], axis=0)
    high = np.max([layer.high for layer in layers], axis=0)
    return Scene(found, (float(low[0]), float(low[1]), float(high[0]), float(high[1])))


def both_sides(parts: Iterable[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Parts that stand on either side are written once, for the left."""
    found: list[Mapping[str, Any]] = []
    for part in parts:
        found.append(part)
        if part.get("mirror"):
            found.append({**part, "bodies": [mirrored(body) for body in part["bodies"]]})
    return found


def mirrored(value: Any, key: str = "") -> Any:
    """The same data with every point and step taken to the other side."""
    if isinstance(value, Mapping):
        return {name: mirrored(each, name) for name, each in value.items()}
    if not isinstance(value, list) or key in ("profile", "rings", "faces", "r"):
        return value
    if len(value) == 3 and not isinstance(value[0], list):  # noqa: PLR2004 - a point in space
        return [-value[0], *value[1:]]
    return [mirrored(each, key) for each in value]


def in_order(layers: list[_Layer]) -> list[_Layer]:
    """Farthest first. Where three parts hide each other in a ring, the mean depth decides."""
    behind: dict[int, set[int]] = {i: set() for i in range(len(layers))}
    for i in range(len(layers)):
        for j in range(i + 1, len(layers)):
            nearer = _nearer(layers[i], layers[j])
            if nearer > 0:
                behind[i].add(j)
            elif nearer < 0:
                behind[j].add(i)
    while True:
        try:
            return [layers[i] for i in _sorted(behind, layers)]
        except CycleError as error:
            _cut(behind, error.args[1], layers)


def _sorted(behind: dict[int, set[int]], layers: list[_Layer]) -> list[int]:
    sorter = TopologicalSorter(behind)
    sorter.prepare()
    order: list[int] = []
    while sorter.is_active():
        ready = sorted(sorter.get_ready(), key=lambda i: (layers[i].mean, i))
        order += ready
        sorter.done(*ready)
    return order


def _cut(behind: dict[int, set[int]], ring: list[int], layers: list[_Layer]) -> None:
    """Drop the link of a ring whose parts lie least surely one behind the other."""
    links = [(front, back) for back, front in itertools.pairwise(ring)]
    sure = {link: abs(_nearer(layers[link[0]], layers[link[1]])) for link in links}
    front, back = min(links, key=lambda link: (sure[link], link))
    behind[front].discard(back)


def _nearer(one: _Layer, two: _Layer) -> float:
    """How surely the first stands before the second where they meet in the picture; 0 if nowhere.

    Many places that all say the same weigh more than few, or than many that differ: so a sleeve
    stays round its rod, and parts that run through each other give way.
    """
    if (one.low > two.high + CELL).any() or (two.low > one.high + CELL).any():
        return 0.0
    _shared, i, j = np.intersect1d(one.cells, two.cells, assume_unique=True, return_indices=True)
    if not len(i):
        return 0.0
    signs = np.sign(one.depth[i] - two.depth[j])
    return float(signs.mean() * np.sqrt(len(i)))


def _layer(part: Mapping[str, Any], view: View) -> _Layer:
    bodies = [seen(body, view) for body in part["bodies"]]
    points = np.vstack([points for body in bodies for points in body.surface])
    whole, weight = _Surface([points]), str(part.get("weight", "body"))
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    return _Layer(str(part["name"]), weight, bodies, whole.cells, whole.depth, low, high)


def _stroke(layer: _Layer) -> Stroke:
    far, near, patch = (
        "".join(text for body in layer.bodies for text in getattr(body, name))
        for name in ("far", "pieces", "patch")
    )
    return Stroke(
        layer.name, layer.weight, tuple(filter(None, (far, near))), patch, _edges(layer.bodies)
    )


def _edges(bodies: list[Seen]) -> str:
    kept: dict[int, _Surface] = {}

    def surface(i: int) -> _Surface:
        if i not in kept:
            kept[i] = _Surface(bodies[i].surface)
        return kept[i]

    text = ""
    for i, body in enumerate(bodies):
        others = [j for j in range(len(bodies)) if j != i and bodies[j].pieces]
        for edge in body.edges:
            over = [(surface(i), _UNDER_OWN)] if edge.under == "any" else []
            over += [(surface(j), _UNDER) for j in others] if edge.under != "none" else []
            text += _seen_of(edge, over)
    return text


def _seen_of(edge: Edge, over: list[tuple[_Surface, float]]) -> str:
    """What of an edge is not hidden by the surfaces over it, each by so much at least."""
    whole = outlines.ellipse(edge.points) if edge.circle else _line(edge.points, edge.closed)
    if not over:
        return whole
    points, corner = _close_together(edge)
    hidden = np.zeros(len(points), dtype=bool)
    for surface, under in over:
        hidden |= surface.covers(points, under)
    if not hidden.any():
        return whole
    runs = np.split(np.arange(len(points)), np.flatnonzero(np.diff(hidden.astype(int))) + 1)
    kept = [run for run in runs if not hidden[run[0]] and len(run) > _SPECK]
    if len(kept) > 1 and edge.closed and not (hidden[0] or hidden[-1]):
        kept = [np.concatenate([kept[-1], kept[0]]), *kept[1:-1]]
    return "".join(_line(points[run[_bends(corner[run])]], closed=False) for run in kept)


def _close_together(edge: Edge) -> tuple[Points, NDArray[np.bool_]]:
    """The edge's points and points between them no further apart than a cell; which are its own."""
    corners = np.vstack([edge.points, edge.points[:1]]) if edge.closed else edge.points
    found, own = [corners[:1]], [True]
    for start, end in itertools.pairwise(corners):
        count = max(1, int(np.hypot(*(end - start)[:2]) / CELL))
        found.append(start + (end - start) * np.linspace(0, 1, count + 1)[1:, None])
        own += [False] * (count - 1) + [True]
    return np.vstack(found), np.array(own)


def _bends(corner: NDArray[np.bool_]) -> NDArray[np.bool_]:
    kept = corner.copy()
    kept[[0, -1]] = True
    return kept


def _line(points: Points, closed: bool) -> str:
    return outlines.path(points, closed)


def _keys(points: Points) -> NDArray[np.int64]:
    cells = np.floor(points[:, :2] / CELL).astype(np.int64)
    return cells[:, 0] * 100_000 + cells[:, 1]
