"""A front end as it was changed: lifted, with a drop Pitman arm, with a lowered track-bar bracket.

Each part of a drawing says what it rides on; a part between two of them is stretched from the one
to the other. How far an arm or a bracket reaches down nobody measured: it is drawn so that one
sees it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

#: mm that a drop arm or a lowered bracket reaches further down in the drawing; ours.
REACH = 75.0
#: mm: a lift beyond this is drawn as this one.
MOST_LIFT = 200.0
#: What of a part is no point in space.
_NO_POINTS = frozenset({"profile", "rings", "faces", "r", "by", "axis", "wide"})
_IN_SPACE = 3


@dataclass(frozen=True, slots=True)
class Changed:
    """What was changed; `lift` is in mm, of the frame over the axle."""

    lift: float = 0.0
    drop_arm: bool = False
    lowered_bracket: bool = False

    @property
    def rise(self) -> dict[str, float]:
        """How much higher than as made each thing stands that a part may ride on, mm."""
        lift = min(max(self.lift, 0.0), MOST_LIFT)
        return {
            "axle": 0.0,
            "frame": lift,
            "arm": lift - (REACH if self.drop_arm else 0.0),
            "bracket": lift - (REACH if self.lowered_bracket else 0.0),
        }


AS_MADE = Changed()


def changed_part(part: Mapping[str, Any], changed: Changed) -> Mapping[str, Any]:
    """A part where it stands on the changed vehicle."""
    ride, rise = part.get("rides"), changed.rise
    if ride is None or not any(rise.values()):
        return part
    bodies = [
        {kind: _body(data, ride, rise) for kind, data in body.items()} for body in part["bodies"]
    ]
    return {**part, "bodies": bodies}


def changed_place(place: Sequence[float], ride: Any, changed: Changed) -> list[float]:
    """A joint's place on the changed vehicle; `ride` is None where it rides on the axle."""
    return list(place) if ride is None else _risen(place, ride, changed.rise)


def _body(data: Mapping[str, Any], ride: Any, rise: Mapping[str, float]) -> dict[str, Any]:
    found = {key: _moved(value, key, ride, rise) for key, value in data.items()}
    if "profile" in found:
        was, now = (float(np.linalg.norm(np.subtract(d["to"], d["from"]))) for d in (data, found))
        # What is turned about an axis is measured along it: it grows with the axis.
        for key in {"profile", "rings"} & set(found):
            found[key] = [[along * now / was, radius] for along, radius in found[key]]
        if "faces" in found:
            found["faces"] = [[along * now / was, radius] for along, radius in found["faces"]]
    return found


def _moved(value: Any, key: str, ride: Any, rise: Mapping[str, float]) -> Any:
    if not isinstance(value, list) or key in _NO_POINTS:
        return value
    if len(value) == _IN_SPACE and not isinstance(value[0], list):
        return _risen(value, ride, rise)
    return [_moved(each, key, ride, rise) for each in value]


def _risen(place: Sequence[float], ride: Any, rise: Mapping[str, float]) -> list[float]:
    x, y, z = place
    return [x, y, z + _rise_at(place, ride, rise)]


def _rise_at(place: Sequence[float], ride: Any, rise: Mapping[str, float]) -> float:
    """Of a part that rides on one thing that thing's; between two as far as it lies from each."""
    if isinstance(ride, str):
        return rise[ride]
    (low, begin), (high, end) = ride["from"], ride["to"]
    along = np.subtract(end, begin)
    share = float(np.dot(np.subtract(place, begin), along) / np.dot(along, along))
    if ride.get("either_way"):
        share = abs(share)
    share = min(max(share, 0.0), 1.0)
    return rise[low] * (1 - share) + rise[high] * share
