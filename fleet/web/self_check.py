"""A manager's leave for a self re-check: written on the ticket, seen by whom it is for."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations import checkers, leaves
from fleet.operations.closing import Job
from fleet.reads.self_checks import leave_stands
from fleet.reads.ticket_facts import StepFacts
from fleet.records.models import Person, SelfCheckLeave, Ticket
from fleet.web.about import about_ticket
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Sheet, form_page, offer, sent
from fleet.web.meter import ReasonForm


@dataclass(frozen=True)
class SelfCheckNow:
    """Whether the reader may check this work again by themselves, and whether anybody may."""

    barred: bool
    leave: SelfCheckLeave | None


def self_check_now(
    job: Job, facts: StepFacts, person: Person, now: datetime
) -> SelfCheckNow | None:
    """Of a ticket that waits for its second check; None for any other."""
    if job.ticket.state != Ticket.State.OPEN:
        return None
    mine = (leave for leave in facts.leaves if leave.technician_id == person.pk)
    standing = (leave for leave in mine if leave_stands(leave, now))
    return SelfCheckNow(bool(checkers.barred_alone(job)), next(standing, None))


class LeaveForm(ActForm):
    person = forms.TypedChoiceField(
        label=gettext_lazy("Who may check their own work"),
        coerce=int,
        empty_value=None,
        error_messages={"required": gettext_lazy("Choose who may check their own work.")},
    )
    reason = forms.CharField(
        label=gettext_lazy("Why nobody else can check it"),
        max_length=300,
        error_messages={"required": gettext_lazy("Say why nobody else can check it.")},
    )

    def __init__(self, data: Any, people: dict[int, Person]) -> None:
        super().__init__(data)
        choices = [("", _("choose")), *((pk, who.name) for pk, who in people.items())]
        offer(self, "person", choices)


@needs("allow_self_check")
@about_ticket
def leave_new(request: HttpRequest, ticket: Ticket) -> HttpResponse:
    form = LeaveForm(sent(request), leaves.who_may(reader(request), ticket.vehicle))

    def verb(ask: Any) -> Any:
        asked = leaves.SelfCheck(form.cleaned_data["person"], form.cleaned_data["reason"])
        return leaves.allow_self_check(ask.actor, ticket.pk, asked, at=ask.at, request=ask.request)

    title = _("Allow a self re-check: %(unit)s") % {"unit": ticket.vehicle.unit_number}
    said = _("Allowed. It lapses by itself, and you may take it back.")
    return _page(request, ticket, form, verb, title, _("Allow it"), said, "self_check/new.html")


@needs("allow_self_check")
@about_ticket
def leave_end(request: HttpRequest, ticket: Ticket, leave_id: int) -> HttpResponse:
    rows = SelfCheckLeave.visible_to(reader(request)).select_related("technician")
    leave = in_scope(rows.filter(ticket=ticket), pk=leave_id)
    form = ReasonForm(sent(request))

    def verb(ask: Any) -> Any:
        reason = form.cleaned_data["reason"]
        return leaves.take_leave_back(ask.actor, leave.pk, reason, at=ask.at, request=ask.request)

    title = _("Take back the leave of %(who)s") % {"who": leave.technician.name}
    return _page(request, ticket, form, verb, title, _("Take it back"), _("Taken back."))


def _page(
    request: HttpRequest, ticket: Ticket, form: Any, verb: Any, title: str, button: str,
    said: str, template: str = "act/page.html",
) -> HttpResponse:  # fmt: skip
    back = reverse("ticket_detail", args=[ticket.pk])
    sheet = Sheet(
        title=title,
        button=button,
        back=back,
        back_text=_("Ticket %(number)s") % {"number": ticket.pk},
        said=said,
        template=template,
        more={"ticket": ticket},
    )
    return form_page(request, form, sheet, verb, lambda _row: back)
