"""What tablets send: operations in the order they were made, each judged by itself."""

from datetime import datetime
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.fields import Moment, Strict, Text, Whole
from api.permissions import BY_TABLET
from api.problems import ProblemItemOut
from api.tablet_door import TabletDoor
from api.tablet_examples import SYNC
from api.tablet_plans import read
from fleet.operations.tablet_exchange import Judged, exchange, skew_ms
from fleet.operations.tablet_kept import Link, Sent
from fleet.records.models import TabletOperation

MOST_AT_ONCE = 50
LONGEST_BODY = 200_000
MOST_MS = 10**15


class OperationIn(Strict):
    """One operation. Its body is the JSON text that was signed."""

    uid = serializers.UUIDField()
    n = Whole(min_value=1)
    person = Whole(min_value=1)
    key = serializers.UUIDField()
    verb = Text(max_length=40)
    made_at = serializers.CharField(max_length=40, help_text="By the tablet's clock, in UTC.")
    offset_ms = serializers.IntegerField(
        allow_null=True, min_value=-MOST_MS, max_value=MOST_MS,
        help_text="The server's clock less the tablet's, as it knew when this was made.",
    )  # fmt: skip
    instead_of = serializers.UUIDField(allow_null=True, required=False)
    body = serializers.CharField(max_length=LONGEST_BODY, trim_whitespace=False)
    mac = serializers.CharField(max_length=64)

    def validate_made_at(self, said: str) -> str:
        Moment().run_validation(said)
        return said


class SyncIn(Strict):
    schema = Whole(min_value=1)
    app = Text(max_length=40, allow_blank=True)
    sent_at = Moment()
    waiting = Whole(required=False, min_value=0, help_text="How many wait on the tablet in all.")
    operations: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=OperationIn(), max_length=MOST_AT_ONCE
    )


class MadeOut(serializers.Serializer[TabletOperation]):
    model = serializers.CharField()
    id = serializers.IntegerField(source="row_id")


class ResultOut(serializers.Serializer[Judged]):
    """What became of one operation. Parked ones are sent again; the others are at an end."""

    uid = serializers.UUIDField(source="row.uid")
    status = serializers.SerializerMethodField()
    replayed = serializers.BooleanField()
    problems = ProblemItemOut(source="row.problems", many=True)
    because = serializers.UUIDField(source="row.because", allow_null=True)
    made = serializers.SerializerMethodField()
    ticket = serializers.IntegerField(source="row.ticket_id", allow_null=True)
    theirs = serializers.JSONField(source="row.theirs", allow_null=True)

    def get_status(self, judged: Judged) -> str:
        """What was refused and then put right, or set aside, was refused."""
        ended = (TabletOperation.State.ANSWERED, TabletOperation.State.SET_ASIDE)
        return "refused" if judged.row.state in ended else judged.row.state

    def get_made(self, judged: Judged) -> dict[str, Any] | None:
        row = judged.row
        return dict(MadeOut(row).data) if row.row_id is not None else None


class SyncOut(serializers.Serializer[Any]):
    received_at = serializers.DateTimeField()
    skew_ms = serializers.IntegerField()
    results = ResultOut(many=True)


class Sync(TabletDoor):
    """The exchange with a tablet."""

    for_revoked = True
    ability = {"create": BY_TABLET}
    takes = {"create": SyncIn}
    gives = {"create": SyncOut}
    codes = {"create": 200}
    examples = {"create": SYNC}

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Judge what a tablet made, each operation once, however often it is sent.

        An exchange that overtakes another of the same tablet is told to come again (503).
        """
        said, now = self.said(), self.now
        link = Link(self.tablet, now, skew_ms(said["sent_at"], now), said["app"], said["schema"])
        batch = [_sent(one) for one in said["operations"]]
        judged = exchange(link, batch, read, waiting=said.get("waiting", 0))
        answer = {"received_at": now, "skew_ms": link.skew_ms, "results": judged}
        return Response(SyncOut(answer).data)


def _sent(one: dict[str, Any]) -> Sent:
    text = one.pop("made_at")
    moment: datetime = Moment().run_validation(text)
    return Sent(**one, made_at=moment, made_at_text=text)
