"""A complaint: what was felt, what the driver must do now, and what came of it."""

from collections.abc import Callable
from dataclasses import fields
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.complain import Report, answer_complaint, report_complaint, speed_m_s
from fleet.reads.complaints import complaint_story, complaints
from fleet.reads.days import zone_of
from fleet.reads.triage import order_of_looking
from fleet.records.models import Complaint, ComplaintKind, Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, MomentField, Sheet, form_page, sent, yes_no
from fleet.web.measures import SHORT

_BUMP = {"yes": gettext_lazy("After a bump"), "no": gettext_lazy("On a steady road")}


class ComplaintForm(ActForm):
    kind = forms.ChoiceField(
        label=gettext_lazy("What was felt"),
        choices=ComplaintKind.choices,
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose what was felt from the list.")},
    )
    speed_typed = forms.CharField(
        label=gettext_lazy("At what speed"),
        help_text=gettext_lazy("Like 45 mph or 70 km/h. Leave empty if nobody looked."),
        widget=forms.TextInput(attrs=SHORT),
        required=False,
        max_length=30,
    )
    after_bump = yes_no(gettext_lazy("How it began"), _BUMP["yes"], _BUMP["no"])
    stopped_only_when_slowed = yes_no(gettext_lazy("Did it stop only when you slowed down?"))
    under_braking = yes_no(gettext_lazy("Was it under braking?"))
    sudden = yes_no(gettext_lazy("Did it come suddenly?"))
    steering_changed = yes_no(gettext_lazy("Has the steering changed since a hit?"))
    tyre_pressures = forms.CharField(
        label=gettext_lazy("Tire pressures"),
        help_text=gettext_lazy("As read, like 38 left, 36 right. Pressures and load matter here."),
        required=False,
        max_length=80,
    )
    load = forms.CharField(
        label=gettext_lazy("Load"),
        help_text=gettext_lazy("Empty, what was in it, a trailer."),
        required=False,
        max_length=80,
    )
    text = forms.CharField(
        label=gettext_lazy("In your own words"),
        widget=forms.Textarea(attrs={"rows": 3}),
        required=False,
        max_length=4000,
    )
    occurred_at = MomentField()

    def __init__(self, data: Any, vehicle: Vehicle) -> None:
        super().__init__(data)
        self.vehicle = vehicle

    def readers(self) -> dict[str, Callable[[str], Any]]:
        return {"speed_typed": lambda typed: speed_m_s(typed, self.vehicle)}


_TYPED = {column.name for column in fields(Report)} & set(ComplaintForm.base_fields)


@needs("report_complaint")
@about_vehicle
def complaint_new(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    form = ComplaintForm(sent(request), vehicle)
    sheet = Sheet(
        title=_("Report a complaint: %(unit)s") % {"unit": vehicle.unit_number},
        button=_("Report it"),
        back=reverse("vehicle", args=[vehicle.unit_number]),
        back_text=vehicle.unit_number,
        template="complaint/new.html",
        more={"vehicle": vehicle},
    )

    def verb(ask: Any) -> Any:
        typed = {name: form.cleaned_data[name] for name in _TYPED}
        report = Report(vehicle.pk, **typed)
        return report_complaint(ask.actor, report, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page_of)


def _page_of(complaint: Complaint) -> str:
    return reverse("complaint_detail", args=[complaint.pk])


class AnswerForm(ActForm):
    text = forms.CharField(
        label=gettext_lazy("What the driver should know"),
        help_text=gettext_lazy("What was found and done, in words for somebody who drives."),
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=2000,
        error_messages={"required": gettext_lazy("Write what the driver should know.")},
    )


@needs("view_vehicle")
def complaint_detail(request: HttpRequest, complaint_id: int) -> HttpResponse:
    """What happens now, what was said, and what the driver was told back."""
    person = reader(request)
    complaint = in_scope(complaints(person), pk=complaint_id)
    with timezone.override(zone_of(complaint.vehicle.yard)):
        context = {
            "complaint": complaint,
            "vehicle": complaint.vehicle,
            # The driver is told what to do, not what it may be.
            "order": order_of_looking(complaint) if person.may("view_history") else None,
            "story": complaint_story(complaint),
            "form": AnswerForm() if person.may("answer_complaint") else None,
        }
        return render(request, "complaint/detail.html", context)


@needs("answer_complaint")
def complaint_answer(request: HttpRequest, complaint_id: int) -> HttpResponse:
    complaint = in_scope(complaints(reader(request)), pk=complaint_id)
    form = AnswerForm(sent(request))
    sheet = Sheet(
        title=_("Answer the driver"),
        button=_("Answer"),
        back=_page_of(complaint),
        back_text=str(complaint.get_kind_display()),
        said=_("The driver can read it now."),
    )

    def verb(ask: Any) -> Any:
        text = form.cleaned_data["text"]
        return answer_complaint(ask.actor, complaint.pk, text, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _answer: _page_of(complaint))
