"""Due: the first fifty of everything owed."""

from typing import Any

from django.db import connection
from django.utils import timezone

from fleet.reads.due import WEEK
from fleet.reads.due_page import MOST_COUNTED
from fleet.reads.due_parts import COUNTED
from fleet.reads.few import FIRST as METERS
from fleet.records.models import Yard
from tests.bench.facts import Part
from tests.bench.shared_sql import LIVE, OWED, OWED_JOINS, days, words

SIZE = 50


def parts() -> list[Part]:
    return [
        Part(
            "owed",
            OWED,
            f"FROM records_recheck r {OWED_JOINS} WHERE r.state IN {LIVE} "
            f"ORDER BY r.falls_on, r.id LIMIT {SIZE}",
            lambda context: context["items"],
        ),
        Part(
            "number",
            {"count(*)": "count"},
            f"FROM (SELECT 1 FROM records_recheck WHERE state IN {LIVE} LIMIT {COUNTED}) x",
            lambda context: [context["page"].paginator],
        ),
        words("ladder", "routine", "setting"),
        Part(
            "yards",
            {"slug": "slug", "name": "name"},
            "FROM records_yard ORDER BY name",
            lambda context: _choices(context, "yard"),
        ),
        Part(
            "people",
            {"id": "pk", "name": "name"},
            "FROM records_person WHERE role <> 'server' ORDER BY name",
            lambda context: _choices(context, "assigned_to"),
        ),
        Part(
            "joint kinds",
            {"code": "code", "names->>'en'": "names.en"},
            'FROM records_jointkind ORDER BY "group", code',
            lambda context: _choices(context, "joint_kind"),
        ),
        _meters(),
        _together(),
    ]


def _meters() -> Part:
    """The first ten of the vehicles that owe something by a meter nobody has read lately."""
    owing = f"""EXISTS (SELECT 1 FROM records_recheck r WHERE r.vehicle_id = v.id
        AND r.state IN {LIVE} AND r.due_use_si IS NOT NULL)"""
    least = "least" if connection.vendor == "postgresql" else "min"
    inner = f"""SELECT v.id, {least}(count(*) OVER (), {MOST_COUNTED}) AS total
        FROM records_vehicle v
        LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id WHERE v.status = 'in_service'
        AND (u.last_at IS NULL OR u.last_at < %(stale)s) AND {owing}
        ORDER BY u.last_at NULLS FIRST, v.unit_number LIMIT {METERS}"""
    return Part(
        "meters to read",
        {"v.unit_number": "row.unit_number", "y.name": "row.yard.name",
         "u.last_at": "row.use.last_at", "x.total": "total"},
        f"""FROM ({inner}) x JOIN records_vehicle v ON v.id = x.id
        JOIN records_yard y ON y.id = v.yard_id
        LEFT JOIN records_vehicleuse u ON u.vehicle_id = v.id
        ORDER BY u.last_at NULLS FIRST, v.unit_number""",
        lambda context: [{"row": row, "total": context["meters"].total}
                         for row in context["meters"].rows],
    )  # fmt: skip


def _together() -> Part:
    """How many looks of each vehicle on the page fall due within a week of its yard's day."""
    yards = list(Yard.objects.all())
    page = f"""SELECT r.vehicle_id FROM records_recheck r WHERE r.state IN {LIVE}
        ORDER BY r.falls_on, r.id LIMIT {SIZE}"""
    late = f"r.falls_on <= date(d.column2, '+{WEEK} day')"
    if connection.vendor == "postgresql":
        late = f"r.falls_on <= d.column2 + {WEEK}"
    return Part(
        "due together",
        {"r.vehicle_id": "vehicle", "count(*)": "n"},
        f"""FROM records_recheck r JOIN records_vehicle v ON v.id = r.vehicle_id
        JOIN {days(yards, timezone.now())} d ON d.column1 = v.yard_id
        WHERE r.vehicle_id IN (SELECT vehicle_id FROM ({page}) p) AND r.state IN {LIVE}
        AND r.kind <> 'rack' AND {late} GROUP BY r.vehicle_id ORDER BY r.vehicle_id""",
        lambda context: [{"vehicle": pk, "n": n} for pk, n in sorted(context["together"].items())],
    )


def _choices(context: Any, name: str) -> list[Any]:
    return list(context["filters"].form.fields[name].queryset)
