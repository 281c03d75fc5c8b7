"""The yardstick of bringing in: the rows that came of it once more, by COPY in one transaction.

Every id and identity is moved far off, so that the same rows can stand beside ours in the same
tables, under the same indexes, constraints and guards. SQLite has no COPY: there it is one
prepared statement a table.
"""

import time
from typing import Any

from django.db import connection, models, transaction

from fleet.operations.change import forget_plans
from fleet.records.models import (
    Joint,
    JointState,
    MeterReading,
    Recheck,
    TrailEntry,
    Vehicle,
    VehicleUse,
)

FAR = 1_000_000_000
MOVED: tuple[type[models.Model], ...] = (Vehicle, Joint, MeterReading, Recheck)
OF_FLEET = "vehicle_id IN (SELECT id FROM records_vehicle WHERE unit_number LIKE '{mark}-%%')"
# Each table with which of its rows came in with a fleet of vehicles.
WITH_VEHICLES: dict[type[models.Model], str] = {
    Vehicle: "unit_number LIKE '{mark}-%%'",
    Joint: OF_FLEET,
    JointState: f"joint_id IN (SELECT id FROM records_joint WHERE {OF_FLEET})",
    MeterReading: OF_FLEET,
    VehicleUse: OF_FLEET,
    Recheck: OF_FLEET,
    TrailEntry: OF_FLEET,
}
WITH_READINGS: dict[type[models.Model], str] = {
    MeterReading: f"{OF_FLEET} AND received_at = %(at)s",
    TrailEntry: f"{OF_FLEET} AND at = %(at)s",
}


class Twin:
    """Rows of ours, read and ready to be written again."""

    def __init__(self, what: dict[type[models.Model], str], mark: str, at: Any = None) -> None:
        self.params = {"at": at if connection.vendor == "postgresql" else str(at)[:26]}
        self.tables = {
            model: self._read(model, where.replace("{mark}", mark)) for model, where in what.items()
        }

    @property
    def rows(self) -> int:
        return sum(count for count, _rows in self.tables.values())

    def write(self) -> float:
        """Seconds that it took, the commit with them."""
        started = time.perf_counter()
        with transaction.atomic(), connection.cursor() as cursor:
            forget_plans()
            for model, (_count, rows) in self.tables.items():
                names = ", ".join(f'"{field.column}"' for field in model._meta.concrete_fields)
                table = model._meta.db_table
                if connection.vendor == "postgresql":
                    with cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy:
                        copy.write(rows)
                    continue
                marks = ", ".join(["%s"] * len(model._meta.concrete_fields))
                cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({marks})", rows)
        return time.perf_counter() - started

    def _read(self, model: type[models.Model], where: str) -> tuple[int, Any]:
        columns = ", ".join(_moved(model, field) for field in model._meta.concrete_fields)
        chosen = f"SELECT {columns} FROM {model._meta.db_table} WHERE {where} ORDER BY id"
        with connection.cursor() as cursor:
            if connection.vendor != "postgresql":
                # As the driver has them: nothing is turned into Python's types and back.
                raw: Any = connection.connection
                found = raw.execute(chosen.replace("%(at)s", ":at").replace("%%", "%"), self.params)
                rows = [tuple(row) for row in found.fetchall()]
                return len(rows), rows
            with cursor.copy(f"COPY ({chosen}) TO STDOUT", self.params) as copy:
                data = b"".join(bytes(part) for part in copy)
            return data.count(b"\n"), data


def _moved(model: type[models.Model], field: Any) -> str:
    """A column as the twin has it."""
    column = f'"{field.column}"'
    if field.primary_key or field.related_model in MOVED:
        return f"{column} + {FAR}"
    if model is TrailEntry and field.name in ("vehicle_id", "subject_id"):
        return f"{column} + {FAR}"
    if field.name == "uid":
        # In the order of ours, as identities made one after the other are.
        text = f"'f' || substr(CAST({column} AS text), 2)"
        return f"CAST({text} AS uuid)" if connection.vendor == "postgresql" else text
    if model is Vehicle and field.name in ("unit_number", "vin"):
        return f"CASE {column} WHEN '' THEN '' ELSE 'T' || substr({column}, 2) END"
    return column
