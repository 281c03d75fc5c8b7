"""Rows made in memory and put into the database at once, numbered as they happened."""

import itertools
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from operator import itemgetter
from typing import Any, TypeVar
from uuid import UUID

import numpy as np
from django.core.management.color import no_style
from django.db import connection
from django.db.models import Max, Model
from django.db.models.base import ModelState

from fleet.operations.insert import insert
from fleet.records.models import Person, TrailEntry, Vehicle

Row = TypeVar("Row", bound=Model)
CHUNK = 4096
UID_BYTES = 10
VERSION_7, VARIANT = 0x7, 0b10


@dataclass(frozen=True)
class Gesture:
    """One act of one person at one moment, as `Work` is for an operation."""

    by: Person
    at: datetime
    uid: UUID
    door: str = "web"


@dataclass
class Book:
    """Keeps rows until `save`, which numbers each table by time and then writes it."""

    rng: np.random.Generator
    _rows: dict[type[Model], list[tuple[datetime, int, Model]]] = field(default_factory=dict)
    _places: "itertools.count[int]" = field(default_factory=itertools.count)
    _noise: list[int] = field(default_factory=list)
    _subjects: list[tuple[TrailEntry, Model]] = field(default_factory=list)

    def keep(self, row: Model, at: datetime) -> None:
        self._rows.setdefault(type(row), []).append((at, next(self._places), row))

    def uid(self, at: datetime) -> UUID:
        """A time-ordered identity (RFC 9562, UUIDv7) that the seed decides."""
        if not self._noise:
            drawn = self.rng.bytes(UID_BYTES * CHUNK)
            self._noise = [
                int.from_bytes(drawn[at : at + UID_BYTES], "big")
                for at in range(0, len(drawn), UID_BYTES)
            ]
        noise = self._noise.pop()
        milliseconds = int(at.timestamp() * 1000) & (1 << 48) - 1
        high = milliseconds << 16 | VERSION_7 << 12 | noise >> 68
        return UUID(int=high << 64 | VARIANT << 62 | noise & (1 << 62) - 1)

    def gesture(self, by: Person, at: datetime, door: str = "web") -> Gesture:
        return Gesture(by, at, self.uid(at), door)

    def fact(self, by: Person, at: datetime) -> dict[str, Any]:
        """The columns that every fact carries."""
        return {"uid": self.uid(at), "occurred_at": at, "received_at": at, "by": by}

    def trail(
        self, gesture: Gesture, verb: str, row: Model, vehicle: Vehicle, *,
        at: datetime | None = None, after: dict[str, Any] | None = None, reason: str = "",
    ) -> None:  # fmt: skip
        """The trail entry that the operation would have written."""
        moment = at or gesture.at
        entry = draft(
            TrailEntry, uid=self.uid(moment), gesture=gesture.uid, at=moment, received_at=moment,
            actor_id=gesture.by.pk, door=gesture.door, verb=verb,
            subject=row._meta.model_name or "", subject_id=0, vehicle_id=vehicle.pk,
            yard_id=vehicle.yard_id, before={}, after=after or {}, reason=reason,
        )  # fmt: skip
        self._subjects.append((entry, row))
        self.keep(entry, moment)

    def save(self) -> dict[str, int]:
        """Number and write everything, inside the caller's transaction; rows by table."""
        for rows in self._rows.values():
            rows.sort(key=lambda one: one[:2])
            taken = type(rows[0][2])._default_manager.aggregate(last=Max("pk"))["last"] or 0
            for number, (_at, _place, row) in enumerate(rows, start=taken + 1):
                row.pk = number
        for entry, row in self._subjects:
            entry.subject_id = row.pk
            entry.after = {
                name: value.pk if isinstance(value, Model) else value
                for name, value in entry.after.items()
            }
        _with_room()
        counts = {}
        for model, rows in self._rows.items():
            _write(model, [row for *_, row in rows])
            counts[model._meta.model_name or ""] = len(rows)
        _go_on_counting(list(self._rows))
        return counts


def draft(model: type[Row], **columns: Any) -> Row:
    """An unsaved row, made without the model's own start and its signals: they are most of the
    time that a hundred thousand rows take."""
    row = model.__new__(model)
    state = ModelState()
    row._state = state
    blank, makers, related = _blank(model)
    filled = row.__dict__
    filled.update(blank)
    for name, maker in makers:
        if name not in columns:
            filled[name] = maker()
    for name, value in columns.items():
        attname = related.get(name)
        if attname is None:
            filled[name] = value
        elif value is not None:
            filled[attname] = value.pk
            state.fields_cache[name] = value
    return row


@cache
def _blank(
    model: type[Model],
) -> tuple[dict[str, Any], list[tuple[str, Callable[[], Any]]], dict[str, str]]:
    """A model's plain defaults, those to be made anew for each row, and its relations."""
    blank, makers, related = {}, [], {}
    for column in model._meta.concrete_fields:
        if column.is_relation:
            related[column.name] = column.attname
        if column.has_default() and callable(column.default):
            makers.append((column.attname, column.default))
        else:
            blank[column.attname] = column.get_default()
    return blank, makers, related


def _write(model: type[Model], rows: list[Model]) -> None:
    """Insert rows of one table; a row that another names has its number by now."""
    fields = model._meta.concrete_fields
    related = [(field.name, field.attname) for field in fields if field.is_relation]
    columns = itemgetter(*(field.attname for field in fields))
    insert(
        model,
        [field.name for field in fields],
        (columns(_resolved(row, related)) for row in rows),
    )


def _resolved(row: Model, related: list[tuple[str, str]]) -> dict[str, Any]:
    """The row's columns, those that name another row filled in."""
    columns, others = row.__dict__, row._state.fields_cache
    for name, attname in related:
        if columns[attname] is None and (other := others.get(name)) is not None:
            columns[attname] = other.pk
    return columns


def _with_room() -> None:
    """Let SQLite keep the indexes that it fills in memory: 64 MB, for this connection only."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA cache_size = -65536")


def _go_on_counting(models: list[type[Model]]) -> None:
    """Where the database numbers rows by a sequence, let it go on after ours."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)
