"""Joint: everything recorded of one, newest first."""

from typing import Any

from tests.bench.facts import Part
from tests.bench.page_vehicle import HOLDS, PATTERNS
from tests.bench.shared_sql import LIVE, OWED, OWED_JOINS, words

JOINT = {
    "j.id": "pk", "j.side": "side", "j.fitted": "fitted", "k.names->>'en'": "kind.names.en",
    "k.held_by": "kind.held_by", "k.holds": "kind.holds", "v.unit_number": "vehicle.unit_number",
    "v.meter_unit": "vehicle.meter_unit", "y.time_zone": "vehicle.yard.time_zone",
    "u.last_use_si": "vehicle.use.last_use_si", "s.mark": "state.mark",
    "s.loosenings": "state.loosenings", "s.interval_from": "state.interval_from",
    "s.interval_to_on": "state.interval_to_on",
    "s.interval_from_use_si": "state.interval_from_use_si",
    "s.interval_to_use_si": "state.interval_to_use_si",
}  # fmt: skip
SPECS = {
    "origin": "origin", "is_target": "is_target", "low_nm": "low_nm", "high_nm": "high_nm",
    "angle_degrees": "angle_degrees", "thread_condition": "thread_condition", "source": "source",
}  # fmt: skip
PARTS = {
    "c.occurred_at": "occurred_at", "c.use_si": "use_si", "c.number": "number", "c.lot": "lot",
    "c.fitted": "fitted", "p.name": "by.name",
}  # fmt: skip
FITTINGS = {
    "g.occurred_at": "occurred_at", "g.use_si": "use_si", "g.fitted": "fitted",
    "g.reason": "reason", "l.ticket_id": "line.ticket_id", "p.name": "by.name",
}  # fmt: skip
TORQUES = {
    "t.occurred_at": "occurred_at", "t.use_si": "use_si", "t.typed": "typed", "t.band": "band",
    "t.turned": "turned", "t.assembled": "assembled", "t.degrees": "degrees",
    "t.tool_in_date": "tool_in_date", "s.low_nm": "spec.low_nm", "s.high_nm": "spec.high_nm",
    "w.code": "tool.code", "l.ticket_id": "line_entry.line.ticket_id", "p.name": "by.name",
}  # fmt: skip
FINDINGS = {
    "f.occurred_at": "occurred_at", "f.use_si": "use_si", "f.code": "code",
    "f.method": "method", "f.degrees": "degrees", "f.play_typed": "play_typed",
    "f.reason": "reason", "f.note": "note", "f.limit_m": "limit_m",
    "f.limit_citation": "limit_citation", "f.answer": "answer", "f.response": "response",
    "f.why": "why", "s.low_nm": "spec.low_nm", "s.high_nm": "spec.high_nm",
    "s.source": "spec.source", "p.name": "by.name",
}  # fmt: skip
PAST = {
    "falls_on": "falls_on", "kind": "kind", "state": "state", "done_at": "done_at",
    "fell_due_at": "fell_due_at", "drop_reason": "drop_reason",
}  # fmt: skip


def parts() -> list[Part]:
    return [*_joint(), *_life(), *_rechecks()]


def _joint() -> list[Part]:
    joint = """FROM records_joint j JOIN records_jointkind k ON k.id = j.kind_id
        JOIN records_vehicle v ON v.id = j.vehicle_id JOIN records_yard y ON y.id = v.yard_id
        LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id
        LEFT JOIN records_jointstate s ON s.joint_id = j.id WHERE j.id = %(joint)s"""
    holds = """FROM records_hold h JOIN records_person p ON p.id = h.placed_by_id
        WHERE h.vehicle_id = %(vehicle)s AND h.lifted_at IS NULL ORDER BY h.placed_at, h.id"""
    specs = """FROM records_torquespec WHERE design_id = %(design)s AND kind_id = %(kind)s
        AND is_current ORDER BY is_target DESC, origin"""
    return [
        Part("joint", JOINT, joint, lambda c: [c["joint"]]),
        Part("holds", HOLDS, holds, lambda c: c["holds"]),
        Part("specs", SPECS, specs, lambda c: c["life"].specs),
    ]


def _life() -> list[Part]:
    parts = """FROM records_partchange c JOIN records_person p ON p.id = c.by_id
        WHERE c.joint_id = %(joint)s ORDER BY c.occurred_at DESC, c.id DESC LIMIT 400"""
    fittings = """FROM records_jointfitting g JOIN records_person p ON p.id = g.by_id
        LEFT JOIN records_ticketline l ON l.id = g.line_id
        WHERE g.joint_id = %(joint)s ORDER BY g.occurred_at DESC, g.id DESC LIMIT 400"""
    torques = """FROM records_torquereading t JOIN records_person p ON p.id = t.by_id
        JOIN records_torquetool w ON w.id = t.tool_id
        LEFT JOIN records_torquespec s ON s.id = t.spec_id
        LEFT JOIN records_lineentry e ON e.id = t.line_entry_id
        LEFT JOIN records_ticketline l ON l.id = e.line_id
        WHERE t.joint_id = %(joint)s AND NOT EXISTS
            (SELECT 1 FROM records_lineentry later WHERE later.replaces_id = e.id)
        ORDER BY t.occurred_at DESC, t.id DESC LIMIT 400"""
    findings = """FROM records_finding f JOIN records_person p ON p.id = f.by_id
        LEFT JOIN records_torquespec s ON s.id = f.spec_id
        WHERE f.joint_id = %(joint)s ORDER BY f.occurred_at DESC, f.id DESC LIMIT 400"""
    return [
        Part("parts", PARTS, parts, lambda c: c["life"].parts),
        Part("fittings", FITTINGS, fittings, lambda c: c["life"].fittings),
        Part("torques", TORQUES, torques, lambda c: c["life"].torques),
        Part("findings", FINDINGS, findings, lambda c: c["life"].findings),
    ]


def _rechecks() -> list[Part]:
    owed = f"""FROM records_recheck r {OWED_JOINS} WHERE r.joint_id = %(joint)s
        AND r.state IN {LIVE} ORDER BY r.falls_on, r.id"""
    past = f"""FROM records_recheck WHERE joint_id = %(joint)s AND state NOT IN {LIVE}
        ORDER BY done_at DESC, id DESC LIMIT 400"""
    patterns = """FROM records_pattern p JOIN records_joint j ON j.id = p.joint_id
        JOIN records_jointkind k ON k.id = j.kind_id JOIN records_vehicle v ON v.id = p.vehicle_id
        WHERE p.joint_id = %(joint)s ORDER BY p.last_evidence_at DESC, p.id DESC"""
    return [
        Part("owed", OWED, owed, lambda c: c["life"].owed),
        Part("past", PAST, past, _past),
        words("ladder", "routine", "setting", "method"),
        Part("patterns", PATTERNS, patterns, lambda c: c["life"].patterns),
    ]


def _past(context: Any) -> Any:
    return context["life"].past_rechecks
