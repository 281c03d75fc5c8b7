"""What of a design's linkage is on file: enough to reckon turns of a sleeve, or what is missing."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext_lazy as _

from fleet.calc.alignment import longer_link_turns_wheel_right
from fleet.reads.reckoning import centring, sleeve
from fleet.reads.reckoning.centring import DragLink
from fleet.reads.reckoning.sleeve import Rod
from fleet.records.models import Design, Vehicle

#: Linkage where the drag link runs across and the tie rod joins it: the rod tells its sense.
CROSSING = "crossing"
NAMES: dict[str, Any] = {
    "steering_arm": _("steering arm"),
    "tie_rod_threads": _("threads of the tie-rod sleeve"),
    "gear_ratio": _("ratio of the gear"),
    "pitman_arm": _("Pitman arm"),
    "drag_link_threads": _("threads of the drag-link sleeve"),
    "longer_link": _("which way a longer drag link turns the wheel"),
    "toe_spec": _("the maker's range of toe"),
    "span": _("span of the marks"),
}


@dataclass(frozen=True)
class Lacking:
    """What is not on file, and what the Reckoner's section can be filled with instead."""

    codes: tuple[str, ...]
    calculator: str
    typed: Mapping[str, str] = field(default_factory=dict)

    @property
    def asked(self) -> dict[str, str]:
        """What the Reckoner's address carries."""
        return {"calculator": self.calculator, **self.typed}

    @property
    def names(self) -> list[str]:
        return [str(NAMES[code]) for code in self.codes]


def other_end(other_lead: float | None) -> str:
    """What the sign of a lead says of a sleeve's other end, as the Reckoner asks for it."""
    if other_lead is None or other_lead > 0:
        return "left_hand"
    return "still" if other_lead == 0 else "right_hand"


def rod_of(design: Design) -> Rod | Lacking:
    """The tie rod, or what is missing of it."""
    arm, lead, other = design.steering_arm_m, design.tie_rod_lead_m, design.tie_rod_other_lead_m
    if arm is not None and lead is not None and other is not None:
        return Rod(arm, (lead, other), design.tie_rod_ahead)
    missing = {"steering_arm": arm, "tie_rod_threads": lead}
    return Lacking(_none(missing), sleeve.NAME, _known({
        "steering_arm": design.steering_arm_typed,
        "tie_rod": "ahead" if design.tie_rod_ahead else "behind",
        "thread": design.tie_rod_thread_typed,
        "other_end": other_end(other),
        "other_thread": design.tie_rod_other_typed,
    }))  # fmt: skip


def drag_link_of(vehicle: Vehicle) -> DragLink | Lacking:
    """The drag link as it turns this vehicle's steering wheel, or what is missing of it."""
    design, sense = vehicle.design, longer_turns_right(vehicle)
    ratio, arm = design.gear_ratio, design.pitman_arm_m
    lead, other = design.drag_link_lead_m, design.drag_link_other_lead_m
    known = ratio is not None and arm is not None and lead is not None and other is not None
    if known and sense is not None:
        return DragLink(ratio or 0.0, arm or 0.0, (lead or 0.0, other or 0.0), sense)
    missing = {"gear_ratio": ratio, "pitman_arm": arm, "drag_link_threads": lead,
               "longer_link": sense}  # fmt: skip
    return Lacking(_none(missing), centring.NAME, _known({
        "gear_ratio": "" if ratio is None else f"{ratio:g}",
        "pitman_arm": design.pitman_arm_typed,
        "thread": design.drag_link_thread_typed,
        "other_end": other_end(other),
        "other_thread": design.drag_link_other_typed,
    }))  # fmt: skip


def longer_turns_right(vehicle: Vehicle) -> bool | None:
    """Which way a longer drag link turns the wheel, road wheels held; None where nobody can say.

    On a crossing linkage the gear's side and the tie rod's place tell it. What is on file is of a
    left-hand-drive vehicle: for another it is not turned about here, it is looked at.
    """
    design = vehicle.design
    if design.linkage.code == CROSSING:
        return longer_link_turns_wheel_right(
            vehicle.steering_side, arm_ahead_of_axle=design.tie_rod_ahead
        )
    return design.longer_link_turns_right if vehicle.steering_side == "left" else None


def _none(values: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(code for code, value in values.items() if value is None)


def _known(typed: Mapping[str, str]) -> dict[str, str]:
    return {name: text for name, text in typed.items() if text}
