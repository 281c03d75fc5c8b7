"""A manager's leave for a self re-check: one person, one ticket, until it lapses."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door, Listed
from api.examples import REASON, SELF_CHECK
from api.fields import ById, Strict, Text
from api.people import PersonRef
from fleet.operations.leaves import SelfCheck, allow_self_check, take_leave_back
from fleet.reads.self_checks import leave_stands
from fleet.records.models import LeaveTakenBack, Person, SelfCheckLeave, Ticket


class LeaveIn(Strict):
    person = ById(Person, help_text="Who may check their own work; never oneself.")
    reason = Text(max_length=300, help_text="Why nobody else can check it.")


class TakeBackIn(Strict):
    reason = Text(max_length=300)


class TakenBackOut(serializers.ModelSerializer[LeaveTakenBack]):
    by = PersonRef(read_only=True)

    class Meta:
        model = LeaveTakenBack
        fields = ["id", "uid", "leave", "reason", "occurred_at", "by"]
        read_only_fields = fields


class LeaveOut(serializers.ModelSerializer[SelfCheckLeave]):
    person = PersonRef(source="technician", read_only=True)
    by = PersonRef(read_only=True, help_text="The manager who allowed it.")
    taken_back = TakenBackOut(read_only=True, allow_null=True)
    stands = serializers.SerializerMethodField(help_text="Whether it may be used now.")

    class Meta:
        model = SelfCheckLeave
        fields = [
            "id", "uid", "ticket", "person", "reason", "until", "stands", "occurred_at", "by",
            "taken_back",
        ]  # fmt: skip
        read_only_fields = fields

    def get_stands(self, leave: SelfCheckLeave) -> bool:
        return leave_stands(leave, timezone.now())


class Leaves(Listed):
    """Leaves for a self re-check on one ticket, newest first."""

    model = SelfCheckLeave
    serializer_class = LeaveOut
    ability = {"list": "view_history", "create": "allow_self_check"}
    keyed = frozenset({"create"})
    takes = {"create": LeaveIn}
    examples = {"create": SELF_CHECK}

    def shown(self, rows: QuerySet[SelfCheckLeave]) -> QuerySet[SelfCheckLeave]:
        rows = rows.select_related("technician", "by", "taken_back__by")
        return rows.filter(ticket=self.kwargs["pk"])

    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Leaves on one ticket; 404 for a ticket outside the reader's yards."""
        self.within(Ticket, pk=kwargs["pk"])
        return super().list(request, *args, **kwargs)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Allow one person to check their own work again on this ticket.

        Refused at once after an oscillation, a crack or opened steering.
        """
        ticket, said = self.within(Ticket, pk=kwargs["pk"]), self.said()
        asked = SelfCheck(said["person"].pk, said["reason"])
        done = allow_self_check(self.actor, ticket.pk, asked, at=self.now, request=self.key)
        return self.made(done)


class OneLeave(Door):
    """One leave taken back."""

    model = SelfCheckLeave
    serializer_class = TakenBackOut
    ability = {"take_back": "allow_self_check"}
    keyed = frozenset({"take_back"})
    takes = {"take_back": TakeBackIn}
    examples = {"take_back": REASON}

    def take_back(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """The leave stands no more; what was checked by it stays on file."""
        leave, said = self.get_object(), self.said()
        done = take_leave_back(self.actor, leave.pk, said["reason"], at=self.now, request=self.key)
        return self.made(done)
