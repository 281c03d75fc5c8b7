"""Vehicles: taken into the fleet, changed, laid up, brought back, let go."""

from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations import vehicles as verbs
from fleet.operations.vehicle_rules import CHANGEABLE
from fleet.reads.designs import designs
from fleet.records.models import Duty, MeterUnit, Vehicle, Yard
from fleet.web.about import about_vehicle
from fleet.web.doors import needs, yards
from fleet.web.forms import ActForm, Ask, FigureInput, Sheet, form_page, sent
from fleet.web.measures import PLAIN, LengthField, WeightField
from fleet.web.meter import ReasonForm
from fleet.web.numbers import NumberField

LENGTH = gettext_lazy("Like 17 in or 430 mm.")
ANGLE = gettext_lazy("By an angle finder on level ground; frame end higher is above zero.")


def _tick(label: Any) -> forms.BooleanField:
    return forms.BooleanField(label=label, required=False)


def _link(label: Any) -> forms.CharField:
    """A length that is kept as typed: the operation reads it."""
    hint = gettext_lazy("For the geometry at ride height, like 36 in or 915 mm.")
    return forms.CharField(
        label=label, help_text=hint, required=False, max_length=40, widget=FigureInput("length")
    )


def _degrees(label: Any, hint: Any) -> NumberField:
    return NumberField(
        label=label,
        help_text=hint,
        required=False,
        min_value=-45,
        max_value=45,
        widget=forms.TextInput(attrs={"inputmode": "decimal", **PLAIN}),
    )


class FactsForm(ActForm):
    """What may be changed on a vehicle once it is in."""

    names: ClassVar[dict[str, str]] = {"yard": "yard_id", "design": "design_id"}

    vin = forms.CharField(
        label=gettext_lazy("VIN"), required=False, max_length=30, widget=FigureInput("vin")
    )
    yard_id = forms.TypedChoiceField(label=gettext_lazy("Yard"), coerce=int)
    duty = forms.ChoiceField(label=gettext_lazy("Duty"), choices=Duty.choices)
    model_year = forms.IntegerField(
        label=gettext_lazy("Model year"),
        required=False,
        min_value=1950,
        max_value=2100,
        widget=forms.TextInput(attrs={"inputmode": "numeric", **PLAIN}),
    )
    in_fleet_since = forms.DateField(
        label=gettext_lazy("In the fleet since"),
        required=False,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
    )
    owner_name = forms.CharField(
        label=gettext_lazy("Owner, if not the fleet"), required=False, max_length=120
    )
    steering_side = forms.ChoiceField(
        label=gettext_lazy("Steering"),
        choices=[
            ("left", gettext_lazy("left-hand drive")),
            ("right", gettext_lazy("right-hand drive")),
        ],
    )
    corrosion = forms.ChoiceField(
        label=gettext_lazy("Corrosion"), choices=Vehicle.Corrosion.choices
    )
    gross_weight_kg = WeightField(
        label=gettext_lazy("Gross vehicle weight rating"),
        help_text=gettext_lazy("Like 9900 lb or 4500 kg. The legal lines depend on it."),
    )
    tyre_size = forms.CharField(label=gettext_lazy("Tire size"), required=False, max_length=30)
    wheel_diameter_m = LengthField(label=gettext_lazy("Rim diameter"), help_text=LENGTH)
    wheel_offset_m = LengthField(label=gettext_lazy("Wheel offset"), signed=True)
    steering_wheel_m = LengthField(
        label=gettext_lazy("Steering wheel diameter"),
        help_text=gettext_lazy("The line for lash is by this diameter."),
    )
    power_steering = _tick(gettext_lazy("Power steering"))
    lift_m = LengthField(
        label=gettext_lazy("Lift"), help_text=gettext_lazy("0 in where it has none.")
    )
    drop_arm = _tick(gettext_lazy("Drop Pitman arm"))
    lowered_bracket = _tick(gettext_lazy("Lowered track-bar bracket"))
    adjustable_bar = _tick(gettext_lazy("Adjustable track bar"))
    drag_link_degrees = _degrees(gettext_lazy("Drag link angle at ride height, degrees"), ANGLE)
    drag_link_typed = _link(gettext_lazy("Drag link, center to center of its joints"))
    track_bar_degrees = _degrees(gettext_lazy("Track bar angle at ride height, degrees"), ANGLE)
    track_bar_typed = _link(gettext_lazy("Track bar, center to center of its joints"))

    def __init__(self, data: Any, mine: list[Yard], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.fields["yard_id"].choices = [(y.pk, y.name) for y in mine]  # type: ignore[attr-defined]

    def clean_lift_m(self) -> float:
        return float(self.cleaned_data["lift_m"] or 0)

    def changes(self) -> dict[str, Any]:
        """Only what is otherwise than before, so that the trail shows what was changed."""
        columns = CHANGEABLE & set(self.changed_data)
        return {name: self.cleaned_data[name] for name in columns}


class NewVehicleForm(FactsForm):
    unit_number = forms.CharField(
        label=gettext_lazy("Unit number"),
        max_length=20,
        widget=forms.TextInput(attrs=PLAIN),
        error_messages={"required": gettext_lazy("Give the unit number.")},
    )
    design_id = forms.TypedChoiceField(
        label=gettext_lazy("Design"),
        coerce=int,
        help_text=gettext_lazy("Its joints and its torque figures come from it."),
    )
    meter_unit = forms.ChoiceField(label=gettext_lazy("Meter counts"), choices=MeterUnit.choices)
    meter = forms.CharField(
        label=gettext_lazy("The meter reads"),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", **PLAIN}),
    )
    field_order = ("unit_number", "design_id", "yard_id", "duty", "meter_unit", "meter")

    def __init__(self, data: Any, mine: list[Yard]) -> None:
        super().__init__(data, mine, initial={"power_steering": True})
        self.fields["design_id"].choices = designs()  # type: ignore[attr-defined]


@needs("edit_vehicles")
def vehicle_new(request: HttpRequest) -> HttpResponse:
    form = NewVehicleForm(sent(request), yards(request))
    sheet = Sheet(
        title=_("New vehicle"),
        button=_("Take it into the fleet"),
        back=reverse("vehicles"),
        back_text=_("Vehicles"),
        said=_("In the fleet, with its joints and its first rechecks."),
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
    sheet = _sheet(vehicle, _("Change %(unit)s"), _("Keep the changes"), said=_("Kept."))

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
    sheet = _sheet(vehicle, _("Lay up %(unit)s"), _("Lay it up"), said=_("Laid up."))

    def verb(ask: Ask) -> Any:
        reason = form.cleaned_data["reason"]
        return verbs.lay_up(ask.actor, vehicle.pk, reason, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)


@needs("assign_work")
@about_vehicle
def vehicle_bring_back(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    form = ActForm(sent(request))
    said = _("Back in service. All that is due is done before it goes out.")
    sheet = _sheet(vehicle, _("Bring back %(unit)s"), _("Bring it back"), said=said)

    def verb(ask: Ask) -> Any:
        return verbs.bring_back(ask.actor, vehicle.pk, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)


@needs("edit_vehicles")
@about_vehicle
def vehicle_let_go(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    form = ReasonForm(sent(request))
    said = _("It has left the fleet. Its history stays.")
    sheet = _sheet(
        vehicle, _("Let %(unit)s leave the fleet"), _("Let it go"), said=said, grave=True
    )

    def verb(ask: Ask) -> Any:
        reason = form.cleaned_data["reason"]
        return verbs.let_go(ask.actor, vehicle.pk, reason, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)
