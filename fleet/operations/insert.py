"""Rows by the thousand: COPY on PostgreSQL, one prepared statement on SQLite.

For rows of which only the columns are wanted. Each model's own save, defaults and signals are
passed over; constraints and guards of the database are not.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import islice
from typing import Any

from django.db import connection, models

BATCH = 5_000


def insert(model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Insert rows given as tuples of these fields, inside the caller's transaction."""
    by_name = {field.name: field for field in model._meta.concrete_fields}
    fields = [by_name[name] for name in names]
    quote = connection.ops.quote_name
    table = quote(model._meta.db_table)
    columns = ", ".join(quote(str(field.column)) for field in fields)
    written = _written(fields, rows)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
                for row in written:
                    copy.write_row(row)
            return
        marks = ", ".join(["%s"] * len(fields))
        statement = f"INSERT INTO {table} ({columns}) VALUES ({marks})"  # noqa: S608  (our names)
        while batch := list(islice(written, BATCH)):
            cursor.executemany(statement, batch)


def _written(
    fields: Sequence["models.Field[Any, Any]"], rows: Iterable[Sequence[Any]]
) -> Iterator[Sequence[Any]]:
    """The rows as the database takes them."""
    changed = [(at, to) for at, field in enumerate(fields) if (to := _converter(field)) is not None]
    for row in rows:
        values = list(row)
        for at, to in changed:
            values[at] = to(values[at])
        yield values


def _converter(field: "models.Field[Any, Any]") -> Callable[[Any], Any] | None:
    if isinstance(field, models.JSONField):
        return json.dumps
    if connection.vendor == "postgresql":
        return None
    if isinstance(field, models.DateTimeField | models.DecimalField | models.UUIDField):
        # SQLite has no such types: they are written as text. Moments come many at a time.
        return lru_cache(maxsize=1_024)(lambda value: field.get_db_prep_save(value, connection))
    return None
