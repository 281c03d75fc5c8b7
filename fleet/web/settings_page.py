"""Your settings: language and units, and what leaves the program for you."""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache

from fleet.operations.actor import Actor
from fleet.operations.digests import mail_is_set_up
from fleet.operations.preferences import choose_preferences
from fleet.reads.digest import digest_of_person, last_digests
from fleet.reads.feeds import feeds
from fleet.web.doors import needs, reader
from fleet.web.feeds import ONCE
from fleet.web.forms import HouseForm


class PreferencesForm(HouseForm):
    language = forms.ChoiceField(label=_("Language"), choices=settings.LANGUAGES)
    units = forms.ChoiceField(
        label=_("Units"),
        choices=[("us", _("US: inches, lbf·ft, mph")), ("metric", _("metric: mm, N·m, km/h"))],
        help_text=_("A figure that was typed in stays as it was typed."),
        widget=forms.RadioSelect,
    )


@needs()
@never_cache
def settings_page(request: HttpRequest) -> HttpResponse:
    person = reader(request)
    form = PreferencesForm(
        request.POST or None, initial={"language": person.language, "units": person.units}
    )
    if request.method == "POST" and form.is_valid():
        choose_preferences(Actor(person), **form.cleaned_data)
        with translation.override(person.language):
            messages.success(request, gettext("Kept."))
        return redirect("settings")
    context = {"form": form, **parts(request)}
    return render(request, "settings/page.html", context, status=400 if form.errors else 200)


def parts(request: HttpRequest) -> dict[str, Any]:
    """What leaves the program for this reader; nothing for whoever may not see what is due."""
    person = reader(request)
    if not person.may("view_due"):
        return {"sees_due": False}
    digest = digest_of_person(person)
    return {
        "sees_due": True, "feeds": list(feeds(person)), "told": request.session.pop(ONCE, None),
        "digest": digest, "digests": last_digests(person), "mail": mail_is_set_up(),
        "own_days": [WEEKDAYS[day] for day in digest.days] if digest else [],
    }  # fmt: skip
