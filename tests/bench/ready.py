"""Tickets ready to close: twelve lines recorded, second check and road test passed.

The first is made through the operations; the others are its copies on other vehicles.
"""

import copy
from collections.abc import Iterable
from datetime import datetime
from typing import Any, TypeVar

from django.db.models import Model

from fleet.operations import close_out, repair
from fleet.operations.actor import Actor
from fleet.records.base import new_uid
from fleet.records.models import (
    Hold,
    Joint,
    LineEntry,
    Person,
    RoadRelease,
    RoadTest,
    SecondCheck,
    Ticket,
    TicketLine,
    TorqueReading,
    TorqueTool,
    Vehicle,
)

LINES = 12
STEPS: tuple[type[Model], ...] = (SecondCheck, RoadRelease, RoadTest, Hold)
RowT = TypeVar("RowT", bound=Model)


def ready_ticket(vehicle: Vehicle, at: datetime) -> Ticket:
    """Through the operations, from opening to the road test passed."""
    first, second = (
        Actor(person)
        for person in Person.objects.filter(postings__yard=vehicle.yard_id).order_by("pk")[:2]
    )
    joints = Joint.objects.filter(
        vehicle=vehicle, kind__specs__design=vehicle.design_id, kind__held_by="bolt",
    ).order_by("order", "pk")[:LINES]  # fmt: skip
    lines = tuple(("retorque", joint.pk) for joint in joints)
    ticket = repair.open_ticket(
        first, repair.NewTicket(vehicle.pk, "All round", None, lines), at=at
    ).row
    tool = TorqueTool.objects.filter(yard=vehicle.yard_id, doubted_since=None).order_by("-pk")[0]
    typed = {"torque": "125 lbf·ft", "tool": tool.code, "turned": "yes", "degrees": "20",
             "thread_condition": "dry"}  # fmt: skip
    for line in ticket.lines.select_related("joint__kind"):
        rubber = line.joint is not None and line.joint.kind.ride_height
        said = {**typed, "ride_height": "yes"} if rubber else typed
        repair.record_line(first, repair.Entry(line.pk, said), at=at)
    Hold.objects.create(
        vehicle=vehicle, reason="finding", text="Play", joint=joints[0], ticket=ticket,
        placed_at=at, placed_by=first.person,
    )  # fmt: skip
    close_out.second_check(second, ticket.pk, close_out.CheckSheet(True, True), at=at)
    close_out.release(second, ticket.pk, close_out.Release("a driver", "yard loop"), at=at)
    close_out.road_test(second, ticket.pk, close_out.TestSheet(True), at=at)
    return ticket


class Copies:
    """Rows about one vehicle written again about another of the same design."""

    def __init__(self, source: Vehicle, target: Vehicle) -> None:
        self.ids: dict[tuple[type[Model], int], int] = {(Vehicle, source.pk): target.pk}
        places = dict(Joint.objects.filter(vehicle=target).values_list("place_id", "pk"))
        for pk, place in Joint.objects.filter(vehicle=source).values_list("pk", "place_id"):
            self.ids[Joint, pk] = places[place]

    def of(self, row: RowT, **changed: Any) -> RowT:
        """A row like this one, about the other vehicle, not saved."""
        twin = copy.copy(row)
        twin.pk, twin._state = None, copy.copy(row._state)
        twin._state.adding, twin._state.fields_cache = True, {}
        if hasattr(twin, "uid"):
            twin.uid = new_uid()
        for field in row._meta.concrete_fields:
            model: Any = field.related_model
            if model is not None and (new := self.ids.get((model, getattr(row, field.attname)))):
                setattr(twin, field.attname, new)
        for name, value in changed.items():
            setattr(twin, name, value)
        return twin

    def keep(self, rows: Iterable[RowT], **changed: Any) -> list[RowT]:
        """Copies of these rows, saved; later copies that name them name the new ones."""
        old = list(rows)
        model = type(old[0])
        new = model._default_manager.bulk_create([self.of(row, **changed) for row in old])
        self.ids |= {(model, was.pk): now.pk for was, now in zip(old, new, strict=True)}
        return new


def copy_ready(ticket: Ticket, target: Vehicle) -> Ticket:
    """The same ticket on another vehicle, ready to close."""
    copies = Copies(ticket.vehicle, target)
    twin = copies.keep([ticket])[0]
    lines = list(TicketLine.objects.filter(ticket=ticket).order_by("pk"))
    new_lines = copies.keep(lines, entry_id=None)
    entries = LineEntry.objects.filter(line__ticket=ticket).order_by("pk")
    copies.keep(entries)
    for old, new in zip(lines, new_lines, strict=True):
        new.entry_id = copies.ids[LineEntry, old.entry_id or 0]
    TicketLine.objects.bulk_update(new_lines, ["entry"])
    copies.keep(TorqueReading.objects.filter(line_entry__in=entries).order_by("pk"))
    for model in STEPS:
        copies.keep(model._default_manager.filter(ticket=ticket).order_by("pk"))
    return twin


def pair_up(one: Ticket, other: Ticket) -> Copies:
    """Which row of the other ticket stands for which of the one: both were copied alike."""
    copies = Copies(one.vehicle, other.vehicle)
    rows: dict[type[Model], str] = dict.fromkeys((TicketLine, *STEPS), "ticket")
    rows |= {LineEntry: "line__ticket", TorqueReading: "line_entry__line__ticket"}
    for model, path in rows.items():
        sides = [
            model._default_manager.filter(**{path: ticket})
            .order_by("pk")
            .values_list("pk", flat=True)
            for ticket in (one, other)
        ]
        copies.ids |= {(model, mine): theirs for mine, theirs in zip(*sides, strict=True)}
    copies.ids[Ticket, one.pk] = other.pk
    return copies
