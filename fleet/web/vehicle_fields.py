"""What is asked of a vehicle that is taken into the fleet or changed, in its four groups."""

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy

from fleet.operations.vehicle_rules import CHANGEABLE
from fleet.reads.designs import designs
from fleet.records.models import Duty, MeterUnit, Vehicle, Yard
from fleet.web.forms import ActForm, FigureInput, offer
from fleet.web.measures import PLAIN, SHORT, LengthField, WeightField
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


# Who looks for a field finds it under what it belongs to; a form has those that it asks for.
GROUPS = (
    (
        gettext_lazy("The vehicle"),
        (
            "unit_number", "design_id", "yard_id", "duty", "meter_unit", "meter", "vin",
            "model_year", "in_fleet_since", "owner_name", "corrosion", "gross_weight_kg",
        ),
    ),
    (
        gettext_lazy("Steering and wheels"),
        (
            "steering_side", "power_steering", "steering_wheel_m", "tyre_size", "wheel_diameter_m",
            "wheel_offset_m",
        ),
    ),
    (
        gettext_lazy("Altered from the maker's"),
        ("lift_m", "drop_arm", "lowered_bracket", "adjustable_bar"),
    ),
    (
        gettext_lazy("Linkage at ride height"),
        ("drag_link_degrees", "drag_link_typed", "track_bar_degrees", "track_bar_typed"),
    ),
)  # fmt: skip


class FactsForm(ActForm):
    """What may be changed on a vehicle once it is in."""

    names: ClassVar[dict[str, str]] = {"yard": "yard_id", "design": "design_id"}

    vin = forms.CharField(
        label=gettext_lazy("VIN"),
        help_text=gettext_lazy("17 letters and figures, as on the plate."),
        required=False,
        max_length=30,
        widget=FigureInput("vin"),
    )
    yard_id = forms.TypedChoiceField(label=gettext_lazy("Yard"), coerce=int)
    duty = forms.ChoiceField(label=gettext_lazy("Duty"), choices=Duty.choices)
    model_year = forms.IntegerField(
        label=gettext_lazy("Model year"),
        required=False,
        min_value=1950,
        max_value=2100,
        widget=forms.TextInput(attrs={"inputmode": "numeric", **PLAIN}),
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"), gettext_lazy("Type the year, like 2016.")
        ),
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
        label=gettext_lazy("Corrosion"),
        help_text=gettext_lazy("How wet and how salted the roads are that it works on."),
        choices=Vehicle.Corrosion.choices,
    )
    gross_weight_kg = WeightField(
        label=gettext_lazy("Gross vehicle weight rating"),
        help_text=gettext_lazy("Like 9900 lb or 4500 kg. The legal lines depend on it."),
    )
    tyre_size = forms.CharField(
        label=gettext_lazy("Tire size"),
        help_text=gettext_lazy("As on the sidewall, like 265/70R17."),
        required=False,
        max_length=30,
        widget=forms.TextInput(attrs=SHORT),
    )
    wheel_diameter_m = LengthField(label=gettext_lazy("Rim diameter"), help_text=LENGTH)
    wheel_offset_m = LengthField(
        label=gettext_lazy("Wheel offset"),
        help_text=gettext_lazy("Like 20 mm; a mounting face inboard of the middle is below zero."),
        signed=True,
    )
    steering_wheel_m = LengthField(
        label=gettext_lazy("Steering wheel diameter"),
        help_text=gettext_lazy("Like 16 in. The line for lash is by this diameter."),
    )
    power_steering = _tick(gettext_lazy("Power steering"))
    lift_m = LengthField(
        label=gettext_lazy("Lift"), help_text=gettext_lazy("Like 2 1/2 in; 0 in where it has none.")
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
        offer(self, "yard_id", [(y.pk, y.name) for y in mine])

    @property
    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """Its fields under what they belong to."""
        return [
            (title, [self[name] for name in names if name in self.fields])
            for title, names in GROUPS
        ]

    def clean_lift_m(self) -> float:
        return float(self.cleaned_data["lift_m"] or 0)

    def changes(self) -> dict[str, Any]:
        """Only what is otherwise than before, so that the trail shows what was changed."""
        columns = CHANGEABLE & set(self.changed_data)
        return {name: self.cleaned_data[name] for name in columns}


class NewVehicleForm(FactsForm):
    unit_number = forms.CharField(
        label=gettext_lazy("Unit number"),
        help_text=gettext_lazy("As it stands on the door, like A-101."),
        max_length=20,
        widget=forms.TextInput(attrs=SHORT),
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
        help_text=gettext_lazy("Like 48210. Leave empty if nobody has looked."),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", **PLAIN}),
    )
    field_order = ("unit_number", "design_id", "yard_id", "duty", "meter_unit", "meter")

    def __init__(self, data: Any, mine: list[Yard]) -> None:
        super().__init__(data, mine, initial={"power_steering": True})
        offer(self, "design_id", designs())
