"""Vehicle: its joints as they stand, what it owes, its figures, and what happened to it."""

from typing import Any

from tests.bench.facts import Part, numbered, under
from tests.bench.shared_sql import LIVE, OWED, OWED_JOINS, words

IDENTITY = {
    "v.unit_number": "unit_number", "v.status": "status", "v.duty": "duty", "v.vin": "vin",
    "v.vin_note": "vin_note", "v.model_year": "model_year", "v.corrosion": "corrosion",
    "v.tyre_size": "tyre_size", "v.lift_m": "lift_m", "v.drop_arm": "drop_arm",
    "v.lowered_bracket": "lowered_bracket", "v.adjustable_bar": "adjustable_bar",
    "v.drag_link_degrees": "drag_link_degrees", "v.track_bar_degrees": "track_bar_degrees",
    "v.steering_side": "steering_side", "v.meter_unit": "meter_unit", "y.name": "yard.name",
    "y.time_zone": "yard.time_zone", "d.name": "design.name", "d.toe_typed": "design.toe_typed",
    "d.toe_source": "design.toe_source", "a.names->>'en'": "design.axle.names.en",
    "l.names->>'en'": "design.linkage.names.en", "n.names->>'en'": "design.knuckle.names.en",
    "h.names->>'en'": "design.hub.names.en", "u.last_use_si": "use.last_use_si",
    "u.last_at": "use.last_at", "u.rate_low": "use.rate_low",
    "u.rate_likely": "use.rate_likely", "u.rate_high": "use.rate_high",
}  # fmt: skip
JOINTS = {
    "j.id": "joint.pk", "j.side": "joint.side", "j.fitted": "joint.fitted",
    "k.names->>'en'": "joint.kind.names.en", 'k."group"': "joint.kind.group", "s.mark": "mark",
    "s.last_look_at": "state.last_look_at", "s.loosenings": "state.loosenings",
    "s.interval_from": "state.interval_from", "s.interval_to_on": "state.interval_to_on",
    "s.interval_from_use_si": "state.interval_from_use_si",
    "s.interval_to_use_si": "state.interval_to_use_si", "f.code": "state.last_finding.code",
    "f.degrees": "state.last_finding.degrees", "t.typed": "state.last_torque.typed",
    "t.occurred_at": "state.last_torque.occurred_at", "t.band": "state.last_torque.band",
    "p.number": "state.part.number", "p.lot": "state.part.lot",
    "p.occurred_at": "state.part.occurred_at", "r.falls_on": "due_on",
}  # fmt: skip
HOLDS = {
    "h.text": "text", "h.placed_at": "placed_at", "h.ticket_id": "ticket_id",
    "p.name": "placed_by.name",
}  # fmt: skip
TOES = {
    "t.occurred_at": "occurred_at", "t.as_left": "as_left", "t.toe_m": "toe_m",
    "t.rear_typed": "rear_typed", "t.front_typed": "front_typed", "p.name": "by.name",
}  # fmt: skip
PATTERNS = {
    "p.uid": "pattern.uid", "p.state": "pattern.state", "k.names->>'en'":
    "pattern.joint.kind.names.en", "j.side": "pattern.joint.side",
    "v.unit_number": "pattern.vehicle.unit_number",
}  # fmt: skip
FIGURES = {
    "k.names->>'en'": "kind.names.en", "s.typed": "typed", "s.low_nm": "low_nm",
    "s.high_nm": "high_nm", "s.angle_degrees": "angle_degrees", "s.thread": "thread",
    "s.thread_condition": "thread_condition", "s.strength_class": "strength_class",
    "s.new_fastener": "new_fastener", "s.source": "source", "s.origin": "origin",
}  # fmt: skip
TICKET = {"id": "pk", "title": "title", "state": "state", "opened_at": "opened_at"}
EVENTS = {"p.moment": "at", "p.kind": "kind", "p.id": "row.pk", "p.total": "total"}
EVENTS |= {
    "i.kind": "look.kind", "i.use_si": "look.use_si", "ip.name": "look.by.name",
    "n.looked": "look.looked", "n.loose": "look.loose", "n.bad": "look.bad",
    "n.not_reached": "look.not_reached",
    "c.kind": "complaint.kind", "c.text": "complaint.text",
    "c.speed_typed": "complaint.speed_typed",
    "cp.name": "complaint.by.name", "t.title": "ticket.title", "t.state": "ticket.state",
    "t.outcome": "ticket.outcome", "tp.name": "ticket.opened_by.name",
    "tc.name": "ticket.closed_by.name", "h.text": "hold.text", "hp.name": "hold.placed_by.name",
    "hl.name": "hold.lifted_by.name", "g.fitted": "fitting.fitted", "g.reason": "fitting.reason",
    "gp.name": "fitting.by.name",
}  # fmt: skip
MOMENTS = (
    ("inspection", "inspection", "occurred_at"), ("complaint", "complaint", "occurred_at"),
    ("ticket", "ticket", "opened_at"), ("close", "ticket", "closed_at"),
    ("hold", "hold", "placed_at"), ("lift", "hold", "lifted_at"),
)  # fmt: skip
NOUNS = {"inspection": "look", "complaint": "complaint", "ticket": "ticket", "close": "ticket",
         "hold": "hold", "lift": "hold", "fitting": "fitting"}  # fmt: skip


def parts() -> list[Part]:
    return [*_vehicle(), *_owed(), _joints(), _events()]


def _vehicle() -> list[Part]:
    identity = """FROM records_vehicle v JOIN records_yard y ON y.id = v.yard_id
        JOIN records_design d ON d.id = v.design_id JOIN records_layout a ON a.id = d.axle_id
        JOIN records_layout l ON l.id = d.linkage_id JOIN records_layout n ON n.id = d.knuckle_id
        JOIN records_layout h ON h.id = d.hub_id
        LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id WHERE v.id = %(vehicle)s"""
    holds = """FROM records_hold h JOIN records_person p ON p.id = h.placed_by_id
        WHERE h.vehicle_id = %(vehicle)s AND h.lifted_at IS NULL ORDER BY h.placed_at, h.id"""
    figures = """FROM records_torquespec s JOIN records_jointkind k ON k.id = s.kind_id
        WHERE s.design_id = %(design)s AND s.is_current AND s.is_target
        ORDER BY k."group", k.code"""
    ticket = """FROM records_ticket WHERE vehicle_id = %(vehicle)s
        AND state NOT IN ('closed', 'cancelled')"""
    return [
        Part("identity", IDENTITY, identity, lambda c: [c["vehicle"]]),
        Part("holds", HOLDS, holds, lambda c: c["file"].holds),
        Part("figures", FIGURES, figures, lambda c: c["file"].specs),
        Part("ticket", TICKET, ticket, lambda c: [c["file"].ticket] if c["file"].ticket else []),
    ]


def _owed() -> list[Part]:
    owed = f"""FROM records_recheck r {OWED_JOINS} WHERE r.state IN {LIVE}
        AND r.vehicle_id = %(vehicle)s ORDER BY r.falls_on, r.id"""
    toes = """FROM records_toereading t JOIN records_person p ON p.id = t.by_id
        WHERE t.vehicle_id = %(vehicle)s ORDER BY t.occurred_at DESC, t.id DESC LIMIT 10"""
    patterns = """FROM records_pattern p JOIN records_joint j ON j.id = p.joint_id
        JOIN records_jointkind k ON k.id = j.kind_id JOIN records_vehicle v ON v.id = p.vehicle_id
        WHERE p.vehicle_id = %(vehicle)s AND p.state IN ('open', 'looked_at', 'did_not_help')
        ORDER BY p.last_evidence_at DESC, p.id DESC"""
    return [
        Part("owed", OWED, owed, lambda c: c["file"].owed),
        words("ladder", "routine", "setting"),
        Part(
            "toes", under("row", TOES) | {"count(*) OVER ()": "total"}, toes,
            lambda c: numbered(c["file"].toes.rows, c["file"].toes.total),
        ),
        Part("patterns", PATTERNS, patterns, lambda c: c["file"].patterns),
    ]  # fmt: skip


def _joints() -> Part:
    joints = """FROM records_joint j JOIN records_jointkind k ON k.id = j.kind_id
        LEFT JOIN records_jointstate s ON s.joint_id = j.id
        LEFT JOIN records_finding f ON f.id = s.last_finding_id
        LEFT JOIN records_torquereading t ON t.id = s.last_torque_id
        LEFT JOIN records_partchange p ON p.id = s.part_id
        LEFT JOIN records_recheck r ON r.id = s.due_recheck_id
        WHERE j.vehicle_id = %(vehicle)s ORDER BY j."order", j.id"""
    return Part("joints", JOINTS, joints, _walk)


def _walk(context: Any) -> list[Any]:
    """The rows of all groups, in the order of the walk."""
    rows = [row for group in context["file"].groups for row in group.rows]
    return sorted(rows, key=lambda row: (row.joint.order, row.joint.pk))


def _events() -> Part:
    moments = " UNION ALL ".join(
        f"SELECT {moment} AS moment, '{kind}' AS kind, id FROM records_{table} "
        f"WHERE vehicle_id = %(vehicle)s AND {moment} IS NOT NULL"
        for kind, table, moment in MOMENTS
    )
    moments += """ UNION ALL SELECT g.occurred_at, 'fitting', g.id FROM records_jointfitting g
        JOIN records_joint j ON j.id = g.joint_id WHERE j.vehicle_id = %(vehicle)s"""
    before = f"""WITH p AS (SELECT m.*, count(*) OVER () AS total FROM ({moments}) m
            ORDER BY moment DESC, kind DESC, id DESC LIMIT 25),
        n AS (SELECT inspection_id, count(*) FILTER (WHERE code <> 'not_reached') AS looked,
                count(*) FILTER (WHERE code IN ('moved', 'play')) AS loose,
                count(*) FILTER (WHERE code IN ('worn_out', 'cracked', 'bent',
                    'broken_or_missing')) AS bad,
                count(*) FILTER (WHERE code = 'not_reached') AS not_reached
            FROM records_finding WHERE inspection_id IN
                (SELECT id FROM p WHERE kind = 'inspection') GROUP BY inspection_id)"""
    events = """FROM p
        LEFT JOIN records_inspection i ON p.kind = 'inspection' AND i.id = p.id
        LEFT JOIN n ON n.inspection_id = i.id
        LEFT JOIN records_person ip ON ip.id = i.by_id
        LEFT JOIN records_complaint c ON p.kind = 'complaint' AND c.id = p.id
        LEFT JOIN records_person cp ON cp.id = c.by_id
        LEFT JOIN records_ticket t ON p.kind IN ('ticket', 'close') AND t.id = p.id
        LEFT JOIN records_person tp ON tp.id = t.opened_by_id
        LEFT JOIN records_person tc ON tc.id = t.closed_by_id
        LEFT JOIN records_hold h ON p.kind IN ('hold', 'lift') AND h.id = p.id
        LEFT JOIN records_person hp ON hp.id = h.placed_by_id
        LEFT JOIN records_person hl ON hl.id = h.lifted_by_id
        LEFT JOIN records_jointfitting g ON p.kind = 'fitting' AND g.id = p.id
        LEFT JOIN records_person gp ON gp.id = g.by_id
        ORDER BY p.moment DESC, p.kind DESC, p.id DESC"""
    return Part("events", EVENTS, events, _told, before)


def _told(context: Any) -> list[dict[str, Any]]:
    total = context["page"].paginator.count
    return [
        {"at": event.at, "kind": event.kind, "row": event.row, "total": total,
         NOUNS[event.kind]: event.row}
        for event in context["events"]
    ]  # fmt: skip
