"""File requests: asked for from a vehicle's page, listed, answered or withdrawn."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations import files as verbs
from fleet.operations.actor import Actor
from fleet.reads.days import zone_of
from fleet.reads.files import file_requests, is_late
from fleet.reads.filters import FileFilter
from fleet.records.models import FileRequest, Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, page_of, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent
from fleet.web.meter import ReasonForm
from fleet.web.report_forms import DayField


class AskForm(ActForm):
    asker = forms.CharField(
        label=gettext_lazy("Who asks"),
        help_text=gettext_lazy("Somebody outside the fleet, by name and office."),
        required=False,
        max_length=120,
    )
    why = forms.CharField(
        label=gettext_lazy("What for"),
        max_length=300,
        error_messages={"required": gettext_lazy("Say what it is for.")},
    )
    since = DayField(
        gettext_lazy("From"),
        help_text=gettext_lazy("Leave both days empty for the whole file."),
        required=False,
    )
    until = DayField(
        gettext_lazy("To"),
        help_text=gettext_lazy("Only this day: the file as it stood on it."),
        required=False,
    )
    wanted_by = DayField(
        gettext_lazy("Wanted by"),
        error_messages={"required": gettext_lazy("Give the day by which it is wanted.")},
    )

    def __init__(self, data: Any, *, for_somebody: bool) -> None:
        super().__init__(data)
        if not for_somebody:
            del self.fields["asker"]


@needs("ask_for_file")
@about_vehicle
def file_new(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    form = AskForm(sent(request), for_somebody=reader(request).may("answer_file"))
    sheet = Sheet(
        title=_("Ask for the file of %(unit)s") % {"unit": vehicle.unit_number},
        button=_("Ask for it"),
        back=reverse("vehicle", args=[vehicle.unit_number]),
        back_text=vehicle.unit_number,
        said=_("Asked for. A manager answers it."),
    )

    def verb(ask: Ask) -> Any:
        names = ("why", "since", "until", "wanted_by")
        typed = {name: form.cleaned_data[name] for name in names}
        asked = verbs.Ask(vehicle.pk, asker=form.cleaned_data.get("asker", ""), **typed)
        return verbs.ask_for_file(ask.actor, asked, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)


def _page(asked: FileRequest) -> str:
    return reverse("file_detail", args=[asked.pk])


@needs("view_files")
def file_list(request: HttpRequest) -> HttpResponse:
    """Open ones first, the soonest wanted on top."""
    rows = file_requests(reader(request))
    chosen = FileFilter(request.GET, queryset=rows, request=request)
    page, now = page_of(request, chosen.qs), timezone.now()
    late = [asked.pk for asked in page if is_late(asked, now)]
    return render(request, "files/list.html", {"filters": chosen, "page": page, "late": late})


class AnswerForm(ActForm):
    text = forms.CharField(
        label=gettext_lazy("What was handed over, and how"),
        help_text=gettext_lazy("Like: the printed history, 14 pages, handed over at the office."),
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=2000,
        error_messages={"required": gettext_lazy("Say what was handed over, and how.")},
    )


@needs("view_files")
def file_detail(request: HttpRequest, request_id: int) -> HttpResponse:
    """Who wants what of which vehicle, the way to print it, and how it ended."""
    person = reader(request)
    asked = in_scope(file_requests(person), pk=request_id)
    is_open = asked.end is None
    with timezone.override(zone_of(asked.vehicle.yard)):
        context = {
            "asked": asked,
            "vehicle": asked.vehicle,
            "late": is_late(asked, timezone.now()),
            "form": AnswerForm() if is_open and person.may("answer_file") else None,
            "may_withdraw": is_open and verbs.may_withdraw(Actor(person), asked),
        }
        return render(request, "files/detail.html", context)


@needs("answer_file")
def file_answer(request: HttpRequest, request_id: int) -> HttpResponse:
    asked = in_scope(file_requests(reader(request)), pk=request_id)
    form = AnswerForm(sent(request))
    sheet = _sheet(asked, _("Answer the request"), _("Record the answer"), said=_("Answered."))

    def verb(ask: Ask) -> Any:
        text = form.cleaned_data["text"]
        return verbs.answer_file(ask.actor, asked.pk, text, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _end: _page(asked))


@needs("ask_for_file")
def file_withdraw(request: HttpRequest, request_id: int) -> HttpResponse:
    asked = in_scope(file_requests(reader(request)), pk=request_id)
    form = ReasonForm(sent(request))
    said = _("Withdrawn. It stays on file.")
    note = _("It need not be answered any more. It stays on file with why.")
    sheet = _sheet(asked, _("Withdraw the request"), _("Withdraw it"), said=said, note=note)

    def verb(ask: Ask) -> Any:
        reason = form.cleaned_data["reason"]
        return verbs.withdraw_file(ask.actor, asked.pk, reason, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _end: _page(asked))


def _sheet(asked: FileRequest, title: str, button: str, said: str, note: str = "") -> Sheet:
    return Sheet(
        title=f"{title}: {asked.vehicle.unit_number}",
        button=button,
        back=_page(asked),
        back_text=_("File request"),
        said=said,
        note=note,
    )
