"""The front-end drawings that a tablet needs, each once for all vehicles that look alike."""

from collections.abc import Sequence
from typing import Any

from fleet.pictures import figure, front_end
from fleet.pictures.front_end import Spot
from fleet.reads.front_end import drawing_of
from fleet.records.models import Joint, Vehicle


class Drawings:
    """Made as they are asked for. A joint's mark leads to #joint-<kind>-<side>."""

    def __init__(self) -> None:
        self.made: dict[str, Any] = {}
        self._keys: dict[tuple[object, ...], str] = {}
        self._corners: dict[str, dict[tuple[str, str], str]] = {}

    def key_for(self, vehicle: Vehicle, joints: Sequence[Joint]) -> str:
        """The drawing of a vehicle with these fitted joints."""
        there = tuple((joint.kind.code, joint.side) for joint in joints)
        look = (vehicle.design_id, vehicle.steering_side, there)
        if look not in self._keys:
            key = f"d{len(self._keys) + 1}"
            self._keys[look] = key
            self._draw(key, vehicle, joints)
        return self._keys[look]

    def corner(self, key: str, joint: Joint) -> str:
        return self._corners[key].get((joint.kind.code, joint.side), "")

    def _draw(self, key: str, vehicle: Vehicle, joints: Sequence[Joint]) -> None:
        mirrored = vehicle.steering_side == "right"
        drawn = drawing_of(vehicle.design, joints)
        spots = [_spot(joint) for joint in joints]
        parts = front_end.parts(drawn, spots, mirrored)
        self._corners[key] = {
            (placed.spot.kind, placed.spot.side): part.code
            for part in parts
            for placed in part.placed
        }
        self.made[key] = {
            "store": figure.store(drawn, mirrored),
            "whole": figure.frame(front_end.whole(drawn, spots, mirrored), ""),
            "parts": [{"code": part.code, "svg": figure.frame(part, "")} for part in parts],
        }


def _spot(joint: Joint) -> Spot:
    code, side = joint.kind.code, joint.side
    return Spot(code, side, f"{code} {side}".strip(), href=f"#joint-{code}-{side}")
