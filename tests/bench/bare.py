"""What a close writes, written bare: the same rows in one transaction and nothing else."""

from typing import Any

import psycopg
from django.db import connection
from django.db.models import Model

from fleet.operations import state
from fleet.records.models import (
    Hold,
    JointState,
    Outbox,
    Recheck,
    SecondCheck,
    StoredRequest,
    Ticket,
    TicketLine,
    TrailEntry,
    Vehicle,
)
from tests.bench.ready import Copies

Statement = tuple[str, list[Any]]
# Far above the sequences, so that bare rows with ids of their own never meet the others.
FAR = 1_000_000_000
# What a close changes of a joint's state: by its line, and by what is owed from now on.
BY_LINE = ("mark", "last_torque_id", "last_turned_at", "last_turned_use_si")
OWED = ("due_recheck_id", "interval_from", "interval_from_use_si", "interval_to_on",
        "interval_to_use_si")  # fmt: skip


class BareClose:
    """Prepared from a close that was done for real on a vehicle of the same design."""

    def __init__(self, done: Ticket, twin: Ticket, copies: Copies) -> None:
        self.done, self.twin, self.copies = done, twin, copies
        mine: dict[str, Any] = {"vehicle_id": done.vehicle_id}
        at: Any = done.closed_at
        rechecks = self._new(Recheck.objects.filter(**mine, started_at=at))
        trail = self._new(TrailEntry.objects.filter(**mine, at=at))
        notices = self._new(Outbox.objects.filter(**mine))
        requests = self._new(
            StoredRequest.objects.filter(key=f"close-{done.pk}"), key=f"bare-{twin.pk}"
        )
        self.states = self._states()
        statements = [
            self._vehicle(), self._ticket(), self._lines(), self._holds(), _insert(rechecks),
            _insert(trail), _insert(notices), _insert(requests), self._upsert(),
        ]  # fmt: skip
        mark = "%s" if connection.vendor == "postgresql" else "?"
        self.statements = [(sql.replace("%s", mark), values) for sql, values in statements]
        self.rows = (
            3 + TicketLine.objects.filter(ticket=twin).count() + len(rechecks) + len(trail)
            + len(notices) + len(requests) + len(self.states)
        )  # fmt: skip

    def run(self) -> None:
        raw: Any = connection.connection
        if connection.vendor == "postgresql":
            with psycopg.Cursor(raw) as cursor:
                cursor.execute("BEGIN")
                for sql, values in self.statements:
                    cursor.execute(sql, values, prepare=True)
                cursor.execute("COMMIT")
            return
        raw.execute("BEGIN IMMEDIATE")
        for sql, values in self.statements:
            raw.execute(sql, values)
        raw.execute("COMMIT")

    def check(self) -> None:
        """Both vehicles stand alike, and what is kept of the joints follows from the facts."""
        ids = [row.joint_id for row in self.states]
        kept = {row.joint_id: row for row in JointState.objects.filter(joint__in=ids)}
        for row in state.work_out(ids):
            for name in state.FIELDS:
                mine, theirs = getattr(row, name), getattr(kept[row.joint_id], name)
                if mine != theirs:
                    raise AssertionError(f"bare close: {name} is {theirs}, should be {mine}")
        live = [Recheck.objects.filter(vehicle=t.vehicle_id, state="owed") for t in
                (self.done, self.twin)]  # fmt: skip
        ours, bare = (sorted(rows.values_list("ladder", "joint__place", "due_on")) for rows in live)
        if ours != bare or Ticket.objects.get(pk=self.twin.pk).state != "closed":
            raise AssertionError("bare close: not the same rows")

    def _new(self, rows: Any, **changed: Any) -> list[Any]:
        """What the close added, about the other vehicle, under ids far off."""
        model, made = rows.model, []
        for row in rows.order_by("pk"):
            pk = FAR + row.pk
            self.copies.ids[model, row.pk] = pk
            named = {"vehicle_id": self.twin.vehicle_id} if hasattr(row, "vehicle_id") else {}
            made.append(self.copies.of(row, **{"pk": pk, **named, **changed}))
        return made

    def _vehicle(self) -> Statement:
        return (
            f"UPDATE {_table(Vehicle)} SET version = version + 1 WHERE id = %s",
            [self.twin.vehicle_id],
        )

    def _ticket(self) -> Statement:
        names = ["state", "closed_at", "closed_by_id", "outcome", "version"]
        places = ", ".join(f"{name} = %s" for name in names)
        values = [_ready(Ticket, name, getattr(self.done, name)) for name in names]
        sql = f"UPDATE {_table(Ticket)} SET {places} WHERE id = %s AND state = 'tested'"
        return sql, [*values, self.twin.pk]

    def _lines(self) -> Statement:
        sql = f"UPDATE {_table(TicketLine)} SET state = 'closed' WHERE ticket_id = %s"
        return sql, [self.twin.pk]

    def _holds(self) -> Statement:
        check = SecondCheck.objects.get(ticket=self.twin)
        sets = "lifted_at = %s, lifted_by_id = %s, lifted_by_check_id = %s"
        return (
            f"UPDATE {_table(Hold)} SET {sets} WHERE ticket_id = %s AND lifted_at IS NULL",
            [_ready(Hold, "lifted_at", self.done.closed_at), self.done.closed_by_id, check.pk,
             self.twin.pk],
        )  # fmt: skip

    def _states(self) -> list[JointState]:
        """Of every joint that the close kept anew: its lines' and those that owe."""
        worked = set(TicketLine.objects.filter(ticket=self.done).values_list("joint", flat=True))
        live = Recheck.objects.filter(vehicle=self.done.vehicle_id, state__in=Recheck.LIVE)
        owing = live.exclude(joint=None).values_list("joint", flat=True)
        kept = JointState.objects.filter(joint__vehicle=self.twin.vehicle_id)
        own, rows = {row.joint_id: row for row in kept}, []
        for done in JointState.objects.filter(joint__in=[*worked, *owing]).order_by("pk"):
            twin = self.copies.of(done)
            row = own[twin.joint_id]
            for name in (*BY_LINE, *OWED) if done.joint_id in worked else OWED:
                setattr(row, name, getattr(twin, name))
            rows.append(row)
        return rows

    def _upsert(self) -> Statement:
        sql, values = _insert(self.states)
        columns = [f.column for f in JointState._meta.concrete_fields if f.name in state.FIELDS]
        sets = ", ".join(f"{column} = excluded.{column}" for column in columns)
        return f"{sql} ON CONFLICT (joint_id) DO UPDATE SET {sets}", values


def _insert(rows: list[Any]) -> Statement:
    """All rows of a table in one statement; a state keeps the id it has."""
    model = type(rows[0])
    fields = [f for f in model._meta.concrete_fields if model is not JointState or f.name != "id"]
    columns = ", ".join(f'"{field.column}"' for field in fields)
    one = f"({', '.join(['%s'] * len(fields))})"
    values = [_ready(model, f.attname, getattr(row, f.attname)) for row in rows for f in fields]
    return f"INSERT INTO {_table(model)} ({columns}) VALUES {', '.join([one] * len(rows))}", values


def _ready(model: type[Model], name: str, value: Any) -> Any:
    """A value as the driver takes it."""
    field: Any = model._meta.get_field(name)
    return field.get_db_prep_save(value, connection)


def _table(model: type[Model]) -> str:
    return str(model._meta.db_table)
