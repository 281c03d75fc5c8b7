"""Yards put on file and changed."""

from dataclasses import fields
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.yards import MOST_BAYS, WORKING_WEEK, NewYard, add_yard, change_yard
from fleet.reads import people as people_reads
from fleet.reads import yards as yard_reads
from fleet.reads.fleet_facts import fleet_now
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent
from fleet.web.zones import places, zone_field

UNITS = [("us", gettext_lazy("US: inches, lbf·ft")), ("metric", gettext_lazy("metric: mm, N·m"))]
IN_ROW = {"class": "in-row"}
CHOOSE = gettext_lazy("Choose one from the list.")


class YardForm(ActForm):
    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": gettext_lazy("Give the yard a name.")},
    )
    time_zone = zone_field()
    on_call_number = forms.CharField(
        label=gettext_lazy("On-call number"),
        help_text=gettext_lazy(
            "A driver who is told to stop is given this number, by day and night."
        ),
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
        error_messages={
            "required": gettext_lazy("Give the number that a driver calls from the road.")
        },
    )
    bays = forms.IntegerField(
        label=gettext_lazy("Bays"),
        min_value=1,
        max_value=MOST_BAYS,
        initial=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages=dict.fromkeys(
            ("required", "invalid"), gettext_lazy("Type a whole number, like 2.")
        ),
    )
    working_days = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Working days"),
        choices=WEEKDAYS.items(),
        coerce=int,
        initial=WORKING_WEEK,
        widget=forms.CheckboxSelectMultiple(attrs=IN_ROW),
        error_messages={"required": gettext_lazy("Choose the days on which the yard works.")},
    )
    units = forms.ChoiceField(
        label=gettext_lazy("Units"),
        choices=UNITS,
        widget=forms.RadioSelect(attrs=IN_ROW),
        error_messages={"required": CHOOSE},
    )
    far = forms.BooleanField(label=gettext_lazy("Far yard, poor network"), required=False)

    def said(self) -> NewYard:
        return NewYard(**{each.name: self.cleaned_data[each.name] for each in fields(NewYard)})


@needs("edit_yards")
def yard_list(request: HttpRequest) -> HttpResponse:
    """Yards with what is said of them, and who may check there."""
    rows = list(yard_reads.yards(reader(request)))
    context = {"crews": people_reads.crews(rows), "weekdays": WEEKDAYS}
    return render(request, "set_up/yards.html", context)


@needs("edit_yards")
def yard_new(request: HttpRequest) -> HttpResponse:
    fleet = fleet_now()
    form = YardForm(sent(request), initial={"time_zone": fleet.time_zone, "units": fleet.units})

    def verb(ask: Ask) -> Any:
        return add_yard(ask.actor, form.said(), at=ask.at, request=ask.request)

    return _page(request, form, _("New yard"), _("Put the yard on file"), verb)


@needs("edit_yards")
def yard_change(request: HttpRequest, yard_id: int) -> HttpResponse:
    yard = in_scope(yard_reads.yards(reader(request)), pk=yard_id)
    stands = {name: getattr(yard, name) for name in yard_reads.FACTS}
    form = YardForm(sent(request), version=yard_reads.version_of(yard), initial=stands)

    def verb(ask: Ask) -> Any:
        version = form.cleaned_data["version"]
        new = form.said()
        return change_yard(
            ask.actor, yard.pk, new, at=ask.at, expected_version=version, request=ask.request
        )

    return _page(request, form, _("Change %(yard)s") % {"yard": yard.name}, _("Keep"), verb)


def _page(request: HttpRequest, form: YardForm, title: str, button: str, verb: Any) -> HttpResponse:
    back = reverse("yard_list")
    sheet = Sheet(
        title=title,
        button=button,
        back=back,
        back_text=_("Yards"),
        said=_("On file."),
        template="set_up/zoned_form.html",
        more={"zones": places()},
    )
    return form_page(request, form, sheet, verb, lambda _row: back)
