"""What is asked of a vehicle before it is stored, one at a time or a file of them."""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any, Self

from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import override

from fleet.calc.units import UnitError, parse_length
from fleet.calc.vin import validate_vin
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.meter_rules import read_figure
from fleet.operations.words import unit_error
from fleet.reads.vin_words import vin_note, vin_words
from fleet.records.models import Design, Duty, MeterUnit, Vehicle, Yard

# What may be changed on a vehicle once it is in; its design and meter unit stay.
CHANGEABLE = frozenset({
    "vin", "yard_id", "duty", "steering_side", "gross_weight_kg", "corrosion", "tyre_size",
    "wheel_diameter_m", "wheel_offset_m", "steering_wheel_m", "power_steering", "lift_m",
    "drop_arm", "lowered_bracket", "adjustable_bar", "drag_link_degrees", "track_bar_degrees",
    "drag_link_typed", "track_bar_typed", "owner_name", "model_year", "in_fleet_since",
})  # fmt: skip
# Links whose length is typed for the geometry at ride height, and how long they are.
LINKS = ("drag_link", "track_bar")
LINK_LENGTHS = (0.3, 2.0)
# A unit number stands in addresses of pages: no slash, nothing unprintable, not dots alone.
_NOT_IN_ADDRESS = re.compile(r"[/\\\x00-\x1f\x7f-\x9f]|\A\.+\Z")


@dataclass(frozen=True)
class NewVehicle:
    unit_number: str
    design_id: int
    yard_id: int
    duty: str
    meter_unit: str
    meter: str = ""
    # The rest of CHANGEABLE, by column.
    facts: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class OnFile:
    """What new vehicles are judged against: numbers (small letters) and VINs in use with their
    vehicles, the actor's yards and the designs on file."""

    numbers: Mapping[str, int]
    vins: Mapping[str, int]
    yards: Collection[int]
    designs: Collection[int]

    @classmethod
    def of(cls, actor: Actor, only: NewVehicle | None = None) -> Self:
        """Three queries: around one new vehicle, or of the whole fleet."""
        rows = Vehicle.objects.all()
        if only is not None:
            vin = _tidy(only.facts.get("vin", ""))
            # No text on file holds a NUL, and PostgreSQL refuses to look for one.
            same = Q(unit_number__iexact=only.unit_number.strip().replace("\0", ""))
            rows = rows.filter(same | Q(vin=vin) if vin else same)
        found = list(rows.values_list("unit_number", "vin", "pk"))
        return cls(
            {number.casefold(): pk for number, _vin, pk in found},
            {vin: pk for _number, vin, pk in found if vin},
            set(Yard.visible_to(actor.person).values_list("pk", flat=True)),
            set(Design.objects.values_list("pk", flat=True)),
        )


def build(new: NewVehicle, on_file: OnFile) -> Vehicle:
    """The vehicle, not saved; raises Refused with every column that can't stand."""
    problems = _problems(new, on_file)
    facts = {name: value for name, value in new.facts.items() if name in CHANGEABLE}
    vehicle = Vehicle(
        unit_number=new.unit_number.strip(), design_id=new.design_id, yard_id=new.yard_id,
        duty=new.duty, meter_unit=new.meter_unit, **{**facts, **derived(facts)},
    )  # fmt: skip
    told = {problem.field for problem in problems}
    for found in (_column_problems(vehicle), _meter_problems(vehicle, new)):
        problems += [problem for problem in found if problem.field not in told]
    if problems:
        raise Refused(tuple(problems))
    return vehicle


def _problems(new: NewVehicle, on_file: OnFile) -> list[Problem]:
    """Every column that can't stand, each with what to type instead."""
    found = []
    number = new.unit_number.strip()
    if not number:
        found.append(wrong("unit_number", _("Give the unit number.")))
    elif _NOT_IN_ADDRESS.search(number):
        found.append(wrong("unit_number", _("No slash in a unit number: use a dash, like 12-3.")))
    elif number.casefold() in on_file.numbers:
        found.append(wrong("unit_number", _("Another vehicle has this unit number.")))
    if new.yard_id not in on_file.yards:
        found.append(wrong("yard", _("Choose one of your yards.")))
    if new.design_id not in on_file.designs:
        found.append(wrong("design", _("Choose a design that is on file.")))
    for name, choices in (("duty", Duty.values), ("meter_unit", MeterUnit.values)):
        if getattr(new, name) not in choices:
            message = _("Choose one of: %(choices)s.") % {"choices": ", ".join(choices)}
            found.append(wrong(name, message))
    found += vin_problems(new.facts.get("vin", ""), on_file.vins, None)
    found += link_problems(new.facts)
    unknown = set(new.facts) - CHANGEABLE
    found += [wrong(name, _("A vehicle has no such column.")) for name in sorted(unknown)]
    return found


def _column_problems(vehicle: Vehicle) -> list[Problem]:
    try:
        clean(vehicle)
    except Refused as refused:
        return list(refused.problems)
    return []


def _meter_problems(vehicle: Vehicle, new: NewVehicle) -> list[Problem]:
    if not new.meter.strip() or new.meter_unit not in MeterUnit.values:
        return []
    try:
        read_figure(vehicle, new.meter)
    except Refused as refused:
        return list(refused.problems)
    return []


def clean(vehicle: Vehicle) -> None:
    """Each column by its own rules; an empty one where the column may be empty.

    Yard and design are judged by scope elsewhere, not looked up again here.
    """
    rows = Vehicle._meta.fields
    left_out = ["yard", "design"]
    left_out += [f.name for f in rows if f.null and getattr(vehicle, f.attname) is None]
    try:
        vehicle.clean_fields(exclude=left_out)
    except ValidationError as error:
        found = [wrong(n, "; ".join(texts)) for n, texts in error.message_dict.items()]
        raise Refused(tuple(found)) from error


def wrong(name: str, message: str) -> Problem:
    return Problem(f"{name}_wrong", message, field=name)


def vins_like(vin: str) -> dict[str, int]:
    """The vehicle that has this VIN, if any; one query."""
    tidy = _tidy(vin)
    return dict(Vehicle.objects.filter(vin=tidy).values_list("vin", "pk")) if tidy else {}


def vin_problems(vin: str, vins: Mapping[str, int], vehicle_id: int | None) -> list[Problem]:
    """A VIN that can't be one is refused; a check digit that does not fit is noted."""
    if not vin.strip():
        return []
    check = validate_vin(vin)
    hard = [problem for problem in check.problems if problem.code != "check_digit"]
    found = [wrong("vin", vin_words(problem)) for problem in hard]
    if vins.get(check.vin, vehicle_id) != vehicle_id:
        found.append(wrong("vin", _("Another vehicle has this VIN.")))
    return found


def vin_columns(vin: str) -> dict[str, str]:
    """A VIN as it is stored, and the note on it."""
    if not vin.strip():
        return {"vin": "", "vin_note": ""}
    check = validate_vin(vin)
    # On file in English; a page says it in the language of whoever reads it.
    with override("en"):
        return {"vin": check.vin, "vin_note": vin_note(check.vin)[:160]}


def derived(facts: Mapping[str, Any]) -> dict[str, Any]:
    """Columns that follow from what was typed: the VIN as stored with its note, and lengths."""
    found: dict[str, Any] = vin_columns(facts["vin"]) if "vin" in facts else {}
    for link in LINKS:
        if f"{link}_typed" in facts:
            typed = str(facts[f"{link}_typed"] or "").strip()
            found |= {f"{link}_typed": typed, f"{link}_m": _link_length(typed)}
    return found


def link_problems(facts: Mapping[str, Any]) -> list[Problem]:
    """Lengths of drag link and track bar that can't be read, or are of no such link."""
    found = []
    for link in LINKS:
        name = f"{link}_typed"
        try:
            length = _link_length(str(facts.get(name) or "").strip())
        except UnitError as error:
            found.append(unit_error(error, name))
            continue
        if length is not None and not LINK_LENGTHS[0] <= length <= LINK_LENGTHS[1]:
            found.append(wrong(name, _("No such link is so long: type it like 36 in or 915 mm.")))
    return found


def _link_length(typed: str) -> float | None:
    return float(parse_length(typed, "in").si) if typed else None


def _tidy(vin: str) -> str:
    return validate_vin(vin).vin.replace("\0", "") if vin.strip() else ""
