"""What a tablet carries away, so that it can foretell with no network what the server will say.

Plain values ready for JSON: names in every language, moments in UTC, figures in SI beside what
was typed. The number of queries is the same for any number of vehicles.
"""

from datetime import datetime
from typing import Any

from fleet.operations.carried.drawings import Drawings
from fleet.operations.carried.facts import vehicle_facts
from fleet.operations.carried.things import people, tools
from fleet.operations.carried.tickets import tickets_by_vehicle
from fleet.operations.carried.vehicles import Yardful
from fleet.reads.rules import rules
from fleet.records.models import JointKind, Tablet

# Of a yard with more, those with work come first, then those that were seen last.
MOST_VEHICLES = 80
RULES = ("action", "finding", "method", "response", "setting", "complaint")


def pack_of(tablet: Tablet, now: datetime) -> dict[str, Any]:
    """Today's work of the tablet's yard."""
    yard = tablet.yard
    yardful = Yardful.of(yard, now, MOST_VEHICLES)
    drawings = Drawings()
    on_ticket = tickets_by_vehicle(yardful)
    vehicles = [
        vehicle_facts(yardful, vehicle, drawings, on_ticket.get(vehicle.pk, []))
        for vehicle in yardful.vehicles
    ]
    return {
        "made_at": now.isoformat(),
        "tablet": {"uid": str(tablet.uid), "name": tablet.name},
        "yard": {
            "id": yard.pk, "slug": yard.slug, "name": yard.name, "time_zone": yard.time_zone,
            "far": yard.far, "on_call": yard.on_call_number,
        },
        "today": yardful.today.isoformat(),
        "left_out": yardful.left_out,
        "people": people(tablet),
        "tools": tools(yard, yardful.today),
        "vehicles": vehicles,
        "drawings": drawings.made,
    }  # fmt: skip


def rules_of() -> dict[str, Any]:
    """The rules as they stand, by kind and key, with the version of each."""
    found: dict[str, Any] = {}
    for kind in RULES:
        found[f"{kind}s"] = {
            key: {**_plain(now.data), "version": now.version} for key, now in rules(kind).items()
        }
    found["kinds"] = {kind.code: _kind(kind) for kind in JointKind.objects.order_by("code")}
    return found


def _plain(data: Any) -> dict[str, Any]:
    return data if isinstance(data, dict) else {"value": data}


def _kind(kind: JointKind) -> dict[str, Any]:
    return {
        "names": kind.names, "group": kind.group, "sided": kind.sided, "holds": kind.holds,
        "held_by": kind.held_by, "play_methods": kind.play_methods,
        "moved_methods": kind.moved_methods, "limit_note": kind.limit_note,
        "response": kind.response, "minutes": kind.minutes, "ride_height": kind.ride_height,
        "opens_steering": kind.opens_steering, "hint": kind.hint,
    }  # fmt: skip


__all__ = ["MOST_VEHICLES", "pack_of", "rules_of"]
