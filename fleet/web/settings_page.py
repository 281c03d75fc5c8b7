"""Your settings: language and units."""

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.operations.actor import Actor
from fleet.operations.preferences import choose_preferences
from fleet.web.doors import needs, reader
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
    return render(request, "settings/page.html", {"form": form}, status=400 if form.errors else 200)
