"""Lines of a ticket: one action on one joint, and what was recorded of it."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.examples import ENTRY, REASON
from api.fields import FactIn, Strict, Text, TypedOrFlag, Whole
from api.people import PersonRef
from fleet.operations.repair import Entry, drop_line, record_line
from fleet.records.models import LineEntry, TicketLine, ToeReading, TorqueReading


class LineTorqueOut(serializers.ModelSerializer[TorqueReading]):
    tool = serializers.SlugRelatedField[TorqueReading](slug_field="code", read_only=True)

    class Meta:
        model = TorqueReading
        fields = [
            "id", "joint", "tool", "tool_in_date", "spec", "typed", "extension_typed",
            "extension_m", "torque_nm", "band",
            "thread_condition", "turned", "degrees", "assembled", "new_fastener",
        ]  # fmt: skip
        read_only_fields = fields


class ToeOut(serializers.ModelSerializer[ToeReading]):
    """Toe from two tape readings; positive is toe-in."""

    class Meta:
        model = ToeReading
        fields = [
            "id", "as_left", "rear_typed", "front_typed", "rear_m", "front_m", "toe_m", "span_m",
            "height_m", "ride_height",
        ]  # fmt: skip
        read_only_fields = fields


class EntryOut(serializers.ModelSerializer[LineEntry]):
    by = PersonRef(read_only=True)
    line_state = serializers.CharField(
        source="line.state", read_only=True, help_text="Complete, or open while figures lack."
    )
    ticket_version = serializers.IntegerField(source="line.ticket.version", read_only=True)
    figures = serializers.DictField(
        source="data",
        read_only=True,
        help_text="Each as typed, with its SI value and the unit it was typed in.",
    )
    torques = LineTorqueOut(many=True, read_only=True)
    toes = ToeOut(many=True, read_only=True)

    class Meta:
        model = LineEntry
        fields = [
            "id", "uid", "line", "line_state", "ticket_version", "figures", "replaces",
            "rule_version", "use_si", "done_by", "torques", "toes", "occurred_at", "received_at",
            "by",
        ]  # fmt: skip
        read_only_fields = fields


class LineOut(serializers.ModelSerializer[TicketLine]):
    joint_kind = serializers.CharField(
        source="joint.kind.code", default=None, allow_null=True, read_only=True,
        help_text="Null for an action on the whole front end.",
    )  # fmt: skip
    side = serializers.CharField(source="joint.side", default="", read_only=True)
    ticket_version = serializers.IntegerField(source="ticket.version", read_only=True)
    entry = EntryOut(read_only=True, allow_null=True)

    class Meta:
        model = TicketLine
        fields = [
            "id", "uid", "ticket", "ticket_version", "position", "action", "joint", "joint_kind",
            "side", "state", "from_finding", "rule_version", "drop_reason", "entry",
        ]  # fmt: skip
        read_only_fields = fields


class LineIn(Strict):
    action = Text(max_length=40, help_text="Key of a rule of kind 'action'.")
    joint = Whole(
        required=False, allow_null=True, min_value=1,
        help_text="Joint, by its id; left out for an action on the whole front end.",
    )  # fmt: skip


class EntryIn(FactIn):
    figures = serializers.DictField(
        child=TypedOrFlag(),
        help_text="By field name of the action's rule: text as typed, or true and false.",
    )
    done_by = Text(required=False, allow_blank=True, max_length=120)


class DropIn(Strict):
    reason = Text(max_length=200)


class Lines(Door):
    """Lines of tickets. What each must record is the rule of its action: /rules/?kind=action."""

    model = TicketLine
    serializer_class = LineOut
    ability = {"record": "record_line", "drop": "record_line"}
    keyed = may_match = frozenset({"record", "drop"})
    takes = {"record": EntryIn, "drop": DropIn}
    gives = {"record": EntryOut}
    codes = {"drop": 200}
    examples = {"record": ENTRY, "drop": REASON}

    def record(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Record a line's figures, as found and as left.

        What can't be read is refused by field; what is missing leaves the line open. Recording
        again stands in place of the earlier entry, which stays on file.
        """
        said = self.said()
        entry = Entry(
            line_id=self.get_object().pk,
            typed=said["figures"],
            occurred_at=said.get("at"),
            done_by=said.get("done_by", ""),
            uid=said.get("uid"),
        )
        done = record_line(
            self.actor, entry, at=self.now, expected_version=self.expected, request=self.key
        )
        return self.made(done)

    def drop(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Take a line off with a reason; what was recorded for it stays on file."""
        line, said = self.get_object(), self.said()
        done = drop_line(
            self.actor,
            line.pk,
            said["reason"],
            at=self.now,
            expected_version=self.expected,
            request=self.key,
        )
        return self.done(done)
