"""The quick way for bodies of many readings that hold nothing unusual, column by column.

The serializers say what may be sent and, row by row, what is wrong with it; that takes a
millisecond a row. Here a whole column is looked at in one go. Whatever is not plainly right is
left to them, so that nothing is judged otherwise than they would.
"""

from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django.utils.dateparse import parse_datetime

from fleet.records.models import MeterUnit

UNITS = frozenset(MeterUnit.values)
NAMES = ("vehicle", "meter", "unit", "new_meter", "reason", "at", "uid")
NEEDED = frozenset({"vehicle", "meter"})


class NotPlainError(Exception):
    """Something is for the serializers to say."""


def plain_rows(body: Any, most: int) -> list[dict[str, Any]] | None:
    """What the serializers would make of the rows of a body, or None where they must be asked."""
    rows = body.get("readings") if isinstance(body, dict) and len(body) == 1 else None
    if not isinstance(rows, list) or not 0 < len(rows) <= most:
        return None
    if not all(isinstance(row, dict) and row.keys() >= NEEDED for row in rows):
        return None
    found: list[dict[str, Any]] = [{} for _row in rows]
    told = 0
    try:
        for name in NAMES:
            mine = [(out, row[name]) for out, row in zip(found, rows, strict=True) if name in row]
            told += len(mine)
            values = COLUMNS[name]([value for _out, value in mine])
            for (out, _value), value in zip(mine, values, strict=True):
                out[name] = value
    except NotPlainError:
        return None
    # A name that is not among these is for the serializers too.
    return found if told == sum(map(len, rows)) else None


def _texts(most: int, *, blank: bool = False) -> Callable[[list[Any]], list[Any]]:
    def read(column: list[Any]) -> list[Any]:
        for value in column:
            if type(value) is not str or len(value) > most or value != value.strip():
                raise NotPlainError
            if not value and not blank:
                raise NotPlainError
        return column

    return read


def _units(column: list[Any]) -> list[Any]:
    if not all(type(value) is str and value in UNITS for value in column):
        raise NotPlainError
    return column


def _flags(column: list[Any]) -> list[Any]:
    if not all(type(value) is bool for value in column):
        raise NotPlainError
    return column


def _moments(column: list[Any]) -> list[datetime]:
    return [_moment(value) for value in column]


def _moment(value: Any) -> datetime:
    try:
        said = parse_datetime(value) if type(value) is str else None
        if said is None or said.tzinfo is None:
            raise NotPlainError
        return said.astimezone(UTC)
    except (ValueError, OverflowError) as error:
        raise NotPlainError from error


def _identities(column: Iterable[Any]) -> list[UUID]:
    try:
        return [UUID(hex=value) if type(value) is str else _odd() for value in column]
    except ValueError as error:
        raise NotPlainError from error


def _odd() -> UUID:
    raise NotPlainError


COLUMNS: dict[str, Callable[[list[Any]], list[Any]]] = {
    "vehicle": _texts(20), "meter": _texts(40), "unit": _units, "new_meter": _flags,
    "reason": _texts(200, blank=True), "at": _moments, "uid": _identities,
}  # fmt: skip
