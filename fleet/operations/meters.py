"""Meter readings: taken, refused with the reason, accepted by a manager, withdrawn."""

from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.calc.meter_series import MeterPoint
from fleet.operations import use, used
from fleet.operations.actor import Actor
from fleet.operations.errors import Refused, refuse
from fleet.operations.meter_rules import cannot_be, place_one, read_figure, said_by
from fleet.operations.once import Request
from fleet.operations.words import refuse_too_long
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import MeterReading, Vehicle


@dataclass(frozen=True, slots=True)
class Reading:
    """What was typed. `unit` empty means the vehicle's own."""

    vehicle_id: int
    typed: str
    unit: str = ""
    occurred_at: datetime | None = None
    new_meter: bool = False
    # A manager's reason for taking what the checks refuse.
    reason: str = ""
    uid: UUID | None = None
    # With a new meter: where the one that came off stood, if somebody looked.
    old_meter: str = ""


def record_meter(
    actor: Actor, reading: Reading, *, at: datetime, request: Request | None = None
) -> Done[MeterReading]:
    """Store one reading. Refuses one that runs backwards or too fast, saying why."""
    actor.need("record_meter")

    def apply(work: Work) -> MeterReading:
        return _apply(work, work.lock(reading.vehicle_id), reading)

    return run("record_meter", actor, at, apply, request)


def withdraw_reading(
    actor: Actor, reading_id: int, reason: str, *, at: datetime, request: Request | None = None
) -> Done[MeterReading]:
    """A wrong reading stays on file and counts no more; the entry that says so names it."""
    actor.need("accept_reading")

    def apply(work: Work) -> MeterReading:
        wrong = find(MeterReading, actor, reading_id, _("reading"))
        vehicle = work.lock(wrong.vehicle_id)
        if not reason.strip():
            raise refuse("reason_missing", _("Say why the reading is wrong."), field="reason")
        _may_withdraw(wrong)
        refuse_too_long(MeterReading, reason=reason)
        row = MeterReading.objects.create(
            **work.fact(None), vehicle=vehicle, kind=MeterReading.Kind.WITHDRAWS,
            typed=wrong.typed, value=wrong.value, unit=wrong.unit, use_si=wrong.use_si,
            withdraws=wrong, reason=reason,
        )  # fmt: skip
        use.refresh(vehicle, work.at)
        work.trail("withdraw_reading", row, vehicle=vehicle, reason=reason)
        return row

    return run("withdraw_reading", actor, at, apply, request)


def _may_withdraw(wrong: MeterReading) -> None:
    if wrong.kind == MeterReading.Kind.WITHDRAWS:
        raise refuse("not_a_reading", _("This entry withdraws a reading; it is none itself."))
    if MeterReading.objects.filter(withdraws=wrong).exists():
        raise refuse("withdrawn", _("This reading was withdrawn before."))
    after = use.counting(wrong.vehicle).filter(occurred_at__gt=wrong.occurred_at)
    if wrong.kind == MeterReading.Kind.NEW_METER and after.exists():
        message = _("Later readings count on from this new meter: withdraw those first.")
        raise refuse("counted_from", message)


def _apply(work: Work, vehicle: Vehicle, reading: Reading) -> MeterReading:
    """Store one reading inside an open transaction, the vehicle being locked."""
    if reading.old_meter.strip():
        _read_off(work, vehicle, reading)
    refuse_too_long(MeterReading, reason=reading.reason)
    figure = read_figure(vehicle, reading.typed, reading.unit)
    fact = work.fact(reading.occurred_at, reading.uid)
    point = MeterPoint(
        fact["occurred_at"], figure.si, new_meter=reading.new_meter,
        accepted=accepts(work.actor, reading),
    )  # fmt: skip
    placed = place_one(vehicle, point)
    if placed.problem:
        raise cannot_be(placed, said_by(placed.against.key) if placed.against else None, vehicle)
    row = MeterReading.objects.create(
        **fact, vehicle=vehicle, typed=reading.typed, value=figure.value, unit=figure.unit,
        use_si=placed.use, reason=reading.reason, kind=kind_of(reading),
    )  # fmt: skip
    use.refresh(vehicle, work.at)
    used.notice_use_while_held(work, vehicle, row)
    work.trail("record_meter", row, vehicle=vehicle, after={"use_si": placed.use},
               reason=reading.reason)  # fmt: skip
    return row


def _read_off(work: Work, vehicle: Vehicle, reading: Reading) -> None:
    """The old meter's last figure, taken just before the new one's first: no use is lost."""
    if not reading.new_meter:
        message = _("Only for a meter that was replaced. Say that it was, or leave this empty.")
        raise refuse("not_replaced", message, field="old_meter")
    last = replace(reading, typed=reading.old_meter, old_meter="", new_meter=False, uid=None)
    try:
        _apply(work, vehicle, last)
    except Refused as refused:
        said = (replace(one, field="old_meter") if one.field == "meter" else one
                for one in refused.problems)  # fmt: skip
        raise Refused(tuple(said)) from refused


def accepts(actor: Actor, reading: Reading) -> bool:
    """Whether a manager takes, with a reason, what the checks would refuse."""
    return bool(reading.reason.strip()) and actor.person.may("accept_reading")


def kind_of(reading: Reading) -> str:
    kinds = MeterReading.Kind
    return kinds.NEW_METER if reading.new_meter else kinds.READ
