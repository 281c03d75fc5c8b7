"""A recheck put off, and taken back."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.put_off import PutOff, put_off, take_put_off_back
from fleet.operations.work import Done
from fleet.reads.days import zone_of
from fleet.reads.due import due_items, longest_put_off, with_all_shown
from fleet.records.models import Recheck
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent
from fleet.web.rule_forms import reason_field


class PutOffForm(ActForm):
    saw = forms.DateField(widget=forms.HiddenInput, required=False)
    until = forms.DateField(
        label=gettext_lazy("Put off to"),
        required=False,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": gettext_lazy("Type the day like 2026-11-25.")},
    )
    reason = reason_field(gettext_lazy("Stays in the trail."))


@needs("assign_work")
def due_put_off(request: HttpRequest, recheck_id: int) -> HttpResponse:
    recheck = in_scope(with_all_shown(Recheck.visible_to(reader(request))), pk=recheck_id)
    form = PutOffForm(sent(request))
    form.initial["saw"] = recheck.falls_on
    [item] = due_items([recheck], timezone.now())
    sheet = Sheet(
        title=_("Put off: %(unit)s") % {"unit": recheck.vehicle.unit_number},
        button=_("Put it off"),
        back=reverse("due"),
        back_text=_("Due"),
        said=_("Put off. The old date stays in the trail."),
        template="due/put_off.html",
        more={"item": item, "last": longest_put_off(recheck)},
    )

    def verb(ask: Ask) -> Done[Recheck]:
        said: dict[str, Any] = form.cleaned_data
        asked = PutOff(recheck.pk, said["until"], said["reason"])
        return put_off(ask.actor, asked, at=ask.at, seen=said["saw"], request=ask.request)

    with timezone.override(zone_of(recheck.vehicle.yard)):
        return form_page(request, form, sheet, verb, lambda _row: reverse("due"))


@needs("assign_work")
def due_put_off_back(request: HttpRequest, recheck_id: int) -> HttpResponse:
    """The date that its rule had set stands again."""
    recheck = in_scope(with_all_shown(Recheck.visible_to(reader(request))), pk=recheck_id)
    form = ActForm(sent(request))
    [item] = due_items([recheck], timezone.now())
    sheet = Sheet(
        title=_("Take a put-off back: %(unit)s") % {"unit": recheck.vehicle.unit_number},
        button=_("Take it back"),
        back=reverse("due"),
        back_text=_("Due"),
        said=_("The date that its rule had set stands again."),
        template="due/put_off.html",
        more={"item": item},
    )

    def verb(ask: Ask) -> Done[Recheck]:
        return take_put_off_back(ask.actor, recheck.pk, at=ask.at, request=ask.request)

    with timezone.override(zone_of(recheck.vehicle.yard)):
        return form_page(request, form, sheet, verb, lambda _row: reverse("due"))
