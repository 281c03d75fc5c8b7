"""The due list by hand-written SQL, under each filter: what is owed and what is missed apart, each
in the order of the index, as quickly as we know how."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db import connection
from django.utils import timezone

from fleet.records.models import Person, Yard
from tests.bench import page_due
from tests.bench.api_facts import DUE, JUDGED
from tests.bench.facts import Yardstick
from tests.bench.shared_sql import OWED, OWED_JOINS, days

SIZE, COUNTED = 50, 1_001
VEHICLE = "JOIN records_vehicle v ON v.id = r.vehicle_id"
USE = f"{VEHICLE} LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id"
LATE = """((v.status = 'in_service' OR r.kind = 'annual')
    AND (r.due_on < d.column2 OR r.due_use_si < u.last_use_si))"""
OUT = "r.vehicle_id NOT IN (SELECT id FROM records_vehicle WHERE status = 'out')"


@dataclass(frozen=True)
class Choice:
    """A choice of the filters: its query, what is joined, and the condition by state ("" where
    nothing of that state is in it)."""

    name: str
    query: str
    joins: str = ""
    owed: str = "TRUE"
    missed: str = "TRUE"


def _alike(name: str, query: str, condition: str, joins: str = "") -> Choice:
    return Choice(name, query, joins, condition, condition)


STALE = """r.vehicle_id IN (SELECT v.id FROM records_vehicle v LEFT JOIN records_vehicleuse u
    ON u.vehicle_id = v.id WHERE v.status = 'in_service'
    AND (u.last_at IS NULL OR u.last_at < {stale}))"""
CHOICES = [
    _alike("everything", "", "TRUE"),
    Choice("late", "when=late", f"{USE} JOIN {{days}} d ON d.column1 = v.yard_id",
           f"{LATE} AND r.falls_on <= {{tomorrow}}"),
    Choice("due this week", "when=week", f"{USE} JOIN {{days}} d ON d.column1 = v.yard_id",
           f"r.falls_on <= {{week}} AND (NOT {LATE} OR {LATE} IS NULL)", ""),
    Choice("later", "when=later", f"{VEHICLE} JOIN {{days}} d ON d.column1 = v.yard_id",
           "r.falls_on > {week}", ""),
    _alike("vehicle held", "when=held",
           "r.vehicle_id IN (SELECT vehicle_id FROM records_hold WHERE lifted_at IS NULL)"),
    _alike("vehicle laid up", "when=laid_up",
           "r.vehicle_id IN (SELECT id FROM records_vehicle WHERE status = 'laid_up')"),
    _alike("put off", "when=put_off", "r.put_off_by_id IS NOT NULL"),
    _alike("kind: sweep", "kind=sweep", "r.kind = 'sweep'"),
    _alike("joint", "joint_kind=ball_joint_upper", "j.kind_id = (SELECT id FROM records_jointkind"
           " WHERE code = 'ball_joint_upper')", "JOIN records_joint j ON j.id = r.joint_id"),
    _alike("one yard", "yard=alder", "v.yard_id = {yard}", VEHICLE),
    _alike("meter not read", "meter=stale", STALE),
    _alike("handed to somebody", "assigned_to={person}", "r.assigned_to_id = {person}"),
    _alike("handed to nobody", "assigned_to=null", "r.assigned_to_id IS NULL"),
]  # fmt: skip


def words() -> dict[str, Any]:
    """What stands in the statements for today and for whoever is asked for."""
    yards, now = list(Yard.objects.all()), timezone.now()
    day = "DATE " if connection.vendor == "postgresql" else ""
    week = "d.column2 + 7" if connection.vendor == "postgresql" else "date(d.column2, '+7 day')"
    stale = (now - timedelta(days=45)).strftime("%Y-%m-%d %H:%M:%S")
    return {
        "days": days(yards, now), "week": week, "stale": f"'{stale}'",
        "tomorrow": f"{day}'{(now + timedelta(days=1)).date()}'",
        "yard": next(yard.pk for yard in yards if yard.slug == "alder"),
        "person": person(),
    }  # fmt: skip


def person() -> int:
    rows = Person.objects.filter(postings__yard__slug="alder").order_by("pk")
    return int(rows.values_list("pk", flat=True)[0])


def yardstick(choice: Choice, *, whole: bool) -> Callable[[], tuple[list[int], int]]:
    """Reads a page of it with its facts and what stands round it, and how many there are: all of
    them for JSON, where vehicles that left are listed too; as many as a page tells for the page."""
    said, out = words(), "TRUE" if whole else OUT
    states = [(s, c) for s, c in (("missed", choice.missed), ("owed", choice.owed)) if c]
    from_ = [
        f"FROM records_recheck r {choice.joins} WHERE r.state = '{s}' AND {out} AND {c}"
        for s, c in states
    ]
    heads = [
        f"SELECT * FROM (SELECT r.id, r.falls_on {one} ORDER BY r.falls_on, r.id LIMIT {SIZE}) x{n}"
        for n, one in enumerate(from_)
    ]
    ids = f"SELECT id FROM ({' UNION ALL '.join(heads)}) y ORDER BY falls_on, id LIMIT {SIZE}"
    columns = {**DUE, **JUDGED} if whole else OWED
    facts = f"""SELECT {", ".join(columns)} FROM records_recheck r {OWED_JOINS}
        WHERE r.id IN ({ids}) ORDER BY r.falls_on, r.id"""
    some = "" if whole else f"LIMIT {COUNTED}"
    counts = " + ".join(f"(SELECT count(*) FROM (SELECT 1 {one} {some}) z)" for one in from_)
    sql = [text.format(**said) for text in (facts, f"SELECT {counts}")]
    names = ("rules",) if whole else ("rules", "yards", "people", "joint kinds", "meters to read",
                                      "due together")  # fmt: skip
    rest = Yardstick([part for part in page_due.parts() if part.name in names])
    params = {"stale": timezone.now() - timedelta(days=45)}

    def run() -> tuple[list[int], int]:
        rest.run(params)
        with connection.cursor() as cursor:
            cursor.execute(sql[0])
            rows = [row[0] for row in cursor.fetchall()]
            cursor.execute(sql[1])
            return rows, cursor.fetchone()[0]

    return run
