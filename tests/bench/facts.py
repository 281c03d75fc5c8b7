"""A page's facts twice: read by hand-written SQL, and taken from what our view worked out.

Each part names its columns once, as SQL and as the path to the same fact in our rows, so that
the two are checked equal column by column before either is timed.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

import psycopg
from django.core.exceptions import ObjectDoesNotExist
from django.db import connection

Params = Mapping[str, Any]
Rows = list[tuple[Any, ...]]
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z")
IDENTITY = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


@dataclass(frozen=True)
class Part:
    """One statement of the yardstick, and where our answer holds the same rows."""

    name: str
    columns: Mapping[str, str]
    rest: str
    ours: Callable[[Any], Iterable[Any]]
    before: str = ""

    @property
    def sql(self) -> str:
        return f"{self.before} SELECT {', '.join(self.columns)} {self.rest}"

    def facts(self, answer: Any) -> Rows:
        rows, paths = self.ours(answer), [path for path in self.columns.values() if path]
        return [tuple(plain(dig(row, path)) for path in paths) for row in rows]

    def told(self, rows: Rows) -> Rows:
        """SQL's rows without the columns that our answer only reckons with."""
        wanted = [index for index, path in enumerate(self.columns.values()) if path]
        return [tuple(plain(row[index]) for index in wanted) for row in rows]


class Yardstick:
    """The statements on the connection that our pages use, prepared where the driver can."""

    def __init__(self, parts: list[Part]) -> None:
        connection.ensure_connection()
        self.sql = [_ready(part.sql) for part in parts]
        self.parts = parts

    def run(self, params: Params) -> list[Rows]:
        raw: Any = connection.connection
        if connection.vendor != "postgresql":
            return [raw.execute(sql, params).fetchall() for sql in self.sql]
        with psycopg.Cursor(raw) as cursor:
            return [cursor.execute(sql, params, prepare=True).fetchall() for sql in self.sql]

    def check(self, answer: Any, params: Params) -> int:
        """How many facts both hold; raises where one differs."""
        facts = 0
        for part, rows in zip(self.parts, self.run(params), strict=True):
            ours, theirs = part.facts(answer), part.told(rows)
            if ours != theirs:
                wrong = [pair for pair in zip(ours, theirs, strict=False) if pair[0] != pair[1]]
                raise AssertionError(
                    f"{part.name}: {len(ours)} rows of ours, {len(theirs)} by SQL; {wrong[:1]}"
                )
            facts += sum(len(row) for row in ours)
        return facts


def _ready(sql: str) -> str:
    """Named places in the driver's own spelling."""
    if connection.vendor == "postgresql":
        return sql
    return sql.replace("%(", ":").replace(")s", "").replace("%%", "%")


def dig(row: Any, path: str) -> Any:
    """Follow a path of attributes and keys; nothing on the way is None."""
    for name in path.split("."):
        if row is None:
            return None
        try:
            row = row.get(name) if isinstance(row, dict) else getattr(row, name)
        except ObjectDoesNotExist:
            return None
    return row


def plain(value: Any) -> Any:
    """The same fact looks the same whichever driver or serializer gave it."""
    if isinstance(value, datetime):
        return str(value.astimezone(UTC) if value.tzinfo else value)[:19]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, UUID):
        return value.hex
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, str):
        return _plain_text(value)
    return int(value) if isinstance(value, bool) else value


def _plain_text(value: str) -> str:
    """A moment or an identity as JSON writes it."""
    if MOMENT.fullmatch(value):
        return f"{value[:10]} {value[11:19]}"
    return value.replace("-", "") if IDENTITY.fullmatch(value) else value


def numbered(rows: Any, total: int) -> list[dict[str, Any]]:
    """Rows of ours, each with the number of all beside it."""
    return [{"row": row, "total": total} for row in rows]


def under(prefix: str, columns: Mapping[str, str]) -> dict[str, str]:
    """The same columns, each path one step further down."""
    return {sql: f"{prefix}.{path}" for sql, path in columns.items()}
