"""Tickets: repair jobs, from opening to close."""

from typing import Any

from django.db.models import Prefetch, QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.checks import CheckOut, ReleaseOut, RoadTestOut
from api.examples import CLOSE, LINE, REASON, TICKET
from api.fields import ById, InScope, Strict, Text
from api.lines import LineIn, LineOut
from api.people import PersonRef
from fleet.operations.close_out import close_ticket
from fleet.operations.repair import NewTicket, add_line, cancel_ticket, open_ticket
from fleet.reads.filters import TicketFilter
from fleet.reads.tickets import tickets
from fleet.records.models import (
    Complaint,
    LineEntry,
    RoadRelease,
    RoadTest,
    SecondCheck,
    Ticket,
    TicketLine,
    ToeReading,
    TorqueReading,
    Vehicle,
)


class TicketShort(serializers.ModelSerializer[Ticket]):
    vehicle = serializers.SlugRelatedField[Ticket](slug_field="unit_number", read_only=True)
    yard = serializers.CharField(source="vehicle.yard.slug", read_only=True)
    opened_by = PersonRef(read_only=True)
    closed_by = PersonRef(read_only=True, allow_null=True)

    class Meta:
        model = Ticket
        fields = [
            "id", "uid", "vehicle", "yard", "state", "complaint", "title", "opened_at",
            "opened_by", "closed_at", "closed_by", "outcome", "version",
        ]  # fmt: skip
        read_only_fields = fields


class TicketOut(TicketShort):
    lines = LineOut(many=True, read_only=True)
    second_checks = CheckOut(many=True, read_only=True)
    releases = ReleaseOut(many=True, read_only=True)
    road_tests = RoadTestOut(many=True, read_only=True)
    holds = serializers.PrimaryKeyRelatedField[Ticket](
        many=True, read_only=True, help_text="Holds that closing this ticket lifts."
    )

    class Meta(TicketShort.Meta):
        fields = [
            *TicketShort.Meta.fields, "lines", "second_checks", "releases", "road_tests", "holds",
        ]  # fmt: skip
        read_only_fields = fields


MOST_LINES = 60


class TicketIn(Strict):
    vehicle = InScope(Vehicle, "unit_number", help_text="Unit number.")
    title = Text(required=False, allow_blank=True, max_length=160)
    complaint = ById(Complaint, required=False, allow_null=True)
    lines: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=LineIn(), required=False, max_length=MOST_LINES
    )


class CancelIn(Strict):
    reason = Text(max_length=2000)


class CloseIn(Strict):
    outcome = Text(required=False, allow_blank=True, max_length=4000)


class Tickets(Listed, Shown):
    """Tickets, newest first; one alone shows its lines and the steps taken."""

    model = Ticket
    serializer_class = TicketOut
    filterset_class = TicketFilter
    ability = {
        "list": "view_history",
        "retrieve": "view_history",
        "create": "open_ticket",
        "add_line": "record_line",
        "cancel": "close_ticket",
        "close": "close_ticket",
    }
    keyed = frozenset({"create", "add_line", "cancel", "close"})
    matched = frozenset({"cancel", "close"})
    may_match = frozenset({"add_line"})
    takes = {"create": TicketIn, "add_line": LineIn, "cancel": CancelIn, "close": CloseIn}
    gives = {"list": TicketShort, "add_line": LineOut}
    codes = {"cancel": 200, "close": 200}
    examples = {"create": TICKET, "add_line": LINE, "close": CLOSE, "cancel": REASON}

    def shown(self, rows: QuerySet[Ticket]) -> QuerySet[Ticket]:
        rows = tickets(self.actor.person).select_related("closed_by")
        return rows if self.action == "list" else rows.prefetch_related(*self._parts())

    def _parts(self) -> list[Any]:
        """What hangs on a ticket, each in one query however long it is."""
        person = self.actor.person
        torques = TorqueReading.visible_to(person).select_related("tool")
        entries = LineEntry.visible_to(person).select_related("by", "line__ticket")
        entries = entries.prefetch_related(
            Prefetch("torques", torques), Prefetch("toes", ToeReading.visible_to(person))
        )
        lines = TicketLine.visible_to(person).select_related("joint__kind")
        return [
            Prefetch("lines", lines.prefetch_related(Prefetch("entry", entries))),
            Prefetch("second_checks", SecondCheck.visible_to(person).select_related("by")),
            Prefetch("releases", RoadRelease.visible_to(person).select_related("by")),
            Prefetch("road_tests", RoadTest.visible_to(person).select_related("by")),
            Prefetch("holds"),
        ]

    def _bare(self) -> Ticket:
        """The ticket of the address in the reader's scope; the verb reads the rest itself."""
        ticket: Ticket = self.within(Ticket, pk=self.kwargs["pk"])
        return ticket

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Open a ticket; a vehicle has one at a time."""
        said = self.said()
        complaint = said.get("complaint")
        new = NewTicket(
            vehicle_id=said["vehicle"].pk,
            title=said.get("title", ""),
            complaint_id=complaint.pk if complaint else None,
            lines=tuple((line["action"], line.get("joint")) for line in said.get("lines", ())),
        )
        return self.made(open_ticket(self.actor, new, at=self.now, request=self.key))

    def add_line(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Add one action on one joint, with the lines that it brings."""
        ticket, said = self._bare(), self.said()
        done = add_line(
            self.actor,
            ticket.pk,
            said["action"],
            said.get("joint"),
            at=self.now,
            expected_version=self.expected,
            request=self.key,
        )
        return self.made(done)

    def cancel(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Cancel a ticket on which nothing was done and nothing is held."""
        done = cancel_ticket(
            self.actor, self._bare().pk, self.said()["reason"], at=self.now,
            expected_version=self.expected, request=self.key,
        )  # fmt: skip
        return self.done(done)

    def close(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Close: every line complete, checked and tested.

        Lifts this ticket's holds and makes its rechecks in the same moment, or is refused with
        each line and figure that is missing.
        """
        ticket, said = self._bare(), self.said()
        done = close_ticket(
            self.actor,
            ticket.pk,
            at=self.now,
            outcome=said.get("outcome", ""),
            expected_version=self.expected,
            request=self.key,
        )
        return self.done(done)
