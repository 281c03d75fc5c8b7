"""Lines of a ticket: added, recorded with their figures, dropped."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations import evidence, line_view, looks
from fleet.operations.foretell_line import HEARD, foretell_line
from fleet.operations.line_view import Specs
from fleet.operations.repair import Entry, add_line, drop_line, record_line
from fleet.reads.rules import RuleNow, rules
from fleet.reads.slot_aid import slot_typed
from fleet.reads.ticket_facts import joints_to_work_on
from fleet.reads.tools import tool_rows, tools
from fleet.records.models import Joint, Person, Ticket, TicketLine
from fleet.web.about import about_ticket
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Sheet, form_page, offer, sent
from fleet.web.line_form import LineForm, Shelf
from fleet.web.meter import ReasonForm

WHOLE = "0"


class JointForm(forms.Form):
    """The first half of a new line: where."""

    joint = forms.ChoiceField(label=gettext_lazy("Which joint"))

    def __init__(self, joints: list[Joint]) -> None:
        super().__init__(label_suffix="")
        whole = (WHOLE, _("the whole front end"))
        choices = [whole, *((str(joint.pk), str(joint)) for joint in joints)]
        offer(self, "joint", choices)


class ActionForm(ActForm):
    """The second half: what is done there."""

    action = forms.ChoiceField(
        label=gettext_lazy("Work"),
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose the work from the list.")},
    )
    joint = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Any, actions: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        offer(self, "action", actions)


@needs("record_line")
@about_ticket
def line_new(request: HttpRequest, ticket: Ticket) -> HttpResponse:
    """Where first, then what: only the work that fits the joint is offered."""
    joints = joints_to_work_on(ticket.vehicle)
    where = request.POST.get("joint") or request.GET.get("joint")
    back = reverse("ticket_detail", args=[ticket.pk])
    joint = next((row for row in joints if str(row.pk) == where), None)
    if where is None or (joint is None and where != WHOLE):
        context = {"ticket": ticket, "form": JointForm(joints), "back": back}
        return render(request, "ticket/line_where.html", context)
    fitting = _actions_for(joint, rules("action"))
    form = ActionForm(sent(request), fitting, version=ticket.version, initial={"joint": where})
    sheet = Sheet(
        title=_("New line: %(joint)s") % {"joint": joint or _("the whole front end")},
        button=_("Add the line"),
        back=back,
        back_text=_ticket_name(ticket),
    )

    def verb(ask: Any) -> Any:
        said = form.cleaned_data
        return add_line(
            ask.actor,
            ticket.pk,
            said["action"],
            joint.pk if joint else None,
            at=ask.at,
            expected_version=said["version"],
            request=ask.request,
        )

    return form_page(request, form, sheet, verb, _line_page)


def _actions_for(joint: Joint | None, table: dict[str, RuleNow]) -> list[tuple[str, str]]:
    def fits(kinds: Any) -> bool:
        if kinds == "any":
            return True
        return joint.kind.code in kinds if joint else not kinds

    return [(key, rule.name) for key, rule in table.items() if fits(rule.data["kinds"])]


def _ticket_name(ticket: Ticket) -> str:
    return _("Ticket %(number)s") % {"number": ticket.pk}


def _line_page(line: Any) -> str:
    return reverse("line_record", args=[line.ticket_id, line.pk])


def _at_line(line: TicketLine) -> str:
    return f"{reverse('ticket_detail', args=[line.ticket_id])}#line-{line.pk}"


def _line_of(request: HttpRequest, ticket: Ticket, line_id: int) -> TicketLine:
    """A dropped line is not shown; a form sent again for one is answered by the operation."""
    rows = TicketLine.visible_to(reader(request)).filter(ticket=ticket)
    if request.method != "POST":
        rows = rows.exclude(state=TicketLine.State.DROPPED)
    return in_scope(rows.select_related("joint__kind", "entry", "ticket"), pk=line_id)


def _line_form(
    request: HttpRequest, ticket: Ticket, line: TicketLine, rule: RuleNow, specs: Specs
) -> LineForm:
    person = reader(request)
    shelf = Shelf(
        tool_rows(tools(person).filter(in_use=True), timezone.now()),
        list(Person.visible_to(person).filter(is_active=True)),
    )
    fields = line_view.fields_for(rule, ticket.vehicle, line.joint, specs)
    recorded = line.entry.data if line.entry else {}
    against = {
        f"{prefix}torque": evidence.spec_of(rule.key, prefix, line.joint, specs)
        for prefix in evidence.PULLS
        if line.joint is not None
    }
    return LineForm(sent(request), fields, shelf, recorded, against=against, version=ticket.version)


@needs("record_line")
@about_ticket
def line_record(request: HttpRequest, ticket: Ticket, line_id: int) -> HttpResponse:
    """The figures of a line, in a form made from its rule."""
    vehicle = ticket.vehicle
    line = _line_of(request, ticket, line_id)
    rule = rules("action")[line.action]
    specs = looks.target_specs(vehicle)
    form = _line_form(request, ticket, line, rule, specs)
    sheet = Sheet(
        title=line_view.LineView(line, rule).name,
        button=_("Record the line"),
        back=_at_line(line),
        back_text=_ticket_name(ticket),
        said=_("Recorded."),
        template="ticket/line.html",
        more={
            "ticket": ticket,
            "vehicle": vehicle,
            "line": line,
            "rule": rule,
            "spec": form.against.get("torque"),
            "heard": " ".join(HEARD),
            "slots": line.joint
            and slot_typed(line.joint.kind, form.against.get("torque"), reader(request).units),
        },
    )
    form.told = foretell_line(line, vehicle, rule, form.heard, specs)

    def verb(ask: Any) -> Any:
        said = form.cleaned_data
        entry = Entry(
            line.pk, form.typed, occurred_at=said["occurred_at"], done_by=said["entry_done_by"]
        )
        return record_line(
            ask.actor, entry, at=ask.at, expected_version=said["version"], request=ask.request
        )

    return form_page(request, form, sheet, verb, lambda _entry: _at_line(line))


@needs("record_line")
@about_ticket
def line_told(request: HttpRequest, ticket: Ticket, line_id: int) -> HttpResponse:
    """A piece of the line's form: what its figures come to as they are typed."""
    line = _line_of(request, ticket, line_id)
    rule = rules("action")[line.action]
    told = foretell_line(line, ticket.vehicle, rule, request.GET.dict())
    about = request.GET.get("about", "")
    if about:
        return render(request, "ticket/told_pull.html", {"check": told.pulls.get(about)})
    return render(request, "ticket/told_line.html", {"told": told, "vehicle": ticket.vehicle})


@needs("record_line")
@about_ticket
def line_drop(request: HttpRequest, ticket: Ticket, line_id: int) -> HttpResponse:
    line = _line_of(request, ticket, line_id)
    form = ReasonForm(sent(request), version=ticket.version)
    name = line_view.LineView(line, rules("action")[line.action]).name
    sheet = Sheet(
        title=_("Drop the line “%(line)s”") % {"line": name},
        button=_("Drop it"),
        back=_at_line(line),
        back_text=_ticket_name(ticket),
        said=_("Dropped. What was recorded for it stays on file."),
        note=_("Work that is not done after all. What was recorded for it stays on file."),
    )

    def verb(ask: Any) -> Any:
        said = form.cleaned_data
        return drop_line(
            ask.actor,
            line.pk,
            said["reason"],
            at=ask.at,
            expected_version=said["version"],
            request=ask.request,
        )

    back = reverse("ticket_detail", args=[ticket.pk])
    return form_page(request, form, sheet, verb, lambda _line: back)
