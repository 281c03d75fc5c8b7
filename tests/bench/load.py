"""Rows put into tables in bulk: COPY on PostgreSQL, one prepared INSERT on SQLite."""

import json
from collections.abc import Callable, Iterator
from typing import Any

from django.core.management.color import no_style
from django.db import connection, models
from django.db.models import Max, Model

from fleet.records.base import Fact

Row = tuple[Any, ...]


class Table:
    """A table being filled. Columns named in `varying` are given with each row, in that order;
    the others have one value for all rows, their default unless it is given here.
    """

    def __init__(self, model: type[Model], *varying: str, **constant: Any) -> None:
        fields = {field.attname: field for field in model._meta.concrete_fields}
        self.model, self.rows = model, list[Row]()
        self.last: int = model._default_manager.aggregate(last=Max("pk"))["last"] or 0
        self.has_uid = "uid" in fields
        # Heard when it happened: nobody in this fleet works without a network.
        self.heard = varying.index("occurred_at") if issubclass(model, Fact) else None
        given = ["id", *(["uid"] if self.has_uid else []), *varying]
        given += ["received_at"] if self.heard is not None else []
        rest = [name for name in fields if name not in given]
        values = {name: constant.get(name, fields[name].get_default()) for name in rest}
        self.constant: Row = tuple(values.values())
        names = [*given, *rest]
        self.columns = [str(fields[name].column) for name in names]
        self.stored = [(i, how) for i, name in enumerate(names) if (how := _stored(fields[name]))]

    def add(self, *values: Any) -> int:
        """Put a row aside for the next flush; returns its id."""
        self.last += 1
        row: Row = (self.last, _uid(self.last), *values) if self.has_uid else (self.last, *values)
        if self.heard is not None:
            row += (values[self.heard],)
        self.rows.append(row + self.constant)
        return self.last

    def flush(self, cursor: Any) -> None:
        if not self.rows:
            return
        table = connection.ops.quote_name(self.model._meta.db_table)
        columns = ", ".join(map(connection.ops.quote_name, self.columns))
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
                for row in self._ready():
                    copy.write_row(row)
        else:
            places = ", ".join(["%s"] * len(self.columns))
            cursor.executemany(f"INSERT INTO {table} ({columns}) VALUES ({places})", self._ready())
        self.rows.clear()

    def _ready(self) -> Iterator[Row]:
        for row in self.rows:
            values = list(row)
            for index, how in self.stored:
                if values[index] is not None:
                    values[index] = how(values[index])
            yield tuple(values)


def reset_sequences(tables: list[Table]) -> None:
    """Ids were given by hand; the next one must come after them."""
    wanted = [table.model for table in tables]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), wanted):
            cursor.execute(statement)


def _uid(number: int) -> str:
    """In the order of the rows, as UUIDv7s made one after the other are."""
    return f"01900000000070008{number:015x}"


def _stored(field: Any) -> Callable[[Any], Any] | None:
    """How a value is written where the driver would not know it."""
    if isinstance(field, models.JSONField):
        return json.dumps
    if connection.vendor == "postgresql":
        return None
    if isinstance(field, models.DateTimeField):
        return _sqlite_moment
    return str if isinstance(field, models.DateField) else None


def _sqlite_moment(value: Any) -> str:
    """As Django stores a moment: UTC, without the zone."""
    return str(value)[:19]
