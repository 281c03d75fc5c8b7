"""Drag link and track bar at ride height: whether the axle of one vehicle steers over bumps.

Each link is its length and its angle, as a tape and an angle finder give them. That is enough:
how far apart the two lie does not come into it.
"""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from fleet.reads.reckoning import bump
from fleet.reads.reckoning.answers import Answer
from fleet.records.models import Vehicle

#: Here the drag link lies along the vehicle, or no bar holds the axle sideways.
ALONG, NO_BAR = "fore_aft", "leaf"
NAMES: dict[str, Any] = {
    "drag_link_degrees": _("angle of the drag link"),
    "drag_link_typed": _("length of the drag link"),
    "track_bar_degrees": _("angle of the track bar"),
    "track_bar_typed": _("length of the track bar"),
}


@dataclass(frozen=True)
class Bump:
    """What is said of a vehicle whose ride height or arm was changed, or what is to be measured."""

    answer: Answer | None
    missing: tuple[str, ...] = ()

    @property
    def names(self) -> list[str]:
        return [str(NAMES[code]) for code in self.missing]


def bump_of(vehicle: Vehicle) -> Bump | None:
    """None where nothing was changed, or the two links don't lie across the vehicle."""
    design = vehicle.design
    if not (vehicle.lift_m or vehicle.drop_arm or vehicle.lowered_bracket):
        return None
    if design.linkage.code == ALONG or design.axle.code == NO_BAR:
        return None
    lengths = {"drag_link_typed": vehicle.drag_link_m, "track_bar_typed": vehicle.track_bar_m}
    angles = {"drag_link_degrees": vehicle.drag_link_degrees,
              "track_bar_degrees": vehicle.track_bar_degrees}  # fmt: skip
    missing = tuple(code for code in NAMES if {**lengths, **angles}[code] is None)
    if missing:
        return Bump(None, missing)
    drag, bar = (
        bump.Leaning(lengths[f"{link}_typed"] or 0.0, angles[f"{link}_degrees"] or 0.0)
        for link in ("drag_link", "track_bar")
    )
    # Both frame ends are on the gear's side (common practice, no source).
    return Bump(bump.judged(drag, bar, vehicle.steering_side))
