"""Vehicles: taken into the fleet, changed, laid up, brought back, let go."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from fleet.operations import vehicles as verbs
from fleet.operations.vehicle_rules import CHANGEABLE
from fleet.records.models import Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import needs, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent
from fleet.web.meter import ReasonForm
from fleet.web.vehicle_fields import FactsForm, NewVehicleForm


@needs("edit_vehicles")
def vehicle_new(request: HttpRequest) -> HttpResponse:
    form = NewVehicleForm(sent(request), yards(request))
    sheet = Sheet(
        title=_("New vehicle"),
        button=_("Take it into the fleet"),
        back=reverse("vehicles"),
        back_text=_("Vehicles"),
        said=_("In the fleet, with its joints and its first rechecks."),
        template="vehicle/form.html",
        note=_("Unit number, design, yard and duty are needed; the rest can be typed later."),
    )

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        own = ("unit_number", "design_id", "yard_id", "duty", "meter_unit", "meter")
        facts = {name: said[name] for name in CHANGEABLE - set(own)}
        new = verbs.NewVehicle(**{name: said[name] for name in own}, facts=facts)
        return verbs.add_vehicle(ask.actor, new, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)


def _page(vehicle: Vehicle) -> str:
    return reverse("vehicle", args=[vehicle.unit_number])


def _sheet(vehicle: Vehicle, title: str, button: str, **more: Any) -> Sheet:
    return Sheet(
        title=title % {"unit": vehicle.unit_number},
        button=button,
        back=_page(vehicle),
        back_text=vehicle.unit_number,
        **more,
    )


@needs("edit_vehicles")
@about_vehicle
def vehicle_change(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    now = {name: getattr(vehicle, name) for name in CHANGEABLE}
    form = FactsForm(sent(request), yards(request), initial=now, version=vehicle.version)
    title, shape = _("Change %(unit)s"), "vehicle/form.html"
    sheet = _sheet(vehicle, title, _("Keep the changes"), said=_("Kept."), template=shape)

    def verb(ask: Ask) -> Any:
        return verbs.change_vehicle(
            ask.actor,
            vehicle.pk,
            form.changes(),
            at=ask.at,
            expected_version=form.cleaned_data["version"],
            request=ask.request,
        )

    return form_page(request, form, sheet, verb, _page)


@needs("assign_work")
@about_vehicle
def vehicle_lay_up(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    """Parked for parts or season: retorque days stand still, legal dates do not."""
    form = ReasonForm(sent(request))
    note = _(
        "Parked for parts or for the season. Days of a retorque stand still, legal dates run on, "
        "and all that is due is done before it goes out again."
    )
    sheet = _sheet(vehicle, _("Lay up %(unit)s"), _("Lay it up"), said=_("Laid up."), note=note)

    def verb(ask: Ask) -> Any:
        reason = form.cleaned_data["reason"]
        return verbs.lay_up(ask.actor, vehicle.pk, reason, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)


@needs("assign_work")
@about_vehicle
def vehicle_bring_back(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    form = ActForm(sent(request))
    said = _("Back in service. All that is due is done before it goes out.")
    note = _("It is in service from now on. All that is due is done before it goes out.")
    sheet = _sheet(vehicle, _("Bring back %(unit)s"), _("Bring it back"), said=said, note=note)

    def verb(ask: Ask) -> Any:
        return verbs.bring_back(ask.actor, vehicle.pk, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)


@needs("edit_vehicles")
@about_vehicle
def vehicle_let_go(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    form = ReasonForm(sent(request))
    said = _("It has left the fleet. Its history stays.")
    note = _(
        "Sold, scrapped or given back. It leaves the lists of work; "
        "its history stays and can be printed."
    )
    sheet = _sheet(
        vehicle, _("Let %(unit)s leave the fleet"), _("Let it go"), said=said, grave=True, note=note
    )

    def verb(ask: Ask) -> Any:
        reason = form.cleaned_data["reason"]
        return verbs.let_go(ask.actor, vehicle.pk, reason, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)
