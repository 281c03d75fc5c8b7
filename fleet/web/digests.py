"""The digest by e-mail: one's own wish, and the way to be rid of it."""

from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import dates, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from fleet.operations import digests as verbs
from fleet.operations.work import Done
from fleet.reads.days import zone_of
from fleet.reads.digest import digest_of_person
from fleet.records.models import Digest, Yard
from fleet.web.doors import needs, reader, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, offer, sent
from fleet.web.zones import places, zone_field

WORKING_DAYS = [0, 1, 2, 3, 4]
MORNING = 6


class DigestForm(ActForm):
    names = {"yards": "yard_ids"}

    is_on = forms.BooleanField(label=gettext_lazy("Send it to me"), required=False)
    email = forms.CharField(
        label=gettext_lazy("To this address"),
        required=False,
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    yard_ids = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Of these yards"),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    days = forms.TypedMultipleChoiceField(
        label=gettext_lazy("On these days"),
        coerce=int,
        choices=list(dates.WEEKDAYS.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    hour = forms.TypedChoiceField(
        label=gettext_lazy("Not before"),
        coerce=int,
        choices=[(hour, f"{hour:02}:00") for hour in range(24)],
    )
    time_zone = zone_field()

    def __init__(self, data: Any, mine: list[Yard], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.fields["time_zone"].help_text = _("Where your own clock stands, like America/Denver.")
        offer(self, "yard_ids", [(yard.pk, yard.name) for yard in mine])

    def wish(self) -> verbs.Wish:
        said = self.cleaned_data
        return verbs.Wish(
            said["is_on"], said["email"], tuple(said["yard_ids"]), tuple(said["days"]),
            said["hour"], said["time_zone"].strip(),
        )  # fmt: skip


@needs("view_due")
def digest_choose(request: HttpRequest) -> HttpResponse:
    form = DigestForm(sent(request), yards(request), initial=_stands(request))
    note = _(
        "What is held, overdue, due this week and waiting for a second check, in your language. "
        "There is no letter on a day with nothing to tell."
    )
    if not verbs.mail_is_set_up():
        note = _("This server can't send e-mail yet: whoever runs it has to set it up first.")
    sheet = Sheet(
        title=_("Digest by e-mail"), button=_("Keep"), note=note, said=_("Kept."),
        back=f"{reverse('settings')}#digest", back_text=_("Your settings"),
        template="set_up/zoned_form.html", more={"zones": places()},
    )  # fmt: skip

    def verb(ask: Ask) -> Done[Any]:
        return verbs.choose_digest(ask.actor, form.wish(), at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _row: f"{reverse('settings')}#digest")


def _stands(request: HttpRequest) -> dict[str, Any]:
    person, mine = reader(request), yards(request)
    row = digest_of_person(person)
    if row is None:
        zone = str(zone_of(mine[0] if mine else None))
        return {"email": person.email, "yard_ids": [yard.pk for yard in mine],
                "days": WORKING_DAYS, "hour": MORNING, "time_zone": zone}  # fmt: skip
    return {"is_on": row.is_on, "email": person.email, "yard_ids": _of(row), "days": row.days,
            "hour": row.hour, "time_zone": row.time_zone}  # fmt: skip


def _of(row: Digest) -> list[int]:
    return [yard.pk for yard in row.yards.all()]


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def digest_off(request: HttpRequest, token: str) -> HttpResponse:
    """Ends a person's digests by a link in a letter, with no sign-in.

    A mail program posts here by itself where its reader presses its button (RFC 8058), so there
    is no token of a form; a link that is only followed asks first. It can do nothing else.
    """
    person = verbs.person_of(token)
    if person is None:
        raise Http404
    if request.method == "POST":
        verbs.stop_digest(person)
    with translation.override(person.language):
        context = {"done": request.method == "POST", "email": person.email}
        return render(request, "settings/digest_off.html", context)
