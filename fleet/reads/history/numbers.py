"""Columns of a query as arrays of numbers, a block of rows at a time.

What a whole fleet's record takes to read is mostly the making of Python objects. So the database
answers in numbers wherever it can (moments too), texts become numbers at once, and no row stays an
object for longer than its block.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import (
    BigIntegerField,
    F,
    Func,
    QuerySet,
    Value,
)
from django.db.models.functions import Coalesce
from numpy.typing import NDArray

Columns = dict[str, NDArray[Any]]
#: Stands for no id.
NONE = -1
#: Rows that are objects at one time.
BLOCK = 20_000


@dataclass(frozen=True, slots=True)
class Column:
    """What to ask for, and the array to keep it in. Floats take nothing as nan.

    `codes` has the number that is kept of each text.
    """

    expression: Any
    dtype: type[np.generic]
    codes: dict[str, int] | None = None


class Microseconds(Func):
    """A moment as whole microseconds since 1970, UTC."""

    output_field = BigIntegerField()

    def as_sqlite(self, compiler: Any, connection: Any, **context: Any) -> Any:
        # Django writes moments as text there: UTC, with six digits after the point or none. Those
        # are cut off first, since strftime would round them up to a second.
        whole = "CAST(strftime('%%%%s', substr(%(expressions)s, 1, 19)) AS INTEGER)"
        rest = "CAST(substr(%(expressions)s, 21) AS INTEGER)"
        return self.as_sql(
            compiler, connection, template=f"({whole} * 1000000 + {rest})", **context
        )

    def as_postgresql(self, compiler: Any, connection: Any, **context: Any) -> Any:
        return self.as_sql(
            compiler, connection,
            template="(EXTRACT(EPOCH FROM %(expressions)s) * 1000000)::bigint", **context,
        )  # fmt: skip


def ident(path: str, *, may_miss: bool = False) -> Column:
    """An id; NONE where there may be none."""
    told = Coalesce(F(path), Value(NONE), output_field=BigIntegerField()) if may_miss else F(path)
    return Column(told, np.int64)


def whole(path: str) -> Column:
    return Column(F(path), np.int64)


def measure(path: str) -> Column:
    """A figure that may be missing."""
    return Column(F(path), np.float64)


def moment(path: str) -> Column:
    """Whole microseconds of a moment that is never missing."""
    return Column(Microseconds(path), np.int64)


def moment_or_never(path: str) -> Column:
    """Microseconds; nan where there is none."""
    return Column(Microseconds(path), np.float64)


def flag(path: str) -> Column:
    """Yes or no, never missing."""
    return Column(F(path), np.bool_)


def coded(path: str, values: Iterable[str]) -> Column:
    """The place of a text among these; NONE for any other."""
    codes: dict[str, int] = defaultdict(lambda: NONE)
    codes.update((value, place) for place, value in enumerate(values))
    return Column(F(path), np.int16, codes)


def text(path: str) -> Column:
    """Texts that nobody can list beforehand, numbered in the order they come; `codes` has them."""
    codes: dict[str, int] = defaultdict(lambda: len(codes))
    return Column(F(path), np.int64, codes)


def read(rows: QuerySet[Any], **columns: Column) -> Columns:
    """Columns by name, in the order of the query; one query."""
    asked = rows.values_list(*(column.expression for column in columns.values()))
    parts: dict[str, list[NDArray[Any]]] = {
        name: [np.zeros(0, column.dtype)] for name, column in columns.items()
    }
    for block in _blocks(asked):
        for (name, column), values in zip(columns.items(), zip(*block, strict=True), strict=True):
            parts[name].append(_array(values, column))
    return {name: np.concatenate(parts.pop(name)) for name in columns}


def _blocks(asked: QuerySet[Any]) -> Iterator[list[tuple[Any, ...]]]:
    """Straight from the cursor: every value is a number already."""
    try:
        statement, parameters = asked.query.sql_with_params()
    except EmptyResultSet:  # of none of the ids, which takes no asking
        return
    with connection.chunked_cursor() as cursor:
        cursor.execute(statement, parameters)
        while block := cursor.fetchmany(BLOCK):
            yield block


def _array(values: tuple[Any, ...], column: Column) -> NDArray[Any]:
    if column.dtype is np.float64:
        return np.array(values, np.float64)  # takes None as nan
    told = values if column.codes is None else map(column.codes.__getitem__, values)
    return np.fromiter(told, column.dtype, len(values))


def looked_up(keys: NDArray[Any], values: NDArray[Any], wanted: NDArray[Any]) -> NDArray[Any]:
    """The value of each wanted key; keys are sorted, and each that is wanted is among them.

    >>> looked_up(np.array([3, 5, 9]), np.array([30, 50, 90]), np.array([9, 3])).tolist()
    [90, 30]
    """
    return values[np.searchsorted(keys, wanted)]


def seconds(moments: NDArray[Any]) -> NDArray[np.float64]:
    """Microseconds as seconds."""
    return np.asarray(moments / 1e6)
