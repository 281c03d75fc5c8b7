"""Calendar feeds of one's own: secret addresses that tell a calendar program what is due."""

from typing import Any

from django.db.models import QuerySet
from django.urls import reverse
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed
from api.examples import FEED
from api.fields import ById, InScope, Strict
from api.people import PersonRef
from fleet.operations import feeds as verbs
from fleet.operations.feeds import Addressed, NewFeed
from fleet.reads.public import address
from fleet.records.models import Feed, Person, Vehicle, Yard


class FeedIn(Strict):
    """Of one yard, one person's work, or one vehicle: name that one."""

    subject = serializers.ChoiceField(choices=Feed.Of.choices)
    yard = InScope(Yard, "slug", required=False, allow_null=True, help_text="Slug.")
    person = ById(Person, required=False, allow_null=True, help_text="Person, by id.")
    vehicle = InScope(Vehicle, "unit_number", required=False, allow_null=True,
                      help_text="Unit number.")  # fmt: skip

    def new(self) -> NewFeed:
        said = self.validated_data
        ids = {name: row.pk for name in ("yard", "person", "vehicle") if (row := said.get(name))}
        return NewFeed(said["subject"], ids.get("yard"), ids.get("person"), ids.get("vehicle"))


class FeedOut(serializers.ModelSerializer[Feed]):
    subject = serializers.ChoiceField(source="of", choices=Feed.Of.choices, read_only=True)
    yard = serializers.SlugRelatedField[Feed](slug_field="slug", read_only=True, allow_null=True)
    person = PersonRef(source="of_person", read_only=True, allow_null=True)
    vehicle = serializers.SlugRelatedField[Feed](
        slug_field="unit_number", read_only=True, allow_null=True
    )

    class Meta:
        model = Feed
        fields = [
            "id", "uid", "subject", "yard", "person", "vehicle", "made_at", "renewed_at",
            "fetched_at",
        ]  # fmt: skip
        read_only_fields = fields


class FeedMade(serializers.Serializer[Any]):
    """The address is told once: whoever has it reads what its owner may see of what is due."""

    feed = FeedOut()
    address = serializers.URLField(
        allow_null=True, help_text="Null where the same request was answered before."
    )


class Feeds(Listed):
    """The sender's own feeds, the newest first."""

    model = Feed
    serializer_class = FeedOut
    ability = {
        "list": "view_due", "create": "view_due", "renew": "view_due", "take_back": "view_due",
    }  # fmt: skip
    keyed = frozenset({"create", "renew", "take_back"})
    takes = {"create": FeedIn, "renew": Strict, "take_back": Strict}
    gives = {"create": FeedMade, "renew": FeedMade}
    codes = {"take_back": 200}
    examples = {"create": FEED}

    def shown(self, rows: QuerySet[Feed]) -> QuerySet[Feed]:
        here = rows.filter(revoked_at=None) if self.action == "list" else rows
        return here.select_related("yard", "of_person", "vehicle").order_by("-id")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """A new address for a calendar program. It needs no sign-in, so keep it to yourself."""
        asked = FeedIn(data=request.data, context=self.get_serializer_context())
        asked.is_valid(raise_exception=True)
        made = verbs.make_feed(self.actor, asked.new(), at=self.now, request=self.key)
        return self._addressed(made, request)

    def renew(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Another address: the old one stops working at once."""
        feed = self.get_object()
        made = verbs.renew_feed(self.actor, feed.pk, at=self.now, request=self.key)
        return self._addressed(made, request)

    def take_back(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """End a feed: its address stops working at once."""
        feed = self.get_object()
        return self.done(verbs.revoke_feed(self.actor, feed.pk, at=self.now, request=self.key))

    def _addressed(self, made: Addressed, request: Request) -> Response:
        path = reverse("feed", args=[made.token]) if made.token else ""
        where = address(path, request.build_absolute_uri(path)) if path else None
        said = FeedMade({"feed": made.row, "address": where}, context=self.get_serializer_context())
        return Response(said.data, status.HTTP_201_CREATED)
