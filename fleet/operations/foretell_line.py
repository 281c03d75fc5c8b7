"""What a ticket line's figures come to, as typed or as recorded. Nothing is written.

Clamp load of what was pulled, toe with the turns of the sleeve, and the wheel's center: read as
recording reads them, judged by the same code as the Reckoner.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fleet.calc import requirements
from fleet.operations import evidence, line_view, looks, toe
from fleet.operations.line_view import Specs
from fleet.operations.words import value
from fleet.reads.clamp_checks import Band, ClampCheck, factory_bands, pull_check
from fleet.reads.line_reckoning import ToeRead, ToeTold, Turns, centring_told, toe_told
from fleet.reads.rules import RuleNow
from fleet.records.models import Joint, TicketLine, Vehicle

SET_TOE, CENTRE_WHEEL = "set_toe", "centre_wheel"
# The fields that are heard: all else of a line says nothing of these figures.
PULLED = tuple(f"{prefix}torque" for prefix in evidence.PULLS)
HEARD = (
    *PULLED, *(f"{prefix}thread_condition" for prefix in evidence.PULLS), "found_rear",
    "found_front", *(f"left_{end}{n}" for n in ("", "_2", "_3") for end in ("rear", "front")),
    "toe_span", "toe_basis", "toe_spec_low", "toe_spec_high", "degrees_before",
)  # fmt: skip


@dataclass(frozen=True)
class LineTold:
    """What there is to say of a line; `pulls` by the name of the torque's field."""

    pulls: Mapping[str, ClampCheck] = field(default_factory=dict)
    toe: ToeTold | None = None
    centring: Turns | None = None

    @property
    def flagged(self) -> list[ClampCheck]:
        """The checks that are told even where only what matters is told."""
        return [check for check in self.pulls.values() if check.flagged]


@dataclass(frozen=True)
class Place:
    """Where the figures belong: a line's work on a vehicle, and the figures on file there."""

    action: str
    vehicle: Vehicle
    joint: Joint | None = None
    specs: Specs = field(default_factory=dict)
    bands: Mapping[tuple[int, int], Band] = field(default_factory=dict)


def bands_of(specs: Specs) -> dict[tuple[int, int], Band]:
    """The factory's figures beside those that wrenches are set to; one query at most."""
    return factory_bands(specs.values()) if specs else {}


def foretell_line(
    line: TicketLine, vehicle: Vehicle, rule: RuleNow, typed: Mapping[str, Any],
    specs: Specs | None = None,
) -> LineTold:  # fmt: skip
    """What was typed, where it can be read; what can't is told when it is recorded.

    Two queries, one where the figures on file are given.
    """
    specs = looks.target_specs(vehicle) if specs is None else specs
    fields = line_view.fields_for(rule, vehicle, line.joint, specs)
    data = requirements.read_fields(fields, {n: typed[n] for n in HEARD if n in typed}).values
    place = Place(line.action, vehicle, line.joint, specs, bands_of(specs))
    return told(place, dict(data))


def told(place: Place, data: dict[str, Any]) -> LineTold:
    """What an entry's figures come to; no query."""
    off = value(data, "degrees_before") if place.action == CENTRE_WHEEL else None
    return LineTold(
        pulls=_pulls(place, data) if place.joint else {},
        toe=toe_told(place.vehicle, _toe(place.vehicle, data)) if place.action == SET_TOE else None,
        centring=None if off is None else centring_told(place.vehicle, float(off)),
    )


def _pulls(place: Place, data: dict[str, Any]) -> dict[str, ClampCheck]:
    found = {}
    for prefix in evidence.PULLS:
        torque = value(data, f"{prefix}torque")
        if torque is None or place.joint is None:
            continue
        spec = evidence.spec_of(place.action, prefix, place.joint, place.specs)
        band = place.bands.get((spec.design_id, spec.kind_id)) if spec else None
        threads = str(value(data, f"{prefix}thread_condition") or "")
        check = pull_check(float(torque), threads, spec, band)
        if check is not None:
            found[f"{prefix}torque"] = check
    return found


def _toe(vehicle: Vehicle, data: dict[str, Any]) -> ToeRead:
    readings, sides = evidence.tape_readings(data), toe.specified(data, vehicle)
    return ToeRead(
        found=[one["toe_m"] for one in readings if not one["as_left"]],
        left=[one["toe_m"] for one in readings if one["as_left"]],
        span=value(data, "toe_span"),
        spec=sides if sides and sides[0] <= sides[1] else None,
        restored=value(data, "toe_basis") == "restored",
    )
