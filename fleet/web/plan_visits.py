"""A visit put on the plan, moved, pinned, taken out: by a form that needs no script."""

from functools import wraps
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.plan_visits import (
    Place,
    move_visit,
    pin_visit,
    plan_visit,
    take_out_visit,
    undo_move,
)
from fleet.reads.days import zone_of
from fleet.reads.plan.people import Hand, hands_of
from fleet.reads.plan.visits import Names, VisitLine, tasks_of, visits
from fleet.reads.plan.week import plan_of, unplanned
from fleet.records.models import Vehicle, Visit, Yard
from fleet.web.about import about_vehicle
from fleet.web.doors import View, in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, offer, sent
from fleet.web.plan_doors import plan_address, pressed, visit_address

ANY = gettext_lazy("the one with most room")


class PlaceForm(ActForm):
    day = forms.DateField(
        label=gettext_lazy("Day"),
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages=dict.fromkeys(
            ("required", "invalid"), gettext_lazy("Choose a day, like 2026-11-30.")
        ),
    )
    bay = forms.TypedChoiceField(
        label=gettext_lazy("Bay"), coerce=int, empty_value=None, required=False,
        widget=forms.RadioSelect(attrs={"class": "in-row"}),
    )  # fmt: skip
    people = forms.TypedMultipleChoiceField(
        label=gettext_lazy("People"),
        help_text=gettext_lazy(
            "Leave all open and whoever can and has most time is named. "
            "A dry steer takes two at once."
        ),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    pinned = forms.BooleanField(
        label=gettext_lazy("Pin it there: planning again leaves it on this day"),
        required=False,
        initial=True,
    )

    def __init__(self, data: Any, yard: Yard, hands: list[Hand], **more: Any) -> None:
        super().__init__(data, **more)
        bays = [(bay, bay) for bay in range(1, yard.bays + 1)]
        offer(self, "bay", [*bays, ("", ANY)])
        crew = [(hand.person.pk, _who(hand)) for hand in hands if hand.plan]
        offer(self, "people", crew)
        if not crew:
            del self.fields["people"]

    def place(self) -> Place:
        said = self.cleaned_data
        return Place(said["day"], said["bay"], said.get("people") or None, said["pinned"])


def _who(hand: Hand) -> str:
    if hand.far:
        return _("%(who)s (from another yard)") % {"who": hand.person.name}
    if not hand.inspects:
        return _("%(who)s (holds the wheel)") % {"who": hand.person.name}
    return hand.person.name


def about_visit(view: View) -> View:
    """Hand the view the visit of its address, or answer 404; in its yard's time zone."""

    @wraps(view)
    def found(request: HttpRequest, visit_id: int, **more: Any) -> HttpResponse:
        visit = in_scope(visits(reader(request)), pk=visit_id)
        with timezone.override(zone_of(visit.yard)):
            return view(request, visit, **more)

    return found


@needs("edit_plan")
@about_visit
def visit_move(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Another day, another bay, other people. A drop on a day sends the same form."""
    hands = hands_of(visit.yard, plan_of(visit.yard))
    line = VisitLine(visit, tasks_of(visit, Names.now()))
    stands = {
        "day": visit.day, "bay": visit.bay, "pinned": True,
        "people": [named.person_id for named in line.crew],
    }  # fmt: skip
    form = PlaceForm(sent(request), visit.yard, hands, version=visit.version, initial=stands)
    back = visit_address(visit)
    sheet = Sheet(
        title=_("Move %(unit)s") % {"unit": visit.vehicle.unit_number},
        button=_("Move it"), back=back, back_text=_("Plan"), said=_("Moved. It can be undone."),
        template="plan/move.html", more={"visit": visit, "line": line},
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        version = form.cleaned_data["version"]
        return move_visit(ask.actor, visit.pk, form.place(), at=ask.at, expected_version=version,
                          request=ask.request)  # fmt: skip

    return form_page(request, form, sheet, verb, visit_address)


@needs("edit_plan")
@about_visit
def visit_pin(request: HttpRequest, visit: Visit) -> HttpResponse:
    pinned = request.POST.get("pinned") == "yes"

    def verb(ask: Ask, version: int | None) -> Any:
        return pin_visit(ask.actor, visit.pk, pinned, at=ask.at, expected_version=version,
                         request=ask.request)  # fmt: skip

    return pressed(request, verb, visit_address, visit_address(visit))


@needs("edit_plan")
@about_visit
def visit_undo(request: HttpRequest, visit: Visit) -> HttpResponse:
    def verb(ask: Ask, version: int | None) -> Any:
        return undo_move(ask.actor, visit.pk, at=ask.at, expected_version=version,
                         request=ask.request)  # fmt: skip

    return pressed(request, verb, visit_address, visit_address(visit), _("Put back."))


@needs("edit_plan")
@about_visit
def visit_out(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Asked once more: what was taken out is planned anew by hand or by the planner."""
    form = ActForm(sent(request), version=visit.version)
    back = visit_address(visit)
    sheet = Sheet(
        title=_("Take %(unit)s off the plan") % {"unit": visit.vehicle.unit_number},
        button=_("Take it out"), back=back, back_text=_("Plan"),
        said=_("Taken out. Its work stays owed and stands under what is not planned."),
        note=_("Its work stays owed. It can be put on a day again by hand or by planning again."),
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        version = form.cleaned_data["version"]
        return take_out_visit(ask.actor, visit.pk, at=ask.at, expected_version=version,
                              request=ask.request)  # fmt: skip

    day = visit.day
    return form_page(request, form, sheet, verb, lambda row: plan_address(row.yard, day))


@needs("edit_plan")
@about_vehicle
def plan_vehicle(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    """All that a vehicle owes soon and is on no day, put on one day by hand."""
    yard, today = vehicle.yard, timezone.localdate()
    owed = [one for one in unplanned(yard, today, Names.now()) if one.vehicle.pk == vehicle.pk]
    hands = hands_of(yard, plan_of(yard))
    form = PlaceForm(sent(request), yard, hands, initial={"day": today, "bay": ""})
    sheet = Sheet(
        title=_("Put %(unit)s on the plan") % {"unit": vehicle.unit_number},
        button=_("Put it there"), back=reverse("plan_yard", args=[yard.slug]),
        back_text=_("Plan"), said=_("On the plan."), template="plan/move.html",
        more={"owed": owed[0] if owed else None, "vehicle": vehicle},
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        return plan_visit(ask.actor, vehicle.pk, form.place(), at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, visit_address)
