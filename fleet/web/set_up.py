"""Setting up a new fleet: the steps as the record has them, and the three that are only here."""

from dataclasses import fields
from typing import Any

from django import forms
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.first_looks import MOST_A_DAY, FirstLooks, set_first_looks
from fleet.operations.fleet_facts import MOST_NAME, FleetFacts, set_fleet
from fleet.operations.rules_seen import look_over_rules
from fleet.reads import set_up as reads
from fleet.reads.fleet_facts import KEYS, fleet_now
from fleet.reads.rules_seen import newest_rule, response_rows, rules_seen
from fleet.reads.specs import ladder_rows, routine_rows
from fleet.records.models import Yard
from fleet.web.doors import needs, reader, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, offer, sent
from fleet.web.set_up_steps import WORDS
from fleet.web.yard_forms import CHOOSE, IN_ROW, UNITS
from fleet.web.zones import places, zone_field


@needs("name_fleet")
def set_up_page(request: HttpRequest) -> HttpResponse:
    found = reads.set_up(reader(request), yards(request), timezone.now())
    steps = [(step, WORDS[step.key]) for step in found.steps]
    context = {"set_up": found, "steps": steps, "most": len(steps)}
    return render(request, "set_up/page.html", context)


class FleetForm(ActForm):
    fleet_name = forms.CharField(
        label=gettext_lazy("Name of the fleet"),
        max_length=MOST_NAME,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": gettext_lazy("Give the fleet's name.")},
    )
    language = forms.ChoiceField(
        label=gettext_lazy("Language that new people begin with"),
        choices=settings.LANGUAGES,
        widget=forms.RadioSelect(attrs=IN_ROW),
        error_messages={"required": CHOOSE},
    )
    units = forms.ChoiceField(
        label=gettext_lazy("Units that new people and yards begin with"),
        help_text=gettext_lazy("A figure that is typed in stays as it was typed."),
        choices=UNITS,
        widget=forms.RadioSelect(attrs=IN_ROW),
        error_messages={"required": CHOOSE},
    )
    time_zone = zone_field()


@needs("name_fleet")
def set_up_fleet(request: HttpRequest) -> HttpResponse:
    now = fleet_now()
    form = FleetForm(
        sent(request), version=now.version, initial={key: getattr(now, key) for key in KEYS}
    )
    sheet = _sheet(_("The fleet"), _("Keep"), "set_up/zoned_form.html", zones=places())

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        facts = FleetFacts(**{each.name: said[each.name] for each in fields(FleetFacts)})
        return set_fleet(
            ask.actor, facts, at=ask.at, expected_version=said["version"], request=ask.request
        )

    return form_page(request, form, sheet, verb, _back)


@needs("edit_rules")
def set_up_rules(request: HttpRequest) -> HttpResponse:
    """The rules to begin with, and a yes that they were looked over."""
    newest = newest_rule()
    form = ActForm(sent(request), version=newest.pk if newest else None)
    sheet = _sheet(
        _("Rules to look over"), _("We have looked them over"), "set_up/rules.html",
        ladders=ladder_rows(), routine=routine_rows(), responses=response_rows(),
        seen=rules_seen(),
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        version = form.cleaned_data["version"]
        return look_over_rules(ask.actor, version, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _back)


class FirstLooksForm(ActForm):
    yard_id = forms.TypedChoiceField(label=gettext_lazy("Yard"), coerce=int)
    first_day = forms.DateField(
        label=gettext_lazy("From which day on"),
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": gettext_lazy("Type the day, like 2026-11-25."),
            "invalid": gettext_lazy("Type the day like 2026-11-25."),
        },
    )
    a_day = forms.IntegerField(
        label=gettext_lazy("Vehicles a working day"),
        help_text=gettext_lazy("As many front ends as the yard can look over in a day."),
        min_value=1,
        max_value=MOST_A_DAY,
        initial=4,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "required": gettext_lazy("Type how many, like 4."),
            "invalid": gettext_lazy("Type how many, like 4."),
        },
    )

    def __init__(self, data: Any, mine: list[Yard]) -> None:
        super().__init__(data)
        offer(self, "yard_id", [(y.pk, y.name) for y in mine])
        self.initial["first_day"] = timezone.localdate()


@needs("assign_work")
def first_looks(request: HttpRequest) -> HttpResponse:
    form = FirstLooksForm(sent(request), yards(request))
    sheet = _sheet(_("First looks"), _("Make them due"), "set_up/first_looks.html")

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        plan = FirstLooks(said["first_day"], said["a_day"])
        return set_first_looks(ask.actor, said["yard_id"], plan, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _yard: reverse("due"))


def _sheet(title: str, button: str, template: str, **more: Any) -> Sheet:
    return Sheet(
        title=title,
        button=button,
        back=reverse("set_up"),
        back_text=_("Set up"),
        said=_("Kept."),
        template=template,
        more=more,
    )


def _back(_row: Any) -> str:
    return reverse("set_up")
