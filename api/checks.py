"""The steps between work and close: second check, release, road test, close."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.examples import CHECK, RELEASE, ROAD_TEST
from api.fields import Figure, Flag, Moment, Strict, Text, Typed
from api.people import PersonRef
from fleet.operations import close_out
from fleet.records.models import RoadRelease, RoadTest, SecondCheck, Ticket

TICKET_FIELDS = ["ticket", "ticket_state", "ticket_version"]


class _OfTicket(serializers.ModelSerializer[Any]):
    """A step names its ticket as it stands now: the version is what the next step builds on."""

    by = PersonRef(read_only=True)
    ticket_state = serializers.CharField(source="ticket.state", read_only=True)
    ticket_version = serializers.IntegerField(source="ticket.version", read_only=True)


class CheckOut(_OfTicket):
    class Meta:
        model = SecondCheck
        fields = [
            "id", "uid", *TICKET_FIELDS, "how", "passed", "dry_steer", "note", "leave",
            "occurred_at", "by",
        ]  # fmt: skip
        read_only_fields = fields


class ReleaseOut(_OfTicket):
    """Out for one road test only. The hold stays."""

    class Meta:
        model = RoadRelease
        fields = ["id", "uid", *TICKET_FIELDS, "driver", "place", "until", "occurred_at", "by"]
        read_only_fields = fields


class RoadTestOut(_OfTicket):
    class Meta:
        model = RoadTest
        fields = [
            "id", "uid", *TICKET_FIELDS, "release", "passed", "top_speed_typed", "top_speed_m_s",
            "note", "occurred_at", "by",
        ]  # fmt: skip
        read_only_fields = fields


class _Occurred(Strict):
    at = Moment(required=False, source="occurred_at", help_text="When it was done; else now.")


class CheckIn(_Occurred):
    passed = Flag()
    dry_steer = Flag(help_text="Done: on the floor, brake set, wheels chocked, hands clear.")
    note = Text(required=False, allow_blank=True, max_length=4000)
    how = serializers.ChoiceField(choices=SecondCheck.How.choices, required=False)


class ReleaseIn(Strict):
    driver = Text(max_length=120, help_text="Who drives it; needs no account.")
    place = Text(max_length=160)
    hours = Figure(required=False, allow_null=True, min_value=0)


class RoadTestIn(_Occurred):
    passed = Flag()
    note = Text(required=False, allow_blank=True, max_length=4000)
    top_speed = Typed(required=False, allow_blank=True, max_length=30, help_text='"45 mph"')


class Steps(Door):
    """Each step names the version of the ticket it builds on, and answers with the new one."""

    model = Ticket
    ability = {
        "second_check": "second_check",
        "release": "second_check",
        "road_test": "second_check",
    }
    keyed = matched = frozenset(ability)
    takes = {"second_check": CheckIn, "release": ReleaseIn, "road_test": RoadTestIn}
    gives = {"second_check": CheckOut, "release": ReleaseOut, "road_test": RoadTestOut}
    examples = {"second_check": CHECK, "release": RELEASE, "road_test": ROAD_TEST}

    def second_check(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Confirm the work: by somebody who did no line of the ticket, before the road test.

        A self re-check is made by the leave that a manager has written on the ticket before.
        """
        sheet = close_out.CheckSheet(**self.said())
        return self.made(close_out.second_check(self.actor, sheet=sheet, **self._on_ticket()))

    def release(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Let the vehicle out for one road test: a named driver, a place, a time limit."""
        out = close_out.Release(**self.said())
        return self.made(close_out.release(self.actor, out=out, **self._on_ticket()))

    def road_test(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Record the road test. Speed goes up in steps; stop at the first sign.

        Oscillation is never provoked. A failed test opens the ticket again; the hold stays.
        """
        sheet = close_out.TestSheet(**self.said())
        return self.made(close_out.road_test(self.actor, sheet=sheet, **self._on_ticket()))

    def _on_ticket(self) -> dict[str, Any]:
        return {
            "ticket_id": self.get_object().pk,
            "at": self.now,
            "expected_version": self.expected,
            "request": self.key,
        }
