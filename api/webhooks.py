"""Webhooks: addresses that are told of events, and how that went."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.etags import etag_of
from api.examples import REPLAY, WEBHOOK, WEBHOOK_CHANGE
from api.fields import Flag, InScope, Moment, Strict, Text
from fleet.operations import webhooks as verbs
from fleet.operations.webhooks import WANTED, WebhookFacts, WithSecret
from fleet.reads.webhooks import deliveries, webhooks
from fleet.records.models import Delivery, Webhook, Yard

KINDS = [(kind.value, kind.label) for kind in WANTED]


class WebhookIn(Strict):
    name = Text(max_length=60)
    address = Text(max_length=500, help_text="https, on the open internet.")
    events = serializers.MultipleChoiceField(choices=KINDS)
    yard = InScope(Yard, "slug", required=False, allow_null=True,
                   help_text="Slug; null for all yards.")  # fmt: skip
    is_on = Flag(required=False)


class SpanIn(Strict):
    """What happened from `since` until before `until`."""

    since = Moment()
    until = Moment()


class WebhookOut(serializers.ModelSerializer[Webhook]):
    yard = serializers.SlugRelatedField[Webhook](slug_field="slug", read_only=True, allow_null=True)
    events = serializers.ListField(child=serializers.ChoiceField(choices=KINDS), read_only=True)
    waiting = serializers.IntegerField(read_only=True)
    given_up = serializers.IntegerField(source="dead", read_only=True)

    class Meta:
        model = Webhook
        fields = [
            "id", "uid", "name", "address", "yard", "events", "is_on", "is_gone", "waiting",
            "given_up", "made_at", "version",
        ]  # fmt: skip
        read_only_fields = fields


class WebhookMade(serializers.Serializer[Any]):
    """The secret is told once: `whsec_` and base64, as the specification has it."""

    webhook = WebhookOut()
    secret = serializers.CharField(
        allow_null=True, help_text="Null where the same request was answered before."
    )


class DeliveryOut(serializers.ModelSerializer[Delivery]):
    message_id = serializers.CharField(source="event.message_id", read_only=True)
    type = serializers.CharField(source="event.kind", read_only=True)
    happened_at = serializers.DateTimeField(source="event.at", read_only=True)
    body = serializers.CharField(source="event.body", read_only=True, help_text="As it is sent.")

    class Meta:
        model = Delivery
        fields = [
            "id", "webhook", "message_id", "type", "happened_at", "state", "tries", "next_at",
            "last_at", "status", "reason", "detail", "took_ms", "body",
        ]  # fmt: skip
        read_only_fields = fields


class Webhooks(Listed, Shown):
    """Addresses that are told of events, by name. Of secrets nothing is told."""

    model = Webhook
    serializer_class = WebhookOut
    ability = dict.fromkeys(
        ("list", "retrieve", "create", "partial_update", "renew_secret", "test", "replay",
         "send_again"), "send_events_out",
    )  # fmt: skip
    keyed = frozenset({"create", "renew_secret", "test", "replay", "send_again"})
    matched = frozenset({"partial_update"})
    takes = {"create": WebhookIn, "partial_update": WebhookIn, "renew_secret": Strict,
             "test": Strict, "replay": SpanIn, "send_again": Strict}  # fmt: skip
    gives = {"create": WebhookMade, "renew_secret": WebhookMade, "test": DeliveryOut}
    codes = {"replay": 200, "send_again": 200}
    examples = {"create": WEBHOOK, "partial_update": WEBHOOK_CHANGE, "replay": REPLAY}

    def shown(self, rows: QuerySet[Webhook]) -> QuerySet[Webhook]:
        return webhooks(self.actor.person)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Tell an address of events from now on. The worker sends them, signed, at least once."""
        new = _facts(self.said())
        made = verbs.add_webhook(self.actor, new, at=self.now, request=self.key)
        return self._with_secret(made)

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Another address, other events, on or off. What waits is kept while it is off."""
        row, said = self.get_object(), self.said(partial=True)
        stands = {"name": row.name, "address": row.address, "events": row.events,
                  "yard": row.yard, "is_on": row.is_on}  # fmt: skip
        done = verbs.change_webhook(
            self.actor, row.pk, _facts(stands | said), at=self.now, expected_version=self.expected
        )
        return self.done(done)

    def renew_secret(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Another secret; for a day events are signed with both."""
        row = self.get_object()
        return self._with_secret(
            verbs.renew_secret(self.actor, row.pk, at=self.now, request=self.key)
        )

    def test(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Send an event that says nothing."""
        row = self.get_object()
        done = verbs.send_test(self.actor, row.pk, at=self.now, request=self.key)
        return self.made(done)

    def replay(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Send all that happened in a span and that it wants, what it had before too."""
        row, said = self.get_object(), self.said()
        done = verbs.replay(
            self.actor, row.pk, said["since"], said["until"], at=self.now, request=self.key
        )
        return self.done(done)

    def send_again(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Send everything that was given up again."""
        row = self.get_object()
        return self.done(verbs.send_all_again(self.actor, row.pk, at=self.now, request=self.key))

    def _with_secret(self, made: WithSecret) -> Response:
        row = self.get_queryset().get(pk=made.row.pk)
        said = WebhookMade({"webhook": row, "secret": made.secret or None})
        response = Response(said.data, status.HTTP_201_CREATED)
        response["ETag"] = etag_of(row)
        return response


class Deliveries(Listed, Shown):
    """Each event for each address, the newest first, with its last try."""

    model = Delivery
    serializer_class = DeliveryOut
    ability = dict.fromkeys(("list", "retrieve", "send_again"), "send_events_out")
    keyed = frozenset({"send_again"})
    takes = {"send_again": Strict}
    codes = {"send_again": 200}

    def shown(self, rows: QuerySet[Delivery]) -> QuerySet[Delivery]:
        return deliveries(self.actor.person)

    def send_again(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Send one event again, under the id it had."""
        row = self.get_object()
        return self.done(verbs.send_again(self.actor, row.pk, at=self.now, request=self.key))


def _facts(said: dict[str, Any]) -> WebhookFacts:
    yard = said.get("yard")
    return WebhookFacts(
        said["name"], said["address"], tuple(said["events"]), yard.pk if yard else None,
        said.get("is_on", True),
    )  # fmt: skip
