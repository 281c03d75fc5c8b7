"""The same facts as JSON: what a program gets of the due list, a vehicle and its joints."""

from typing import Any

from tests.bench.facts import Part
from tests.bench.shared_sql import LIVE, words

DUE = {
    name: name
    for name in (
        "r.id", "r.uid", "r.kind", "r.state", "r.ladder", "r.rung", "r.rule_version",
        "r.made_by_line_id", "r.made_by_finding_id", "r.follows_id", "r.started_at",
        "r.start_use_si", "r.not_before", "r.not_before_use_si", "r.due_on", "r.due_use_si",
        "r.use_on_low", "r.use_on", "r.use_on_high", "r.falls_on", "r.hold_at_twice",
        "r.fell_due_at", "r.done_at", "r.done_by_finding_id", "r.done_by_line_id",
    )
}  # fmt: skip
DUE = {sql: sql.removeprefix("r.").removesuffix("_id") for sql in DUE} | {
    "v.unit_number": "vehicle", "y.slug": "yard", "r.joint_id": "joint", "k.code": "joint_kind",
    "coalesce(j.side, '')": "side", "a.id": "assigned_to.id", "a.name": "assigned_to.name",
}  # fmt: skip
# Read by the yardstick too, since the share and the date it is judged at need them.
JUDGED = {"y.time_zone": "", "u.last_use_si": "", "u.last_at": "", "v.status": ""}
VEHICLE = {
    f"v.{name}": name
    for name in (
        "unit_number", "vin", "vin_note", "model_year", "status", "duty", "steering_side",
        "gross_weight_kg", "corrosion", "tyre_size", "wheel_diameter_m", "wheel_offset_m",
        "steering_wheel_m", "power_steering", "meter_unit", "lift_m", "drop_arm",
        "lowered_bracket", "adjustable_bar", "drag_link_degrees", "track_bar_degrees",
        "owner_name", "in_fleet_since", "left_fleet_on", "version",
    )
} | {
    "d.name": "design", "y.slug": "yard", "u.last_use_si": "meter.use_si",
    "u.last_at": "meter.last_at", "m.typed": "meter.typed",
    "EXISTS (SELECT 1 FROM records_hold h WHERE h.vehicle_id = v.id AND h.lifted_at IS NULL)":
    "held",
}  # fmt: skip
JOINT = {
    "j.id": "id", "v.unit_number": "vehicle", "k.code": "kind", "k.names->>'en'": "names.en",
    "k.names->>'es'": "names.es", "j.side": "side", 'j."order"': "order", "j.fitted": "fitted",
    "k.holds": "holds", "k.held_by": "held_by", "s.mark": "state.mark",
    "s.last_finding_id": "state.last_finding", "s.last_look_at": "state.last_look_at",
    "s.last_look_use_si": "state.last_look_use_si", "s.last_turned_at": "state.last_turned_at",
    "s.last_turned_use_si": "state.last_turned_use_si", "s.loosenings": "state.loosenings",
    "p.number": "state.part_number", "p.lot": "state.part_lot",
    "p.occurred_at": "state.part_since", "t.id": "state.last_torque.id",
    "t.typed": "state.last_torque.typed", "t.torque_nm": "state.last_torque.torque_nm",
    "t.band": "state.last_torque.band", "t.turned": "state.last_torque.turned",
    "w.code": "state.last_torque.tool", "t.occurred_at": "state.last_torque.occurred_at",
    "r.id": "state.due.id", "r.kind": "state.due.kind", "r.state": "state.due.state",
    "r.falls_on": "state.due.falls_on", "r.due_on": "state.due.due_on",
    "r.due_use_si": "state.due.due_use_si",
}  # fmt: skip


def due() -> list[Part]:
    rest = f"""FROM records_recheck r JOIN records_vehicle v ON v.id = r.vehicle_id
        JOIN records_yard y ON y.id = v.yard_id
        LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id
        LEFT JOIN records_joint j ON j.id = r.joint_id
        LEFT JOIN records_jointkind k ON k.id = j.kind_id
        LEFT JOIN records_person a ON a.id = r.assigned_to_id
        WHERE r.state IN {LIVE} ORDER BY r.falls_on, r.id LIMIT 50"""
    number = f"FROM records_recheck WHERE state IN {LIVE}"
    return [
        Part("due", DUE | JUDGED, rest, _results),
        Part("number", {"count(*)": "count"}, number, lambda answer: [answer]),
        words("ladder", "routine", "setting"),
    ]


def vehicle() -> list[Part]:
    rest = """FROM records_vehicle v JOIN records_design d ON d.id = v.design_id
        JOIN records_yard y ON y.id = v.yard_id
        LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id
        LEFT JOIN records_meterreading m ON m.id = u.last_reading_id WHERE v.id = %(vehicle)s"""
    return [Part("vehicle", VEHICLE, rest, lambda answer: [answer])]


def joints() -> list[Part]:
    rest = """FROM records_joint j JOIN records_jointkind k ON k.id = j.kind_id
        JOIN records_vehicle v ON v.id = j.vehicle_id
        LEFT JOIN records_jointstate s ON s.joint_id = j.id
        LEFT JOIN records_torquereading t ON t.id = s.last_torque_id
        LEFT JOIN records_torquetool w ON w.id = t.tool_id
        LEFT JOIN records_partchange p ON p.id = s.part_id
        LEFT JOIN records_recheck r ON r.id = s.due_recheck_id
        WHERE j.vehicle_id = %(vehicle)s ORDER BY j."order", j.id LIMIT 50"""
    number = "FROM records_joint WHERE vehicle_id = %(vehicle)s"
    return [
        Part("joints", JOINT, rest, _results),
        Part("number", {"count(*)": "count"}, number, lambda answer: [answer]),
    ]


def _results(answer: Any) -> Any:
    return answer["results"]
