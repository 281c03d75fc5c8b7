"""What is asked of a meter reading before it is stored, one at a time or in bulk."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from fleet.calc import units
from fleet.calc.meter_plain import plain_meter
from fleet.calc.meter_series import MOST_A_DAY_SI, MOST_SHOWN, MeterPoint, Placed, place_readings
from fleet.operations import use
from fleet.operations.errors import Refused, refuse
from fleet.operations.words import spoken_date, unit_error
from fleet.records.models import MeterReading, MeterUnit, Vehicle

MOST_TYPED = 40
UNITS = frozenset(MeterUnit.values)


@dataclass(frozen=True, slots=True)
class Figure:
    """A meter's figure: as a decimal in the unit it was typed in, and in metres or seconds."""

    value: Decimal
    unit: str
    si: int


def read_figure(vehicle: Vehicle, typed: str, unit: str = "") -> Figure:
    """Read what was typed; raises Refused with one problem, at "meter"."""
    own = unit or vehicle.meter_unit
    if own not in UNITS or (own == MeterUnit.HOURS) != vehicle.counts_hours:
        message = _("This vehicle's meter counts %(unit)s.") % {
            "unit": vehicle.get_meter_unit_display()
        }
        raise refuse("meter_unit", message, field="meter")
    plain = plain_meter(typed, own)
    if plain is not None:
        return Figure(plain[0], own, plain[1])
    try:
        read = units.parse_meter(typed, own)
    except units.UnitError as error:
        raise Refused((unit_error(error, "meter"),)) from error
    if len(typed) > MOST_TYPED:
        message = _("Type the figure alone, in %(most)s characters at most.")
        raise refuse("too_long", message % {"most": MOST_TYPED}, field="meter")
    if read.magnitude > MOST_SHOWN:
        message = _("No meter shows so much. Type what stands on it, like 48,210.")
        raise refuse("meter_too_large", message, field="meter")
    value = round(read.magnitude, 1)
    return Figure(_decimal(value), read.unit, units.use_si(read.magnitude, read.unit))


def _decimal(tenths: Fraction) -> Decimal:
    return Decimal(tenths.numerator) / Decimal(tenths.denominator)


POINT = ("pk", "occurred_at", "value", "unit", "use_si", "kind")


def point_of(row: tuple[int, datetime, Decimal, str, int, str]) -> MeterPoint:
    """A reading on file, by its POINT columns, as the rule sees it."""
    key, when, value, unit, use_si, kind = row
    new_meter = kind == MeterReading.Kind.NEW_METER
    # What the meter showed is asked of the first reading of a new meter only.
    si = units.use_si(value, unit) if new_meter else use_si
    return MeterPoint(when, si, use_si, new_meter, key=key)


def place_one(vehicle: Vehicle, point: MeterPoint) -> Placed:
    """Place one new reading among its neighbours on file. At most three queries."""
    rows = use.counting(vehicle)
    before = rows.filter(occurred_at__lte=point.when).order_by("-occurred_at", "-id")
    after = rows.filter(occurred_at__gt=point.when).order_by("occurred_at", "id")
    meter = before.filter(kind=MeterReading.Kind.NEW_METER)
    # In this order, since of two at one moment the later id counts as the later.
    near = [*_first(meter), *_first(before), *_first(after)]
    return place_readings(near, [point], MOST_A_DAY_SI[vehicle.meter_unit])[0]


def _first(rows: QuerySet[MeterReading]) -> Iterable[MeterPoint]:
    return map(point_of, rows.values_list(*POINT)[:1])


@dataclass(frozen=True, slots=True)
class Said:
    """The reading that another can't be true with, as it was typed."""

    typed: str
    unit: str
    when: datetime


def cannot_be(placed: Placed, against: Said | None, vehicle: Vehicle) -> Refused:
    """The problem of a placed reading in words."""
    if against is None:
        message = _("This is less than the meter began at.")
        return refuse("meter_backwards", message, field="meter")
    words = {
        "typed": against.typed,
        "unit": MeterUnit(against.unit).label,
        "day": spoken_date(against.when, vehicle),
    }
    if placed.problem == "too_fast":
        message = _(
            "That is more than a vehicle runs in the time since %(day)s (%(typed)s %(unit)s). "
            "Read the meter again; a manager may accept it with a reason."
        )
        return refuse("meter_too_fast", message % words, field="meter")
    message = _(
        "The meter read %(typed)s %(unit)s on %(day)s, so this can't be right. "
        "Read it again; if the meter was replaced, say so."
    )
    return refuse("meter_backwards", message % words, field="meter")


def said_by(reading_id: int) -> Said:
    """What a reading on file says."""
    row = MeterReading.objects.values_list("typed", "unit", "occurred_at").get(pk=reading_id)
    return Said(*row)
