"""Rows by the thousand: COPY on PostgreSQL, one prepared statement on SQLite.

For rows of which only the columns are wanted. Each model's own save, defaults and signals are
passed over; constraints and guards of the database are not.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, datetime
from functools import lru_cache
from itertools import islice
from typing import Any

from django.db import connection, models

BATCH = 5_000
Fields = Sequence["models.Field[Any, Any]"]


def insert(model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Insert rows given as tuples of these fields, inside the caller's transaction."""
    insert_written(model, names, written(model, names, rows))


def insert_written(
    model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]
) -> None:
    """The same for rows that `written` has made ready, perhaps long before the transaction.

    What gives the rows must not ask the database anything: COPY has the connection.
    """
    quote = connection.ops.quote_name
    table, columns = quote(model._meta.db_table), columns_of(fields_of(model, names))
    given = iter(rows)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
                for row in given:
                    copy.write_row(row)
            return
        marks = ", ".join(["%s"] * len(names))
        statement = f"INSERT INTO {table} ({columns}) VALUES ({marks})"  # noqa: S608  (our names)
        while batch := list(islice(given, BATCH)):
            cursor.executemany(statement, batch)


def fields_of(model: type[models.Model], names: Sequence[str]) -> Fields:
    by_name = {field.name: field for field in model._meta.concrete_fields}
    return [by_name[name] for name in names]


def columns_of(fields: Fields) -> str:
    return ", ".join(connection.ops.quote_name(str(field.column)) for field in fields)


def written(
    model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]
) -> Iterator[Sequence[Any]]:
    """The rows as the database takes them."""
    changed = _changed(model, tuple(names))
    for row in rows:
        values = list(row)
        for at, to in changed:
            values[at] = to(values[at])
        yield values


@lru_cache(maxsize=64)
def _changed(
    model: type[models.Model], names: tuple[str, ...]
) -> list[tuple[int, Callable[[Any], Any]]]:
    """Which places of a row are written otherwise than they are given, and how."""
    fields = fields_of(model, names)
    return [(at, to) for at, field in enumerate(fields) if (to := _converter(field)) is not None]


def _converter(field: "models.Field[Any, Any]") -> Callable[[Any], Any] | None:
    if isinstance(field, models.JSONField):
        return json.dumps
    if connection.vendor == "postgresql":
        return None
    # SQLite has no such types: they are written as text.
    if isinstance(field, models.DateTimeField):
        return _moment
    if isinstance(field, models.UUIDField):
        return lambda uid: uid and uid.hex
    if isinstance(field, models.DateField | models.DecimalField):
        return lru_cache(maxsize=1_024)(lambda value: field.get_db_prep_save(value, connection))
    return None


@lru_cache(maxsize=1_024)
def _moment(value: datetime | None) -> str | None:
    """As Django writes it for SQLite: UTC, without the zone."""
    return None if value is None else str(value.astimezone(UTC).replace(tzinfo=None))
