"""Tickets: the list, a new one, and the page of one."""

from datetime import datetime
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.repair import NewTicket, open_ticket
from fleet.reads.filters import TicketFilter
from fleet.reads.joints import joints_of
from fleet.reads.photos import photos_of_ticket
from fleet.reads.ticket_facts import complaints_waiting
from fleet.reads.tickets import OVER, past_check, tickets, under_way, waiting_for_check
from fleet.reads.vehicle_file import open_ticket as open_ticket_of
from fleet.reads.vehicles import holds_on
from fleet.reads.yard_moves import move_on
from fleet.records.models import Complaint, Ticket, Vehicle
from fleet.web.about import about_ticket, about_vehicle
from fleet.web.doors import needs, page_of, reader
from fleet.web.forms import ActForm, Sheet, form_page, sent
from fleet.web.front_end import FrontEnd, front_end_of
from fleet.web.ticket_work import TicketWork, ticket_work

SHOWS = {
    "open": (gettext_lazy("Under way"), under_way),
    "waiting": (gettext_lazy("Waiting for a second check"), waiting_for_check),
    "checked": (gettext_lazy("Checked, not closed yet"), past_check),
    "over": (gettext_lazy("Closed or cancelled"), lambda rows: rows.filter(state__in=OVER)),
}


@needs("view_history")
def ticket_list(request: HttpRequest) -> HttpResponse:
    show = request.GET.get("show", "")
    show = show if show in SHOWS else "open"
    rows = SHOWS[show][1](tickets(reader(request)))
    chosen = TicketFilter(request.GET, queryset=rows, request=request)
    context = {
        "filters": chosen,
        "fields": [chosen.form[name] for name in ("yard", "vehicle")],
        "page": page_of(request, chosen.qs),
        "show": show,
        "shows": [(key, label) for key, (label, _rows) in SHOWS.items()],
    }
    return render(request, "ticket/list.html", context)


class TicketForm(ActForm):
    title = forms.CharField(
        label=gettext_lazy("What for"),
        help_text=gettext_lazy("A few words, like: track bar loose after the washboard."),
        required=False,
        max_length=160,
    )
    complaint = forms.IntegerField(
        label=gettext_lazy("Answers the complaint"), widget=forms.Select, required=False
    )

    def __init__(self, data: Any, waiting: list[Complaint], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        choices = [(row.pk, row.get_kind_display()) for row in waiting]
        none = ("", _("no complaint"))
        self.fields["complaint"].widget.choices = [none, *choices]


@needs("open_ticket")
@about_vehicle
def ticket_new(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    """A vehicle has one ticket at a time: where one is open, that is the page."""
    under = open_ticket_of(vehicle)
    if under is not None and request.method != "POST":
        return redirect("ticket_detail", under.pk)
    initial = {"complaint": request.GET.get("complaint", "")}
    form = TicketForm(sent(request), complaints_waiting(vehicle), initial=initial)
    sheet = Sheet(
        title=_("New ticket: %(unit)s") % {"unit": vehicle.unit_number},
        button=_("Open the ticket"),
        back=reverse("vehicle", args=[vehicle.unit_number]),
        back_text=vehicle.unit_number,
    )

    def verb(ask: Any) -> Any:
        said = form.cleaned_data
        new = NewTicket(vehicle.pk, title=said["title"], complaint_id=said["complaint"])
        return open_ticket(ask.actor, new, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, page_of_ticket)


def page_of_ticket(ticket: Any) -> str:
    return reverse("ticket_detail", args=[ticket.pk])


@needs("view_history")
@about_ticket
def ticket_detail(request: HttpRequest, ticket: Ticket) -> HttpResponse:
    now, work = timezone.now(), ticket_work(ticket, reader(request))
    context = {
        "ticket": ticket,
        "vehicle": ticket.vehicle,
        "holds": holds_on(ticket.vehicle),
        "move": move_on(ticket.vehicle),
        "now": now,
        "work": work,
        "photos": photos_of_ticket(reader(request), ticket),
        "front": _front_end(ticket.vehicle, work, now),
    }
    return render(request, "ticket/detail.html", context)


def _front_end(vehicle: Vehicle, work: TicketWork, now: datetime) -> FrontEnd | None:
    """The joints that the lines are about, each leading to its first line; None without any."""
    lines: dict[int, int] = {}
    for one in work.lines:
        if one.view.line.joint_id is not None:
            lines.setdefault(one.view.line.joint_id, one.view.line.pk)
    if not lines:
        return None
    rows = joints_of(vehicle, now)
    return front_end_of(vehicle, rows, now, lambda joint: f"#line-{lines[joint.pk]}", only=lines)
