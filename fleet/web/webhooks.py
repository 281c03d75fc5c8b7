"""Events out: which programs are told of what, how it went, and what is sent again."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache

from fleet.operations import webhooks as verbs
from fleet.operations.webhooks import WANTED, WebhookFacts
from fleet.operations.work import Done
from fleet.reads import webhooks as reads
from fleet.records.models import Delivery, Person, Webhook, Yard
from fleet.web.doors import in_scope, needs, page_of, reader, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, offer, sent

# Told once to whoever made it.
ONCE = "webhook-secret"
PLAIN = {"autocomplete": "off", "spellcheck": "false"}
ALL_YARDS = ""


class WebhookForm(ActForm):
    name = forms.CharField(
        label=gettext_lazy("Name"),
        help_text=gettext_lazy("What you call it here, like “Dispatch”."),
        max_length=60,
        widget=forms.TextInput(attrs=PLAIN),
        error_messages={"required": gettext_lazy("Give it a name, like “Dispatch”.")},
    )
    address = forms.CharField(
        label=gettext_lazy("Address"),
        help_text=gettext_lazy("It begins with https:// and is on the open internet."),
        max_length=500,
        widget=forms.TextInput(attrs=PLAIN),
        error_messages={
            "required": gettext_lazy(
                "Type a whole address, like https://dispatch.example/axlekeep."
            )
        },
    )
    yard = forms.TypedChoiceField(
        label=gettext_lazy("Of which yard"), coerce=int, required=False, empty_value=None
    )
    events = forms.MultipleChoiceField(
        label=gettext_lazy("What it is told of"),
        choices=[(kind.value, kind.label) for kind in WANTED],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": gettext_lazy("Choose what it is told of.")},
    )
    is_on = forms.BooleanField(
        label=gettext_lazy("Switched on"),
        help_text=gettext_lazy("What waits is kept while it is off."),
        required=False,
        initial=True,
    )

    def __init__(self, data: Any, who: Person, mine: list[Yard], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        whole = [(ALL_YARDS, _("all yards"))] if who.all_yards else []
        offer(self, "yard", [*whole, *((yard.pk, yard.name) for yard in mine)])

    def facts(self) -> WebhookFacts:
        said = self.cleaned_data
        return WebhookFacts(
            said["name"], said["address"], tuple(said["events"]), said["yard"], said["is_on"]
        )


class SpanForm(ActForm):
    """From when until when, by the reader's own clock."""

    def __init__(self, data: Any, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        for name, label in (("since", _("From")), ("until", _("Until"))):
            self.fields[name] = forms.DateTimeField(
                label=label,
                input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
                widget=forms.DateTimeInput({"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
                error_messages={
                    "required": _("Type a date and a time, like 2026-11-25 14:30."),
                    "invalid": _("Type a date and a time, like 2026-11-25 14:30."),
                },
            )

    def span(self) -> tuple[datetime, datetime]:
        return self.cleaned_data["since"], self.cleaned_data["until"]


@needs("send_events_out")
def webhook_list(request: HttpRequest) -> HttpResponse:
    context = {"page": page_of(request, reads.webhooks(reader(request)))}
    return render(request, "webhooks/list.html", context)


@needs("send_events_out")
@never_cache
def webhook_page(request: HttpRequest, webhook_id: int) -> HttpResponse:
    row = _webhook(request, webhook_id)
    rows = reads.deliveries(reader(request)).filter(webhook=row)
    dead = "given-up" in request.GET
    if dead:
        rows = rows.filter(state=Delivery.State.DEAD)
    told = request.session.pop(ONCE, None)
    secret = told["secret"] if told and told["webhook"] == row.pk else ""
    kinds = {kind.value: kind.label for kind in WANTED}
    context = {
        "webhook": row, "page": page_of(request, rows), "dead": dead, "secret": secret,
        "events": [kinds[name] for name in row.events if name in kinds],
    }  # fmt: skip
    return render(request, "webhooks/page.html", context)


@needs("send_events_out")
def webhook_new(request: HttpRequest) -> HttpResponse:
    form = WebhookForm(sent(request), reader(request), yards(request))
    note = _(
        "It makes a secret, shown once, by which the other program knows that an event is from "
        "here."
    )
    sheet = Sheet(
        title=_("Tell another program"), button=_("Tell it from now on"), note=note,
        back=reverse("webhooks"), back_text=_("Events out"),
    )  # fmt: skip

    def verb(ask: Ask) -> Done[Any]:
        return _told(request, verbs.add_webhook(
            ask.actor, form.facts(), at=ask.at, request=ask.request))  # fmt: skip

    return form_page(request, form, sheet, verb, _page)


@needs("send_events_out")
def webhook_change(request: HttpRequest, webhook_id: int) -> HttpResponse:
    row = _webhook(request, webhook_id)
    stands = {"name": row.name, "address": row.address, "yard": row.yard_id or ALL_YARDS,
              "events": row.events, "is_on": row.is_on}  # fmt: skip
    form = WebhookForm(
        sent(request), reader(request), yards(request), version=row.version, initial=stands
    )
    sheet = _sheet(row, _("Change %(name)s") % {"name": row.name}, _("Keep"), said=_("Kept."))

    def verb(ask: Ask) -> Done[Any]:
        return verbs.change_webhook(
            ask.actor, row.pk, form.facts(), at=ask.at,
            expected_version=form.cleaned_data["version"], request=ask.request,
        )  # fmt: skip

    return form_page(request, form, sheet, verb, _page)


@needs("send_events_out")
def webhook_secret(request: HttpRequest, webhook_id: int) -> HttpResponse:
    row = _webhook(request, webhook_id)
    note = _("For a day events are signed with both, so that the other program can change over.")
    sheet = _sheet(row, _("New secret for %(name)s") % {"name": row.name}, _("Make a new secret"),
                   grave=True, note=note)  # fmt: skip

    def verb(ask: Ask) -> Done[Any]:
        made = verbs.renew_secret(ask.actor, row.pk, at=ask.at, request=ask.request)
        return _told(request, made)

    return form_page(request, ActForm(sent(request)), sheet, verb, _page)


@needs("send_events_out")
def webhook_test(request: HttpRequest, webhook_id: int) -> HttpResponse:
    row = _webhook(request, webhook_id)
    note = _("An event that says nothing is sent within a minute; how it went stands on the page.")
    sheet = _sheet(row, _("Test %(name)s") % {"name": row.name}, _("Send a test"), note=note)
    return _asked(request, sheet, verbs.send_test, row.pk, row.pk)


@needs("send_events_out")
def webhook_all_again(request: HttpRequest, webhook_id: int) -> HttpResponse:
    row = _webhook(request, webhook_id)
    note = _("Everything that was given up for this address is sent once more.")
    sheet = _sheet(row, _("Send again what was given up"), _("Send all again"), note=note)
    return _asked(request, sheet, verbs.send_all_again, row.pk, row.pk)


@needs("send_events_out")
def delivery_again(request: HttpRequest, delivery_id: int) -> HttpResponse:
    one = in_scope(reads.deliveries(reader(request)), pk=delivery_id)
    note = _("It keeps its id, so the other program can tell that it had it before.")
    title = _("Send %(what)s again") % {"what": one.event.get_kind_display()}
    sheet = _sheet(one.webhook, title, _("Send it again"), note=note)
    return _asked(request, sheet, verbs.send_again, one.pk, one.webhook_id)


@needs("send_events_out")
def webhook_replay(request: HttpRequest, webhook_id: int) -> HttpResponse:
    row = _webhook(request, webhook_id)
    form = SpanForm(sent(request))
    note = _(
        "All that happened in that time and that it wants is sent, what it had before too. Events "
        "are kept for 90 days."
    )
    sheet = _sheet(row, _("Send the events of a time"), _("Send them"), note=note)

    def verb(ask: Ask) -> Done[Any]:
        since, until = form.span()
        return verbs.replay(ask.actor, row.pk, since, until, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)


def _asked(
    request: HttpRequest, sheet: Sheet, verb: Callable[..., Done[Any]], pk: int, webhook_id: int
) -> HttpResponse:
    """A verb that asks nothing but to be meant."""

    def ask_it(ask: Ask) -> Done[Any]:
        return verb(ask.actor, pk, at=ask.at, request=ask.request)

    return form_page(request, ActForm(sent(request)), sheet, ask_it,
                     lambda _row: reverse("webhook", args=[webhook_id]))  # fmt: skip


def _told(request: HttpRequest, made: verbs.WithSecret) -> Done[Webhook]:
    if made.secret:
        request.session[ONCE] = {"webhook": made.row.pk, "secret": made.secret}
    return Done(made.row)


def _webhook(request: HttpRequest, webhook_id: int) -> Webhook:
    return in_scope(reads.webhooks(reader(request)), pk=webhook_id)


def _page(row: Webhook) -> str:
    return reverse("webhook", args=[row.pk])


def _sheet(row: Webhook, title: str, button: str, **more: Any) -> Sheet:
    return Sheet(title=title, button=button, back=_page(row), back_text=row.name, **more)
