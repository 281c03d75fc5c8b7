"""The steps out of a ticket: second check, release, road test, close; and cancelling it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.reads.rules import rules
from fleet.records.models import Ticket
from fleet.web.about import about_ticket
from fleet.web.doors import needs, reader
from fleet.web.forms import Sheet, form_page, sent
from fleet.web.step_forms import CancelForm, CheckForm, CloseForm, ReleaseForm, RoadTestForm
from fleet.web.ticket_work import ticket_work


@dataclass(frozen=True)
class StepPage:
    form: type[Any]
    title: Any
    button: Any
    said: Any
    caution: Any = ""
    shows_work: bool = False


_SPEED = gettext_lazy(
    "Speed goes up in steps; stop at the first sign. An oscillation is never provoked. The hold "
    "stays: out for this road test only."
)
PAGES = {
    "check": StepPage(
        CheckForm,
        gettext_lazy("Second check"),
        gettext_lazy("Record the second check"),
        gettext_lazy("The second check is on file."),
        gettext_lazy("By somebody who did no line of this ticket. Look at every line below."),
        True,
    ),
    "release": StepPage(
        ReleaseForm,
        gettext_lazy("Release for a road test"),
        gettext_lazy("Release for this road test only"),
        gettext_lazy("Released for a road test only. The hold stays."),
        _SPEED,
    ),
    "road_test": StepPage(
        RoadTestForm,
        gettext_lazy("Road test"),
        gettext_lazy("Record the road test"),
        gettext_lazy("The road test is on file."),
        _SPEED,
    ),
    "close": StepPage(
        CloseForm,
        gettext_lazy("Close the ticket"),
        gettext_lazy("Close it for good"),
        gettext_lazy("Closed. Its holds are lifted and its rechecks are on Due."),
        gettext_lazy("A closed ticket never changes."),
        True,
    ),
    "cancel": StepPage(
        CancelForm,
        gettext_lazy("Cancel the ticket"),
        gettext_lazy("Cancel it for good"),
        gettext_lazy("Cancelled."),
        gettext_lazy("Only a ticket on which nothing was done and nothing is held."),
    ),
}


def _step(name: str, ability: str) -> Callable[..., HttpResponse]:
    """The page of one step: its form, what it needs to be seen with, and its operation."""
    page = PAGES[name]

    @needs(ability)
    @about_ticket
    def view(request: HttpRequest, ticket: Ticket) -> HttpResponse:
        person = reader(request)
        form = page.form(sent(request), ticket, person)
        back = reverse("ticket_detail", args=[ticket.pk])
        number = _("Ticket %(number)s") % {"number": ticket.pk}
        more: dict[str, Any] = {"ticket": ticket, "vehicle": ticket.vehicle, "page": page}
        more["dry_steer"] = rules("method").get("dry_steer") if name == "check" else None
        if page.shows_work:
            more["work"] = ticket_work(ticket, person)
        sheet = Sheet(
            title=f"{page.title}: {ticket.vehicle.unit_number}",
            button=page.button,
            back=back,
            back_text=number,
            said=page.said,
            template="ticket/step.html",
            more=more,
            grave=name in ("close", "cancel"),
        )
        return form_page(request, form, sheet, form.ask, lambda _row: back)

    return view


ticket_check = _step("check", "second_check")
ticket_release = _step("release", "second_check")
ticket_road_test = _step("road_test", "second_check")
ticket_close = _step("close", "close_ticket")
ticket_cancel = _step("cancel", "close_ticket")
