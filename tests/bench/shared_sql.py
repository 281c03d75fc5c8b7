"""Columns and joins that several yardsticks read."""

from typing import Any

from django.db import connection

from fleet.reads.days import today_at
from fleet.records.models import Yard
from tests.bench.facts import Part

# A line of the due list: its recheck, its vehicle, its joint.
OWED = {
    "r.id": "recheck.pk", "r.falls_on": "recheck.falls_on", "r.state": "recheck.state",
    "r.kind": "recheck.kind", "r.ladder": "recheck.ladder", "r.due_on": "recheck.due_on",
    "r.due_use_si": "recheck.due_use_si", "r.start_use_si": "recheck.start_use_si",
    "r.started_at": "recheck.started_at", "r.not_before": "recheck.not_before",
    "r.use_on_low": "recheck.use_on_low", "r.use_on": "recheck.use_on",
    "r.use_on_high": "recheck.use_on_high", "r.joint_id": "recheck.joint_id",
    "j.side": "recheck.joint.side", "k.names->>'en'": "recheck.joint.kind.names.en",
    "v.unit_number": "recheck.vehicle.unit_number", "v.status": "recheck.vehicle.status",
    "v.meter_unit": "recheck.vehicle.meter_unit", "v.duty": "recheck.vehicle.duty",
    "y.name": "recheck.vehicle.yard.name", "y.time_zone": "recheck.vehicle.yard.time_zone",
    "u.last_use_si": "recheck.vehicle.use.last_use_si", "u.last_at": "recheck.vehicle.use.last_at",
    "a.name": "recheck.assigned_to.name",
}  # fmt: skip
OWED_JOINS = """
    JOIN records_vehicle v ON v.id = r.vehicle_id JOIN records_yard y ON y.id = v.yard_id
    LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id
    LEFT JOIN records_joint j ON j.id = r.joint_id
    LEFT JOIN records_jointkind k ON k.id = j.kind_id
    LEFT JOIN records_person a ON a.id = r.assigned_to_id """
LIVE = "('owed', 'missed')"


def words(*kinds: str) -> Part:
    """The names of rules, and the fleet's settings: what codes and shares are read by."""
    quoted = ", ".join(f"'{kind}'" for kind in kinds)
    return Part(
        "rules",
        {"kind": "kind", "key": "key", "data->'names'->>'en'": "data.names.en",
         "data->>'value'": "value"},
        f"FROM records_rule WHERE is_current AND kind IN ({quoted}) ORDER BY kind, key",
        lambda _answer: _rules(kinds),
    )  # fmt: skip


def _rules(kinds: tuple[str, ...]) -> list[dict[str, Any]]:
    """Read as our pages read them: they are not kept in an answer's context."""
    from fleet.reads.rules import rules  # noqa: PLC0415  (only here, beside what it is held to)

    rows = [(kind, rule) for kind in sorted(kinds) for _key, rule in sorted(rules(kind).items())]
    return [
        {"kind": kind, "key": rule.key, "data": rule.data, "value": _text(rule.data.get("value"))}
        for kind, rule in rows
    ]


def _text(value: Any) -> Any:
    """As ->> gives a JSON value: PostgreSQL as text, SQLite as a number."""
    return value if value is None or connection.vendor == "sqlite" else str(value)


def days(yards: list[Yard], now: Any) -> str:
    """Each yard's date now, as a table of yard and day."""
    word = "DATE " if connection.vendor == "postgresql" else ""
    rows = ", ".join(f"({yard.pk}, {word}'{today_at(yard, now)}')" for yard in yards)
    return f"(VALUES {rows})"
