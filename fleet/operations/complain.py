"""Complaints: what the driver felt; the worst kinds hold the vehicle at once."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.calc import units
from fleet.operations import holds, use
from fleet.operations.actor import Actor
from fleet.operations.errors import Refused, refuse
from fleet.operations.once import Request
from fleet.operations.words import refuse_too_long, unit_error
from fleet.operations.work import Done, Work, find, run
from fleet.reads.rules import RuleNow, rule
from fleet.records.base import in_every_language
from fleet.records.models import Complaint, ComplaintAnswer, ComplaintKind, Hold, Vehicle

SPEED_UNITS = {"mph": 0.44704, "mi/h": 0.44704, "km/h": 1 / 3.6, "kph": 1 / 3.6, "kmh": 1 / 3.6}
FASTEST_M_S = 90.0


@dataclass(frozen=True)
class Report:
    """What was felt, at what speed, after what; None where nobody said."""

    vehicle_id: int
    kind: str
    text: str = ""
    speed_typed: str = ""
    after_bump: bool | None = None
    under_braking: bool | None = None
    stopped_only_when_slowed: bool | None = None
    sudden: bool | None = None
    steering_changed: bool | None = None
    tyre_pressures: str = ""
    load: str = ""
    occurred_at: datetime | None = None
    uid: UUID | None = None


def report_complaint(
    actor: Actor, report: Report, *, at: datetime, request: Request | None = None
) -> Done[Complaint]:
    """Store a complaint; hold the vehicle where its kind says so."""
    actor.need("report_complaint")
    return run("report_complaint", actor, at, lambda work: _apply(work, report), request)


def _apply(work: Work, report: Report) -> Complaint:
    if report.kind not in ComplaintKind.values:
        raise refuse("kind_unknown", _("Choose what was felt from the list."), field="kind")
    vehicle = work.lock(report.vehicle_id)
    holds.refuse_out_of_fleet(vehicle)
    now = rule("complaint", report.kind)
    refuse_too_long(
        Complaint, speed_typed=report.speed_typed, tyre_pressures=report.tyre_pressures,
        load=report.load,
    )  # fmt: skip
    held = holds_at_once(now, report)
    row = Complaint.objects.create(
        **work.fact(report.occurred_at, report.uid), vehicle=vehicle, kind=report.kind,
        text=report.text.strip(), speed_typed=report.speed_typed.strip(),
        speed_m_s=speed_m_s(report.speed_typed, vehicle), after_bump=report.after_bump,
        under_braking=report.under_braking, sudden=report.sudden,
        stopped_only_when_slowed=report.stopped_only_when_slowed,
        steering_changed=report.steering_changed,
        tyre_pressures=report.tyre_pressures.strip(), load=report.load.strip(),
        use_si=use.use_now(vehicle), rule_version=now.version, held=held,
    )  # fmt: skip
    work.trail("report_complaint", row, vehicle=vehicle, after={"kind": row.kind, "held": held})
    if held:
        said = in_every_language(lambda: now.name)
        holds.place(work, vehicle, Hold.Reason.COMPLAINT, said, complaint=row)
    return row


def holds_at_once(now: RuleNow, report: Report) -> bool:
    """Oscillation and binding always; off center if it came suddenly; a hit if it changed.

    Where the driver was not asked, the careful answer stands.
    """
    hold = now.data["hold"]
    if hold == "if_sudden":
        return report.sudden is not False
    if hold == "if_changed":
        return report.steering_changed is not False
    return bool(hold)


def answer_complaint(
    actor: Actor, complaint_id: int, text: str, *, at: datetime, request: Request | None = None
) -> Done[ComplaintAnswer]:
    """Tell the driver what came of it."""
    actor.need("answer_complaint")
    if not text.strip():
        raise refuse("text_missing", _("Write what the driver should know."), field="text")

    def apply(work: Work) -> ComplaintAnswer:
        complaint = find(Complaint, actor, complaint_id, _("complaint"))
        vehicle = work.lock(complaint.vehicle_id)
        row = ComplaintAnswer.objects.create(
            **work.fact(None), complaint=complaint, text=text.strip()
        )
        work.trail("answer_complaint", row, vehicle=vehicle)
        return row

    return run("answer_complaint", actor, at, apply, request)


def speed_m_s(typed: str, vehicle: Vehicle, field: str = "speed_typed") -> float | None:
    """Speed in metres a second; a bare number is in the units of the yard."""
    if not typed.strip():
        return None
    text = typed.strip().lower()
    cut = next((place for place, letter in enumerate(text) if letter.isalpha()), len(text))
    number, unit = text[:cut].strip(), text[cut:]
    if unit and unit not in SPEED_UNITS:
        raise refuse("speed_unit", _("Type a speed like 45 mph or 70 km/h."), field=field)
    own = "km/h" if vehicle.yard.units == "metric" else "mph"
    try:
        read = units.parse_meter(number, "km")
    except units.UnitError as error:
        raise Refused((unit_error(error, field),)) from error
    speed = float(read.magnitude) * SPEED_UNITS[unit or own]
    if speed > FASTEST_M_S:
        raise refuse("speed_too_fast", _("No truck goes so fast. Type it again."), field=field)
    return speed
