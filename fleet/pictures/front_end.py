"""The front end as a picture with its joints: what a page, a print and a document draw from.

Units are millimetres as they are seen. Right-hand drive is the mirror image.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.calc.axonometry import project
from fleet.pictures.apart import Box, Place, pulled_apart
from fleet.pictures.scene import VIEW, Scene, scene

Points = NDArray[np.float64]
#: The side of a target as a share of a picture's width: 44 px where the whole fills 755 px and
#: 60 px on 1,030 px; 44 px where a part fills 285 px, 60 px on 370 px; of few marks about that.
WHOLE_TARGET, PART_TARGET, SMALL_TARGET = 0.0586, 0.1635, 0.156
#: Of a target's side, what the mark in it takes up.
MARK, SMALL_MARK = 0.52, 0.46
#: Between two targets, as a share of one.
_GAP = 1.03
_MARGIN = 24.0
#: Beyond this far from the middle, in mm, a joint belongs to a wheel.
WHEEL_END = 540.0
_LEAST_PART, _PART_MARGIN = 620.0, 70.0
_GROW = 1.12
_MOVED = 9.0


@dataclass(frozen=True)
class Spot:
    """A joint as a picture shows it: plain values, made by whoever asks."""

    kind: str
    side: str
    label: str
    mark: str = "unknown"
    share: float | None = None
    href: str = ""
    # False where it only shows where it is.
    marked: bool = True


@dataclass(frozen=True)
class Placed:
    spot: Spot
    # Where the joint is; None where no drawing knows it.
    true: Place | None
    at: Place

    @property
    def moved(self) -> bool:
        return self.true is not None and (
            abs(self.true[0] - self.at[0]) + abs(self.true[1] - self.at[1]) > _MOVED
        )


@dataclass(frozen=True)
class Framed:
    """A part of the picture, or all of it, with its marks pulled apart."""

    code: str
    # Left, top, width, height.
    view_box: Box
    # The side of a target, and of the mark in it.
    target: float
    mark: float
    placed: list[Placed]


@dataclass(frozen=True)
class Drawing:
    """What is drawn of one layout: its parts, and where each kind of joint is."""

    parts: tuple[Mapping[str, Any], ...]
    joints: Mapping[str, Sequence[float]]
    # Places of kinds that this layout does not name, from drawings that do.
    elsewhere: Mapping[str, Sequence[float]] = field(default_factory=dict)

    @cached_property
    def scene(self) -> Scene:
        """What is drawn, left-hand drive: worked out once, for as long as the drawing is kept."""
        return scene(self.parts)

    def point(self, kind: str, side: str, mirrored: bool) -> tuple[float, float, float] | None:
        """Where a joint is on the vehicle: mm to the left, forward, up.

        Joints of a kind with sides are written for the left where both sides are alike.
        """
        drawn_side = {"left": "right", "right": "left"}.get(side, side) if mirrored else side
        found = _lookup(self.joints, kind, drawn_side) or _lookup(self.elsewhere, kind, drawn_side)
        if found is None:
            return None
        x, y, z = found
        return (-x if mirrored else x, y, z)


def whole(drawing: Drawing, spots: Sequence[Spot], mirrored: bool = False) -> Framed:
    """Everything in one picture."""
    return _framed("whole", drawing, spots, mirrored, _all(drawing), WHOLE_TARGET)


def small(drawing: Drawing, spots: Sequence[Spot], mirrored: bool = False) -> Framed:
    """Everything in a small picture, with few marks."""
    return _framed("small", drawing, spots, mirrored, _all(drawing), SMALL_TARGET)


def _all(drawing: Drawing) -> Box:
    left, top, right, bottom = drawing.scene.extent
    return (left - _MARGIN, top - _MARGIN, right + _MARGIN, bottom + _MARGIN)


def parts(drawing: Drawing, spots: Sequence[Spot], mirrored: bool = False) -> list[Framed]:
    """The picture enlarged by corner: as it is seen, from the left to the right of the picture."""
    found: dict[str, list[Spot]] = {code: [] for code in PARTS}
    for spot in spots:
        found[part_of(drawing, spot, mirrored)].append(spot)
    return [
        _framed(code, drawing, some, mirrored, _part_box(drawing, some, mirrored), PART_TARGET)
        for code, some in found.items()
        if some
    ]


PARTS = ("right_wheel", "right_axle", "left_axle", "left_wheel")


def part_of(drawing: Drawing, spot: Spot, mirrored: bool) -> str:
    point = drawing.point(spot.kind, spot.side, mirrored)
    across = point[0] if point else {"left": WHEEL_END, "right": -WHEEL_END}.get(spot.side, -1.0)
    if abs(across) > WHEEL_END:
        return "left_wheel" if across > 0 else "right_wheel"
    return "left_axle" if across > 0 else "right_axle"


def seen_at(point: Sequence[float], mirrored: bool) -> Place:
    """Across and down in the picture."""
    x, y, z = point
    across, down, _near = project(np.array([[-x if mirrored else x, y, z]]), VIEW)[0]
    return (float(-across if mirrored else across), float(down))


def _framed(
    code: str, drawing: Drawing, spots: Sequence[Spot], mirrored: bool, box: Box, share: float
) -> Framed:
    """Marks with room round each, worked out for left-hand drive and turned over at the end.

    Where they find no room the picture grows downward.
    """
    true = _seen(drawing, spots, mirrored)
    marked = [i for i, spot in enumerate(spots) if spot.marked]
    left, top, right, bottom = box
    target = (right - left) * share
    size = target * _GAP
    wanted = tuple(true[i] or _below(n, box, size) for n, i in enumerate(marked))
    if any(true[i] is None for i in marked):
        bottom += size
    while (at := _with_room(wanted, size, (left, top, right, bottom))) is None:
        bottom = top + (bottom - top) * _GROW
    stands = dict(zip(marked, at, strict=True))
    placed = [
        Placed(spot, _over(true[i], mirrored), _over(stands.get(i) or true[i], mirrored) or (0, 0))
        for i, spot in enumerate(spots)
        if spot.marked or true[i]
    ]
    mark = target * (SMALL_MARK if code == "small" else MARK)
    start = -right if mirrored else left
    return Framed(code, (start, top, right - left, bottom - top), target, mark, placed)


def _with_room(places: tuple[Place, ...], size: float, box: Box) -> tuple[Place, ...] | None:
    try:
        return pulled_apart(places, size, box)
    except ValueError:
        return None


def _seen(drawing: Drawing, spots: Sequence[Spot], mirrored: bool) -> list[Place | None]:
    """Where each would be in the picture of left-hand drive."""
    points = [drawing.point(spot.kind, spot.side, mirrored) for spot in spots]
    return [_over(seen_at(point, mirrored), mirrored) if point else None for point in points]


def _over(place: Place | None, mirrored: bool) -> Place | None:
    return (-place[0], place[1]) if place and mirrored else place


def _below(n: int, box: Box, size: float) -> Place:
    """A joint that no drawing knows stands in a row under the picture."""
    return (box[0] + size / 2 + n * size, box[3] + size / 2)


def _part_box(drawing: Drawing, spots: Sequence[Spot], mirrored: bool) -> Box:
    found = np.array([place for place in _seen(drawing, spots, mirrored) if place]).reshape(-1, 2)
    if not len(found):
        return drawing.scene.extent
    low, high = found.min(axis=0), found.max(axis=0)
    middle = (low + high) / 2
    half = np.maximum((high - low) / 2 + _PART_MARGIN, _LEAST_PART / 2)
    (left, top), (right, bottom) = middle - half, middle + half
    return (float(left), float(top), float(right), float(bottom))


def _lookup(places: Mapping[str, Sequence[float]], kind: str, side: str) -> Sequence[float] | None:
    if not side:
        return places.get(kind) or places.get(f"{kind}/left")
    found = places.get(f"{kind}/{side}")
    if found is None and (twin := places.get(f"{kind}/left")) is not None and side == "right":
        return [-twin[0], *twin[1:]]
    return found or places.get(kind)
