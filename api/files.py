"""File requests: one vehicle's file asked for, and answered or withdrawn."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import FILE_ANSWER, FILE_REQUEST, REASON
from api.fields import InScope, Strict, Text
from api.people import PersonRef
from fleet.operations.files import Ask, answer_file, ask_for_file, withdraw_file
from fleet.reads.files import file_requests
from fleet.reads.filters import FileFilter
from fleet.records.models import FileAnswer, FileRequest, Vehicle


class FileRequestIn(Strict):
    """No days: the whole file. Only `until`: the file as it stood on that day."""

    vehicle = InScope(Vehicle, "unit_number", help_text="Unit number.")
    why = Text(max_length=300, help_text="What it is for.")
    wanted_by = serializers.DateField()
    since = serializers.DateField(required=False, allow_null=True)
    until = serializers.DateField(required=False, allow_null=True)
    asker = Text(
        required=False, allow_blank=True, max_length=120,
        help_text="Somebody outside the fleet, whose wish a manager writes down.",
    )  # fmt: skip
    uid = serializers.UUIDField(required=False)


class FileAnswerIn(Strict):
    text = Text(max_length=2000, help_text="What was handed over, and how.")


class FileWithdrawIn(Strict):
    reason = Text(max_length=2000)


class FileAnswerOut(serializers.ModelSerializer[FileAnswer]):
    by = PersonRef(read_only=True)

    class Meta:
        model = FileAnswer
        fields = ["id", "uid", "request", "kind", "text", "occurred_at", "by"]
        read_only_fields = fields


class FileRequestOut(serializers.ModelSerializer[FileRequest]):
    vehicle = serializers.SlugRelatedField[FileRequest](slug_field="unit_number", read_only=True)
    by = PersonRef(read_only=True)
    answer = FileAnswerOut(
        source="end", read_only=True, allow_null=True, help_text="How it ended; null while open."
    )

    class Meta:
        model = FileRequest
        fields = [
            "id", "uid", "vehicle", "asker", "why", "since", "until", "wanted_by", "occurred_at",
            "by", "answer",
        ]  # fmt: skip
        read_only_fields = fields


class Files(Listed, Shown):
    """File requests: open ones first, the soonest wanted on top."""

    model = FileRequest
    serializer_class = FileRequestOut
    filterset_class = FileFilter
    ability = {
        "list": "view_files",
        "retrieve": "view_files",
        "create": "ask_for_file",
        "answer": "answer_file",
        "withdraw": "ask_for_file",
    }
    keyed = frozenset({"create", "answer", "withdraw"})
    takes = {"create": FileRequestIn, "answer": FileAnswerIn, "withdraw": FileWithdrawIn}
    gives = {"answer": FileAnswerOut, "withdraw": FileAnswerOut}
    examples = {"create": FILE_REQUEST, "answer": FILE_ANSWER, "withdraw": REASON}

    def shown(self, rows: QuerySet[FileRequest]) -> QuerySet[FileRequest]:
        return file_requests(self.actor.person)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Ask for a vehicle's file: a reader for themselves, a manager for somebody outside."""
        said = self.said()
        ask = Ask(said.pop("vehicle").pk, **said)
        return self.made(ask_for_file(self.actor, ask, at=self.now, request=self.key))

    def answer(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Say what was handed over; the request is over with it."""
        asked, text = self.get_object(), self.said()["text"]
        done = answer_file(self.actor, asked.pk, text, at=self.now, request=self.key)
        return self.made(done)

    def withdraw(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """It is wanted no longer: said by whoever asked, or by a manager."""
        asked, reason = self.get_object(), self.said()["reason"]
        done = withdraw_file(self.actor, asked.pk, reason, at=self.now, request=self.key)
        return self.made(done)
