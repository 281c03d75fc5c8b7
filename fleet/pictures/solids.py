"""Solid bodies seen along parallel lines: each becomes an outline, its visible edges, its surface.

A body is data, as the files under fixtures/reference/drawing write it: millimetres to the
vehicle's left, forward and up, from the middle of the axle.
"""

import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.calc.axonometry import View, project
from fleet.pictures import outlines

Points = NDArray[np.float64]
#: Corners of a circle drawn as a polygon; a wide one, in mm, has twice as many.
ROUND, WIDE = 32, 200.0
_SAMPLES = 11
_EDGE_ON = 0.005  # a face so nearly edge on is not seen


@dataclass(frozen=True)
class Edge:
    """A line on a body, with its depth: points of a whole circle, a closed line or an open one."""

    points: Points
    closed: bool = False
    circle: bool = False
    # What may hide it: any body of its part, only the others, or none.
    under: str = "others"


@dataclass
class Seen:
    """A body as it is seen: closed pieces that fill as one, edges on it, points of its surface.

    A coil is drawn in turns: `far` under its pieces, and `patch` over where both meet.
    """

    pieces: list[str] = field(default_factory=list)
    edges: list[Edge] = field(default_factory=list)
    far: list[str] = field(default_factory=list)
    patch: list[str] = field(default_factory=list)
    # Across, down, toward the eye: what decides which of two bodies hides the other.
    surface: list[Points] = field(default_factory=list)

    def add(self, other: "Seen") -> None:
        self.pieces += other.pieces
        self.edges += other.edges
        self.far += other.far
        self.patch += other.patch
        self.surface += other.surface


def seen(body: Mapping[str, Any], view: View) -> Seen:
    """One body; its form is the one key among FORMS that it has."""
    form = next(name for name in FORMS if name in body)
    return FORMS[form](body[form], view)


def rod(data: Mapping[str, Any], view: View) -> Seen:
    """A round bar bent along its points, thick or thin from point to point."""
    places = np.array(data["through"], dtype=float)
    radii = data["r"] if isinstance(data["r"], list) else [data["r"]] * len(places)
    found = Seen()
    ends = list(zip(places, project(places, view), radii, strict=True))
    for (here, start, r_start), (there, end, r_end) in itertools.pairwise(ends):
        found.pieces.append(outlines.around(start, end, r_start, r_end))
        found.surface.append(_along(here, there, r_start, r_end, view))
    return found


def turned(data: Mapping[str, Any], view: View) -> Seen:
    """A body turned round an axis, as on a lathe: `profile` is [along, radius] from one end.

    The end that faces the eye is drawn, and the visible half of each ring named in `rings`.
    """
    start, end = (np.array(data[name], dtype=float) for name in ("from", "to"))
    axis = (end - start) / np.linalg.norm(end - start)
    profile = [(float(along), float(radius)) for along, radius in data["profile"]]
    toward = float(view.axes[2] @ axis)
    found = Seen()
    for (a, r_a), (b, r_b) in itertools.pairwise(profile):
        found.pieces.append(_frustum(start, axis, (a, r_a, b, r_b), view))
        found.surface.append(_along(start + axis * a, start + axis * b, r_a, r_b, view))
    near = profile[-1] if toward > 0 else profile[0]
    for along, radius, under in [(*near, "others"), *((*f, "none") for f in data.get("faces", []))]:
        circle = project(_circle(start + axis * along, axis, radius), view)
        found.edges.append(Edge(circle, closed=True, circle=True, under=under))
        found.surface.append(_disc(circle))
    for along, radius in data.get("rings", []):
        ring = _half_ring(start + axis * along, axis, radius, view)
        found.edges.append(Edge(ring, under="any"))
    return found


def plate(data: Mapping[str, Any], view: View) -> Seen:
    """A flat outline given a thickness: `outline` in order round it, moved `by` to its far face."""
    near = np.array(data["outline"], dtype=float)
    by = np.array(data["by"], dtype=float)
    if float(_normal(near) @ by) < 0:
        near = near[::-1]
    count = len(near)
    # A corner is its number on the near face, or that and the count on the far one.
    corners = np.vstack([near, near + by])
    faces = [list(range(count))[::-1], list(range(count, 2 * count))]
    faces += [[i, (i + 1) % count, (i + 1) % count + count, i + count] for i in range(count)]
    return _of_faces(corners, faces, view)


def leaf(data: Mapping[str, Any], view: View) -> Seen:
    """A flat bar bent along its points: `wide` is its breadth as a step, `thick` its height."""
    middle = np.array(data["through"], dtype=float)
    half = np.array(data["wide"], dtype=float) / 2
    up = np.array([0.0, 0.0, float(data["thick"]) / 2])
    strips = [middle - half + up, middle + half + up, middle + half - up, middle - half - up]
    flats = [project(strip, view) for strip in strips]
    found = Seen()
    for one, two in zip(flats, [*flats[1:], flats[0]], strict=True):
        found.pieces.append(outlines.polygon(np.vstack([one, two[::-1]])))
        for i in range(len(middle) - 1):
            found.surface.append(_fan(np.array([one[i], one[i + 1], two[i + 1], two[i]])))
    found.edges.append(Edge(flats[1]))
    return found


def coil(data: Mapping[str, Any], view: View) -> Seen:
    """A coil spring: far half turns, over them near half turns, and what joins the two."""
    per_half, radius = 8, float(data["wire"])
    wire = _helix(data, view, per_half)
    flat = project(wire, view)
    found = Seen()
    for i in range(0, len(flat) - 1, per_half):
        piece = outlines.ribbon(flat[i : i + per_half + 1], radius)
        (found.far if (i // per_half) % 2 else found.pieces).append(piece)
        if i:
            found.patch.append(outlines.ribbon(flat[i - 1 : i + 2], radius))
    for start, end in itertools.pairwise(wire):
        found.surface.append(_along(start, end, radius, radius, view))
    return found


def _helix(data: Mapping[str, Any], view: View, per_half: int) -> Points:
    """The middle of the wire; a half turn begins where the wire passes a side as it is seen."""
    start, end = (np.array(data[name], dtype=float) for name in ("from", "to"))
    side, ahead = _across((end - start) / np.linalg.norm(end - start))
    toward = view.axes[2]
    phase = float(np.arctan2(toward @ ahead, toward @ side)) - np.pi / 2
    halves = round(2 * float(data["turns"]))
    angles = phase + np.linspace(0, halves * np.pi, halves * per_half + 1)
    around = np.cos(angles)[:, None] * side + np.sin(angles)[:, None] * ahead
    share = np.linspace(0, 1, len(angles))[:, None]
    return np.asarray(start + (end - start) * share + float(data["r"]) * around)


def edge(data: Mapping[str, Any], view: View) -> Seen:
    """A plain line on a surface: a seam, a bolt circle, a center line."""
    if "circle" in data:
        axis = np.array(data["axis"], dtype=float)
        axis = axis / np.linalg.norm(axis)
        flat = project(_circle(np.array(data["circle"], dtype=float), axis, data["r"]), view)
        return Seen(edges=[Edge(flat, closed=True, circle=True, under="none")], surface=[flat])
    flat = project(np.array(data["line"], dtype=float), view)
    return Seen(edges=[Edge(flat, under="none")], surface=[flat])


FORMS: dict[str, Callable[[Any, View], Seen]] = {
    "rod": rod, "turned": turned, "plate": plate, "leaf": leaf, "coil": coil, "edge": edge,
}  # fmt: skip


def _of_faces(corners: Points, faces: list[list[int]], view: View) -> Seen:
    """A body of flat faces: those that face the eye, and the edges between two such."""
    flat, found, once = project(corners, view), Seen(), set[frozenset[int]]()
    for face in faces:
        if float(view.axes[2] @ _normal(corners[face])) <= _EDGE_ON:
            continue
        found.pieces.append(outlines.polygon(flat[face]))
        found.surface.append(_fan(flat[face]))
        for side in map(frozenset, zip(face, [*face[1:], face[0]], strict=True)):
            if side in once:
                found.edges.append(Edge(flat[sorted(side)]))
            once.add(side)
    return found


def _frustum(
    start: Points, axis: Points, ring: tuple[float, float, float, float], view: View
) -> str:
    a, r_a, b, r_b = ring
    ends = project(np.array([start + axis * a, start + axis * b, axis]), view)
    toward = abs(float(view.axes[2] @ axis))
    return outlines.around(ends[0], ends[1], r_a, r_b, toward, ends[2, :2])


def _half_ring(center: Points, axis: Points, radius: float, view: View) -> Points:
    """The half of a ring round a body that the body itself does not hide."""
    side, ahead = _across(axis)
    toward = view.axes[2]
    middle = float(np.arctan2(toward @ ahead, toward @ side))
    turn = np.linspace(middle - np.pi / 2, middle + np.pi / 2, ROUND // 2 + 1)[:, None]
    ring = center + radius * (np.cos(turn) * side + np.sin(turn) * ahead)
    return project(ring, view)


def _circle(center: Points, axis: Points, radius: float) -> Points:
    side, ahead = _across(axis)
    corners = ROUND if radius < WIDE else 2 * ROUND
    turn = np.linspace(0, 2 * np.pi, corners, endpoint=False)[:, None]
    return np.asarray(center + radius * (np.cos(turn) * side + np.sin(turn) * ahead))


def _across(axis: Points) -> tuple[Points, Points]:
    """Two directions across an axis and across each other."""
    other = np.array([0.0, 0.0, 1.0]) if abs(axis[2]) < 0.9 else np.array([0.0, 1.0, 0.0])  # noqa: PLR2004 - far enough from parallel
    side = np.cross(axis, other)
    side = side / np.linalg.norm(side)
    return side, np.cross(axis, side)


def _along(start: Points, end: Points, r_start: float, r_end: float, view: View) -> Points:
    """Points on the near surface of a bar from one point in space to another."""
    way = end - start
    length = float(np.linalg.norm(way))
    axis = way / length if length else np.array([0.0, 0.0, 1.0])
    near = view.axes[2] - axis * float(view.axes[2] @ axis)
    near = near / max(float(np.linalg.norm(near)), 1e-6)
    turn = np.linspace(0, np.pi, _SAMPLES)[None, :, None]
    around = np.cos(turn) * np.cross(near, axis) + np.sin(turn) * near
    steps = np.linspace(0, 1, max(2, int(length / 8) + 1))[:, None, None]
    radius = r_start + (r_end - r_start) * steps
    return project((start + way * steps + radius * around).reshape(-1, 3), view)


def _disc(circle: Points) -> Points:
    middle = circle.mean(axis=0)
    shares = np.linspace(0, 1, _SAMPLES)[:, None, None]
    return np.asarray(middle + (circle - middle) * shares).reshape(-1, 3)


def _fan(face: Points) -> Points:
    """Points all over a flat face, about as dense as the cells they are sorted into."""
    middle = face.mean(axis=0)
    corners = np.vstack([face, face[:1]])
    found = []
    for one, two in itertools.pairwise(corners):
        size = max(float(np.ptp(np.vstack([one, two, middle])[:, :2], axis=0).max()), 1.0)
        count = max(3, int(size / 8))
        s, t = (x.reshape(-1, 1) for x in np.meshgrid(*[np.linspace(0, 1, count)] * 2))
        found.append(middle + s * ((one + (two - one) * t) - middle))
    return np.vstack(found)


def _normal(face: Points) -> Points:
    arms = face - face[0]
    total = np.cross(arms, np.roll(arms, -1, axis=0)).sum(axis=0)
    size = np.linalg.norm(total)
    return np.asarray(total / size if size else total)
