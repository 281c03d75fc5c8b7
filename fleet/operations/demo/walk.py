"""How a technician of the demo walks the front end: what each joint is looked at with, and what
the look says of what is true."""

from dataclasses import dataclass

from fleet.operations.demo.life import miles_si
from fleet.operations.demo.owing import steered
from fleet.operations.demo.truck import Spot, Truck
from fleet.operations.demo.world import chance
from fleet.records.models import FindingCode

# Always with the wrench, and every so many sheets (own); what is left is looked at or felt.
ALWAYS = ("track_bar_frame_end", "track_bar_axle_end", "track_bar_frame_bracket",
          "gear_to_frame", "wheel_nuts")  # fmt: skip
EVERY = {"links": 2, "leaf_springs": 2, "drag_link_clamps": 2, "tie_rod_clamps": 2,
         "pitman_arm": 3, "hub_bolts": 4, "damper": 4}  # fmt: skip
LOOKED_AT = {"wheel_tyre": "look", "kingpin_draw_keys": "look", "hub_bolts": "lift_and_rock",
             "axle_nut": "lift_and_rock", "damper_frame_end": "feel", "damper_link_end": "feel",
             "sway_bar_link": "feel", "sway_bar_mounts": "feel"}  # fmt: skip
# A fastener this long loose shows as play without a wrench.
SHOWS_AFTER_MILES = 900
SHOWS = ("track_bar_frame_end", "track_bar_axle_end", "track_bar_frame_bracket", "gear_to_frame")
ENDS = ("track_bar_frame_end", "track_bar_axle_end")
MUD = 0.002
INSIDE = 0.7
FAR_TURN = 0.12
DEGREES, FAR_DEGREES = (4, 27), (30, 64)


@dataclass(frozen=True)
class Told:
    """What one look said."""

    spot: Spot
    code: str
    method: str
    degrees: str = ""
    play: str = ""
    reason: str = ""


def method_for(truck: Truck, spot: Spot) -> str:
    """What this joint is looked at with on this sheet."""
    kind = spot.kind
    every = EVERY.get(kind.code) or EVERY.get(kind.group)
    pulled = kind.code in ALWAYS or (every is not None and truck.sheets % every == 0)
    if pulled and spot.spec is not None and kind.torque_seen_by_wrench:
        return "wrench"
    methods = kind.play_methods
    return LOOKED_AT.get(kind.code) or (str(methods[0]) if methods else "look")


def look(truck: Truck, spot: Spot, method: str) -> Told:
    """What that method sees of what is true."""
    if not _always_reached(spot) and chance(truck.rng, MUD):
        return Told(spot, FindingCode.NOT_REACHED, "", reason="Packed with mud, not washed")
    if method == "wrench":
        if truck.use < spot.loose_at:
            return Told(spot, FindingCode.TIGHT, method)
        return Told(spot, FindingCode.MOVED, method, degrees=_degrees(truck))
    if truck.use >= spot.worn_at or _shows(truck, spot):
        return Told(spot, FindingCode.PLAY, method, play=_play(truck, spot))
    return Told(spot, FindingCode.NO_PLAY, method)


def _always_reached(spot: Spot) -> bool:
    return spot.kind.holds or spot.kind.code == "wheel_tyre"


def _shows(truck: Truck, spot: Spot) -> bool:
    loose_for = truck.use - spot.loose_at
    return spot.kind.code in SHOWS and loose_for > miles_si(truck.vehicle, SHOWS_AFTER_MILES)


def _degrees(truck: Truck) -> str:
    low, high = FAR_DEGREES if chance(truck.rng, FAR_TURN) else DEGREES
    return str(int(truck.rng.integers(low, high)))


def _play(truck: Truck, spot: Spot) -> str:
    """Measured at the tire for the linkage; elsewhere felt."""
    if spot.kind.limit != "linkage_play":
        return ""
    return "3/16 in" if chance(truck.rng, INSIDE) else "7/16 in"


def whole(truck: Truck) -> list[Told]:
    """The whole front end, in the order of the walk."""
    truck.sheets += 1
    spots = sorted(truck.spots.values(), key=lambda spot: (spot.joint.order, spot.joint.pk))
    return [look(truck, spot, _seen_by_eye(truck, spot)) for spot in spots]


def _seen_by_eye(truck: Truck, spot: Spot) -> str:
    """A look shows what a wrench would only confirm: long loose is told as play."""
    method = method_for(truck, spot)
    if method == "wrench" and _shows(truck, spot) and chance(truck.rng, 0.5):
        return str(spot.kind.play_methods[0])
    return method


def hold_joints(truck: Truck) -> list[Told]:
    """Every joint that warrants a hold and the tires, for a complaint."""
    return [told for told in whole(truck) if _always_reached(told.spot)]


def by_dry_steer(truck: Truck) -> list[Told]:
    """What a dry steer shows of every joint that it may not leave out."""
    return [look(truck, spot, "dry_steer") for spot in truck.spots.values() if steered(spot)]
