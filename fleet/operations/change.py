"""Many rows changed at once: one prepared statement on SQLite, arrays of columns on PostgreSQL.

For state that is kept by its own hand: a model's save, defaults and signals are passed over,
constraints and guards of the database are not.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connection, models

from fleet.operations.insert import columns_of, fields_of, written

Model = type[models.Model]
Rows = Iterable[Sequence[Any]]


def update(model: Model, names: Sequence[str], rows: Rows) -> None:
    """Set these fields of the rows whose key stands first in each tuple."""
    key = model._meta.pk.name
    given = list(written(model, [key, *names], rows))
    if not given:
        return
    quote, table = connection.ops.quote_name, connection.ops.quote_name(model._meta.db_table)
    columns = [quote(str(field.column)) for field in fields_of(model, names)]
    pk = quote(str(model._meta.pk.column))
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            sets = ", ".join(f"{column} = new.{column}" for column in columns)
            arrays, values = _arrays(model, [key, *names], given)
            cursor.execute(
                f"UPDATE {table} SET {sets} FROM unnest({arrays}) AS new({pk}, "  # noqa: S608  (our names)
                f"{', '.join(columns)}) WHERE {table}.{pk} = new.{pk}", values,
            )  # fmt: skip
            return
        sets = ", ".join(f"{column} = %s" for column in columns)
        statement = f"UPDATE {table} SET {sets} WHERE {pk} = %s"  # noqa: S608  (our names)
        cursor.executemany(statement, [(*row[1:], row[0]) for row in given])


def upsert(model: Model, key: str, names: Sequence[str], rows: Rows) -> None:
    """Insert rows, the unique `key` first in each tuple; where it stands, set the rest anew."""
    given = list(written(model, [key, *names], rows))
    if not given:
        return
    quote, table = connection.ops.quote_name, connection.ops.quote_name(model._meta.db_table)
    fields = fields_of(model, [key, *names])
    columns = [quote(str(field.column)) for field in fields]
    sets = ", ".join(f"{column} = excluded.{column}" for column in columns[1:])
    into = f"INSERT INTO {table} ({columns_of(fields)})"
    on = f"ON CONFLICT ({columns[0]}) DO UPDATE SET {sets}"
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            arrays, values = _arrays(model, [key, *names], given)
            cursor.execute(f"{into} SELECT * FROM unnest({arrays}) {on}", values)  # noqa: S608  (our names)
            return
        marks = ", ".join(["%s"] * len(fields))
        cursor.executemany(f"{into} VALUES ({marks}) {on}", given)


def _arrays(
    model: Model, names: Sequence[str], rows: Sequence[Sequence[Any]]
) -> tuple[str, list[list[Any]]]:
    """The columns as arrays of their type, for unnest."""
    kinds = [field.rel_db_type(connection) if field.is_relation or field.primary_key
             else field.db_type(connection) for field in fields_of(model, names)]  # fmt: skip
    marks = ", ".join(f"%s::{kind}[]" for kind in kinds)
    return marks, [list(column) for column in zip(*rows, strict=True)]


def take_ids(model: Model, how_many: int) -> list[int]:
    """Ids for rows that are about to be inserted, inside the caller's transaction.

    SQLite's write lock is held by then, so that nobody else takes them.
    """
    table = model._meta.db_table
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT nextval(pg_get_serial_sequence(%s, %s)) FROM generate_series(1, %s)",
                [table, model._meta.pk.column, how_many],
            )
            return [row[0] for row in cursor.fetchall()]
        cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
        last = cursor.fetchone()
        first = (last[0] if last else 0) + 1
        return list(range(first, first + how_many))


def forget_plans() -> None:
    """Let PostgreSQL plan its checks of foreign keys anew.

    A connection keeps the plan it made when the tables were small, a scan of the whole table for
    each row; on tables that grow by thousands within one transaction that takes minutes.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("DISCARD PLANS")
