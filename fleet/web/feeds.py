"""Calendar feeds: one's own addresses on the settings page, and what stands behind them."""

import hashlib
from datetime import datetime
from typing import Any, cast

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from fleet.operations import feed_events
from fleet.operations import feeds as verbs
from fleet.operations.feed_events import Told
from fleet.operations.work import Done
from fleet.papers.calendar_file import MEDIA_TYPE, About, DayEvent, calendar
from fleet.reads import feeds as reads
from fleet.reads.people import colleagues
from fleet.reads.public import address
from fleet.reads.vehicles import vehicles
from fleet.records.models import Feed, Person, Yard
from fleet.web.doors import in_scope, needs, reader, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, offer, sent

# Told once to whoever made it.
ONCE = "feed-address"


class FeedForm(ActForm):
    names = {"person": "person"}

    of = forms.ChoiceField(
        label=gettext_lazy("What it is of"),
        choices=[
            (Feed.Of.YARD, gettext_lazy("all that is owed at a yard")),
            (Feed.Of.PERSON, gettext_lazy("what is assigned to one person")),
            (Feed.Of.VEHICLE, gettext_lazy("what one vehicle owes")),
        ],
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose a yard, a person or a vehicle.")},
    )
    yard = forms.TypedChoiceField(
        label=gettext_lazy("Yard"),
        help_text=gettext_lazy("Where it is of a yard."),
        coerce=int,
        required=False,
        empty_value=None,
    )
    person = forms.TypedChoiceField(
        label=gettext_lazy("Person"),
        help_text=gettext_lazy("Where it is of a person."),
        coerce=int,
        required=False,
        empty_value=None,
    )
    unit_number = forms.CharField(
        label=gettext_lazy("Unit number"),
        help_text=gettext_lazy("Where it is of a vehicle."),
        required=False,
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, data: Any, who: Person, mine: list[Yard], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.who = who
        offer(self, "yard", [(yard.pk, yard.name) for yard in mine])
        people = [(row.pk, row.name) for row in colleagues(who)]
        offer(self, "person", sorted(people, key=lambda one: one[0] != who.pk))

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or {}
        if said.get("of") == Feed.Of.VEHICLE:
            number = said.get("unit_number", "").strip()
            said["vehicle"] = vehicles(self.who).filter(unit_number__iexact=number).first()
            if said["vehicle"] is None:
                message = _("Type the unit number of a vehicle of your yards, like A-101.")
                self.add_error("unit_number", message)
        return said

    def new(self) -> verbs.NewFeed:
        said = self.cleaned_data
        vehicle = said.get("vehicle")
        return verbs.NewFeed(
            said["of"], said["yard"], said["person"], vehicle.pk if vehicle else None
        )


@needs("view_due")
def feed_new(request: HttpRequest) -> HttpResponse:
    who = reader(request)
    form = FeedForm(sent(request), who, yards(request), initial=_chosen(request, who))
    sheet = _sheet(
        _("New calendar feed"), _("Make the address"),
        note=_(
            "It makes a secret address. Whoever has it can read what you may see of what is due, "
            "without signing in; add it to your calendar program as a subscription."
        ),
    )  # fmt: skip
    return _told_once(request, form, sheet, lambda ask: verbs.make_feed(
        ask.actor, form.new(), at=ask.at, request=ask.request))  # fmt: skip


def _chosen(request: HttpRequest, who: Person) -> dict[str, Any]:
    """What the link that led here is of: a vehicle, a yard by its slug, or the reader."""
    asked, unit = request.GET, request.GET.get("vehicle", "")
    slugs = {yard.slug: yard.pk for yard in yards(request)}
    first = {"of": Feed.Of.YARD, "person": who.pk, "unit_number": unit,
             "yard": slugs.get(asked.get("yard", ""))}  # fmt: skip
    if unit:
        first["of"] = Feed.Of.VEHICLE
    elif asked.get("person") == "me":
        first["of"] = Feed.Of.PERSON
    return first


@needs("view_due")
def feed_renew(request: HttpRequest, feed_id: int) -> HttpResponse:
    feed = _own(request, feed_id)
    sheet = _sheet(
        _("New address for %(name)s") % {"name": feed.name}, _("Make a new address"), grave=True,
        note=_("The address it has now stops working at once, in every program that uses it."),
    )  # fmt: skip
    return _told_once(request, ActForm(sent(request)), sheet, lambda ask: verbs.renew_feed(
        ask.actor, feed.pk, at=ask.at, request=ask.request))  # fmt: skip


@needs("view_due")
def feed_revoke(request: HttpRequest, feed_id: int) -> HttpResponse:
    feed = _own(request, feed_id)
    sheet = _sheet(
        _("Take back the feed of %(name)s") % {"name": feed.name}, _("Take it back"), grave=True,
        note=_("Its address stops working at once. What calendars copied before stays in them."),
        said=_("Taken back."),
    )  # fmt: skip

    def verb(ask: Ask) -> Done[Any]:
        return verbs.revoke_feed(ask.actor, feed.pk, at=ask.at, request=ask.request)

    return form_page(request, ActForm(sent(request)), sheet, verb, _to_settings)


def _told_once(request: HttpRequest, form: Any, sheet: Sheet, make: Any) -> HttpResponse:
    """Make an address and show it on the settings page, this once."""

    def verb(ask: Ask) -> Done[Any]:
        made = make(ask)
        if made.token:
            path = reverse("feed", args=[made.token])
            request.session[ONCE] = {
                "name": made.row.name,
                "address": address(path, request.build_absolute_uri(path)),
            }
        return Done(made.row)

    return form_page(request, form, sheet, verb, _to_settings)


@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar behind a secret address: no session, in its owner's language."""
    row = feed_events.feed_behind(token)
    if row is None:
        raise Http404
    with translation.override(row.owner.language):
        now = timezone.now()
        told = feed_events.fetch(row, at=now)
        changed = feed_events.newest(told, row)
        about = About(
            row.uid, _("%(name)s: what is due") % {"name": row.name}, _about(row), changed
        )
        content = calendar(about, [_event(one, request) for one in told])
    answer = HttpResponse(content, content_type=MEDIA_TYPE)
    etag = f'"{hashlib.sha256(content).hexdigest()[:32]}"'
    said = {
        "ETag": etag, "Last-Modified": http_date(changed.timestamp()),
        "Cache-Control": "private, no-cache", "X-Robots-Tag": "noindex",
        "Content-Disposition": 'inline; filename="due.ics"',
    }  # fmt: skip
    for name, value in said.items():
        answer[name] = value
    return _conditional(request, etag, changed, answer)


def _conditional(
    request: HttpRequest, etag: str, changed: datetime, answer: HttpResponse
) -> HttpResponse:
    """A 304 for whoever has it already (RFC 9110, 13.2)."""
    known: Any = get_conditional_response(request, etag, int(changed.timestamp()), answer)
    return cast(HttpResponse, known)


def _event(one: Told, request: HttpRequest) -> DayEvent:
    entry, event = one.entry, one.event
    path = reverse("vehicle", args=[entry.unit_number]) if entry.unit_number else ""
    return DayEvent(
        event.source, event.day, event.sequence, event.changed_at, event.cancelled, entry.summary,
        entry.text, entry.place, address(path, request.build_absolute_uri(path)) if path else "",
    )  # fmt: skip


def _about(row: Feed) -> str:
    return _("What is owed, on the day it falls due; for %(who)s.") % {"who": row.owner.name}


def _own(request: HttpRequest, feed_id: int) -> Feed:
    return in_scope(reads.feeds(reader(request)), pk=feed_id)


def _to_settings(_row: Any) -> str:
    return f"{reverse('settings')}#feeds"


def _sheet(title: str, button: str, **more: Any) -> Sheet:
    return Sheet(
        title=title, button=button, back=_to_settings(None), back_text=_("Your settings"), **more
    )
