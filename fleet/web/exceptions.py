"""One vehicle's exceptions from the rules: given with a preview, ended, and listed."""

from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.actor import Actor
from fleet.operations.errors import Refused
from fleet.operations.exceptions import (
    NewException,
    end_exception,
    preview_exception,
    set_exception,
)
from fleet.operations.work import Done
from fleet.reads.exceptions import exceptions_of
from fleet.reads.rule_shapes import Shape
from fleet.reads.rule_shapes import shapes as all_shapes
from fleet.reads.rule_words import step_said, steps_said
from fleet.reads.rules import routine_key, rules
from fleet.records.models import RuleException, Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Sheet, carry_out, form_page, sent
from fleet.web.rule_forms import StepsForm, anew_field, reason_field

_NOT_CHOSEN = ""


def excepted(vehicle: Vehicle) -> list[Shape]:
    """The rules that this vehicle can have an exception from."""
    mine = routine_key(vehicle, rules("routine"))
    return [one for one in all_shapes()
            if one.now and one.excepted_as
            and (one.kind == "ladder" or one.key == mine)]  # fmt: skip


@needs("view_history")
@about_vehicle
def exception_list(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    rows = exceptions_of(reader(request), vehicle, timezone.now())
    context: dict[str, Any] = {"vehicle": vehicle, "rows": rows}
    if reader(request).may("edit_rules"):
        context["rules"] = [(one, steps_said(one.rungs)) for one in excepted(vehicle)]
    return render(request, "exceptions/list.html", context)


class ExceptionForm(StepsForm):
    ends_on = forms.DateField(
        label=gettext_lazy("Last day it stands for"),
        help_text=gettext_lazy("After that day it ends by itself at the yard's midnight."),
        required=False,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": gettext_lazy("Type the day like 2026-11-25.")},
    )
    reason = reason_field(gettext_lazy("Stays in the trail."))
    anew = anew_field()

    def __init__(self, data: Any, shape: Shape, standing: RuleException | None) -> None:
        super().__init__(data, version=standing.pk if standing else 0)
        self.shape = shape
        self.add_steps(standing.rungs if standing else shape.rungs, len(shape.rungs))
        if standing is not None:
            self.initial["ends_on"] = standing.ends_on

    def new(self, vehicle: Vehicle) -> NewException:
        said = self.cleaned_data
        ends_on: date | None = said["ends_on"]
        return NewException(vehicle.pk, self.shape.kind, self.shape.key, self.steps(), ends_on,
                            said["reason"], said["anew"])  # fmt: skip


@needs("edit_rules")
@about_vehicle
def exception_new(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    """From the rule that the address names; shown first, then kept."""
    back = reverse("exception_list", args=[vehicle.unit_number])
    asked = request.GET.get("rule", _NOT_CHOSEN)
    shape = next((one for one in excepted(vehicle) if one.excepted_as == asked), None)
    if shape is None:
        return redirect(back)
    standing = next((one.row for one in exceptions_of(reader(request), vehicle, timezone.now())
                     if one.stands and one.row.ladder == shape.excepted_as), None)  # fmt: skip
    form = ExceptionForm(sent(request), shape, standing)
    preview = None
    if request.method == "POST" and form.is_valid():
        if form.meant():
            if _given(request, form, vehicle) is not None:
                messages.success(request, _("The exception stands."))
                return redirect(back)
        else:
            preview = _preview(request, form, vehicle)
    context = {
        "form": form, "shape": shape, "vehicle": vehicle, "preview": preview, "back": back,
        "title": _("Exception of %(unit)s: %(rule)s")
        % {"unit": vehicle.unit_number, "rule": shape.name},
        "says": "; ".join(step_said(step) for step in shape.rungs), "of_vehicle": True,
    }  # fmt: skip
    wrong = form.is_bound and not form.is_valid()
    return render(request, "rules/change.html", context, status=form.status if wrong else 200)


def _given(request: HttpRequest, form: ExceptionForm, vehicle: Vehicle) -> Any:
    return carry_out(request, form, lambda ask: set_exception(
        ask.actor, form.new(vehicle), at=ask.at, request=ask.request,
        seen=form.cleaned_data["version"]))  # fmt: skip


def _preview(request: HttpRequest, form: ExceptionForm, vehicle: Vehicle) -> Any:
    try:
        found = preview_exception(Actor(reader(request), "web"), form.new(vehicle),
                                  now=timezone.now())  # fmt: skip
    except Refused as refusal:
        form.take(refusal)
        return None
    form.shown()
    return found


class EndForm(ActForm):
    reason = reason_field(gettext_lazy("Stays in the trail."))


@needs("edit_rules")
def exception_end(request: HttpRequest, exception_id: int) -> HttpResponse:
    rows = RuleException.visible_to(reader(request)).select_related("vehicle__yard")
    row = in_scope(rows, pk=exception_id)
    back = reverse("exception_list", args=[row.vehicle.unit_number])
    form = EndForm(sent(request))
    sheet = Sheet(
        title=_("End an exception: %(unit)s") % {"unit": row.vehicle.unit_number},
        button=_("End it"),
        back=back,
        back_text=_("Exceptions"),
        said=_("Ended: the rule stands again for what is made from now on."),
        note=_("It says: %(steps)s. What is owed keeps its time.")
        % {"steps": steps_said(row.rungs)},
    )

    def verb(ask: Any) -> Done[RuleException]:
        return end_exception(ask.actor, row.pk, form.cleaned_data["reason"], at=ask.at,
                             request=ask.request)  # fmt: skip

    return form_page(request, form, sheet, verb, lambda _row: back)
