"""Yard: how it stands now in all the reader's yards, ten rows and the number of each list."""

from typing import Any

from django.db import connection
from django.utils import timezone

from fleet.records.models import Yard
from tests.bench.facts import Part, numbered, under
from tests.bench.page_vehicle import PATTERNS
from tests.bench.shared_sql import LIVE, OWED, OWED_JOINS, days, words

TOTAL = {"x.total": "total"}
HELD = {
    "v.unit_number": "vehicle.unit_number", "y.name": "vehicle.yard.name",
    "x.since": "vehicle.held_since", "h.text": "hold.text", "h.ticket_id": "hold.ticket_id",
    "t.state": "hold.ticket.state",
}  # fmt: skip
USED = {"v.unit_number": "vehicle.unit_number", "h.text": "text", "h.placed_at": "placed_at"}
TICKET = {
    "t.id": "pk", "t.title": "title", "t.state": "state", "t.opened_at": "opened_at",
    "v.unit_number": "vehicle.unit_number",
}  # fmt: skip
STALE = {"v.unit_number": "unit_number", "u.last_at": "use.last_at"}
TOOLS = {
    "t.code": "tool.code", "t.name": "tool.name", "y.name": "tool.yard.name",
    "t.good_until": "tool.good_until", "t.doubted_since": "tool.doubted_since",
}  # fmt: skip
FIRST = 10


def _list(name: str, columns: dict[str, str], inner: str, outer: str) -> Part:
    """Ten ids and the number of all by a narrow statement, and what is shown of the ten."""
    return Part(
        name, under("row", columns) | TOTAL, f"FROM ({inner} LIMIT {FIRST}) x {outer}",
        lambda c: numbered(getattr(c["day"], name).rows, getattr(c["day"], name).total),
    )  # fmt: skip


def parts() -> list[Part]:
    return [_held(), _used(), *_owed(), *_tickets(), _patterns(), _stale(), _tools(), *_rest()]


def _held() -> Part:
    inner = f"""SELECT vehicle_id, min(placed_at) AS since, count(*) OVER () AS total
        FROM records_hold JOIN records_vehicle ON records_vehicle.id = vehicle_id
        WHERE lifted_at IS NULL GROUP BY vehicle_id, unit_number
        ORDER BY since, unit_number LIMIT {FIRST}"""
    outer = """JOIN records_vehicle v ON v.id = x.vehicle_id JOIN records_yard y ON y.id = v.yard_id
        JOIN records_hold h ON h.vehicle_id = v.id AND h.lifted_at IS NULL
        LEFT JOIN records_ticket t ON t.id = h.ticket_id
        ORDER BY x.since, v.unit_number, h.placed_at, h.id"""
    return Part("held", HELD | TOTAL, f"FROM ({inner}) x {outer}", _open_holds)


def _open_holds(context: Any) -> list[dict[str, Any]]:
    few = context["day"].held
    return [
        {"vehicle": vehicle, "hold": hold, "total": few.total}
        for vehicle in few.rows
        for hold in vehicle.open_holds
    ]


def _used() -> Part:
    inner = """SELECT id, count(*) OVER () AS total FROM records_hold
        WHERE lifted_at IS NULL AND reason = 'used_while_held' ORDER BY placed_at DESC, id DESC"""
    outer = """JOIN records_hold h ON h.id = x.id JOIN records_vehicle v ON v.id = h.vehicle_id
        ORDER BY h.placed_at DESC, h.id DESC"""
    return _list("used_while_held", USED, inner, outer)


def _owed() -> list[Part]:
    today = days(list(Yard.objects.all()), timezone.now())
    late = """(r.state = 'missed' OR ((v.status = 'in_service' OR r.kind = 'annual')
        AND (coalesce(r.due_on < d.column2, FALSE)
            OR coalesce(r.due_use_si < u.last_use_si, FALSE))))"""
    source = f"""SELECT r.id, count(*) OVER () AS total FROM records_recheck r
        JOIN records_vehicle v ON v.id = r.vehicle_id JOIN {today} d ON d.column1 = v.yard_id
        LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id WHERE r.state IN {LIVE}"""
    order, outer = (
        "ORDER BY r.falls_on, r.id",
        f"JOIN records_recheck r ON r.id = x.id {OWED_JOINS}",
    )
    last = "d.column2 + 7" if connection.vendor == "postgresql" else "date(d.column2, '+7 days')"
    week = f"r.falls_on <= {last}"
    return [
        _list("overdue", OWED, f"{source} AND {late} {order}", f"{outer} {order}"),
        _list(
            "this_week", OWED, f"{source} AND {week} AND NOT {late} {order}", f"{outer} {order}"
        ),
    ]  # fmt: skip


def _tickets() -> list[Part]:
    waiting = """SELECT t.id, count(*) OVER () AS total FROM records_ticket t
        WHERE t.state = 'open' AND EXISTS (SELECT 1 FROM records_ticketline l
            WHERE l.ticket_id = t.id AND l.state = 'complete')
        AND NOT EXISTS (SELECT 1 FROM records_ticketline l
            WHERE l.ticket_id = t.id AND l.state = 'open') ORDER BY t.opened_at, t.id"""
    past = """SELECT t.id, count(*) OVER () AS total FROM records_ticket t
        WHERE t.state IN ('checked', 'released', 'tested') ORDER BY t.opened_at, t.id"""
    outer = """JOIN records_ticket t ON t.id = x.id JOIN records_vehicle v ON v.id = t.vehicle_id
        ORDER BY t.opened_at, t.id"""
    return [_list("waiting", TICKET, waiting, outer), _list("past_check", TICKET, past, outer)]


def _patterns() -> Part:
    inner = """SELECT id, count(*) OVER () AS total FROM records_pattern
        WHERE state IN ('open', 'looked_at', 'did_not_help')
        ORDER BY last_evidence_at DESC, id DESC"""
    outer = """JOIN records_pattern p ON p.id = x.id JOIN records_joint j ON j.id = p.joint_id
        JOIN records_jointkind k ON k.id = j.kind_id JOIN records_vehicle v ON v.id = p.vehicle_id
        ORDER BY p.last_evidence_at DESC, p.id DESC"""
    return _list("patterns", PATTERNS, inner, outer)


def _stale() -> Part:
    inner = """SELECT v.id, count(*) OVER () AS total FROM records_vehicle v
        LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id WHERE v.status = 'in_service'
        AND (u.last_at IS NULL OR u.last_at < %(stale)s) ORDER BY u.last_at, v.unit_number"""
    outer = """JOIN records_vehicle v ON v.id = x.id
        LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id ORDER BY u.last_at, v.unit_number"""
    return _list("stale", STALE, inner, outer)


def _tools() -> Part:
    inner = """SELECT id, count(*) OVER () AS total FROM records_torquetool WHERE in_use
        AND (good_until IS NULL OR good_until <= %(warn)s OR doubted_since IS NOT NULL)
        ORDER BY good_until, code"""
    outer = """JOIN records_torquetool t ON t.id = x.id JOIN records_yard y ON y.id = t.yard_id
        ORDER BY t.good_until, t.code"""
    return _list("tools", TOOLS, inner, outer)


def _rest() -> list[Part]:
    return [
        Part(
            "in service", {"count(*)": "in_service"},
            "FROM records_vehicle WHERE status = 'in_service'", lambda c: [c["day"]],
        ),
        Part(
            "files", {"count(*)": "files.count", "min(q.wanted_by)": "files.first"},
            """FROM records_filerequest q WHERE NOT EXISTS
                (SELECT 1 FROM records_fileanswer a WHERE a.request_id = q.id)""",
            lambda c: [c["day"]],
        ),
        Part(
            "yards", {"slug": "slug", "name": "name"}, "FROM records_yard ORDER BY name",
            lambda c: c["yards"],
        ),
        words("ladder", "routine", "setting"),
    ]  # fmt: skip
