"""What is drawn of one vehicle's record: its toe, its years, the lives of its joints.

All of it is of what the record holds: as it stood on a day, nothing that was learned later is in a
picture, nor a day on which something was to fall due by a meter that was read later.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from fleet.calc.calendar import start_of_local_day
from fleet.pictures.plots import Life, Plot, day_of
from fleet.reads.days import zone_of
from fleet.reads.joint_picture import JointEvents, life_of
from fleet.reads.joint_states import SAYS_NOTHING, done_rechecks
from fleet.reads.reports.vehicle_record import VehicleRecord
from fleet.reads.said import meter
from fleet.reads.toe_chart import toe_chart
from fleet.reads.toe_plot import toe_plot
from fleet.reads.vehicle_picture import years_of
from fleet.records.inspections import BAD, LOOSE, SOUND
from fleet.records.models import Hold, Joint, Recheck, Ticket


@dataclass(frozen=True)
class RecordPictures:
    """Joints stand in walking order, those alone at which things happened on more than one day."""

    toe: Plot | None
    years: Life | None
    joints: list[tuple[Joint, Life]]


def record_pictures(record: VehicleRecord, units: str, today: date) -> RecordPictures:
    """`today` is the day by which the record is judged; three queries."""
    cut = record.span.cut(record.vehicle)
    toes = toe_chart(record.vehicle, record.toes, cut, _first(record))
    return RecordPictures(
        toe=toe_plot(toes, units, today),
        years=_years(record, today),
        joints=_lives(record, units, today),
    )


def _first(record: VehicleRecord) -> datetime | None:
    since = record.span.since
    return start_of_local_day(since, zone_of(record.vehicle.yard)) if since else None


def _years(record: VehicleRecord, today: date) -> Life | None:
    found = {
        sheet.pk
        for sheet in record.inspections
        if any(one.code in (*LOOSE, *BAD) for one in sheet.findings.all())
    }
    use = record.meter.use_si if record.meter else None
    said = "" if use is None else meter(use, record.vehicle.meter_unit)
    moments = sorted(_moments(record), reverse=True)
    return years_of(moments, found, day_of(today), said)


def _moments(record: VehicleRecord) -> Iterator[tuple[datetime, str, int]]:
    """What had happened by then; what began before the first day begins with it."""
    first = _first(record)
    for sheet in record.inspections:
        yield sheet.occurred_at, "inspection", sheet.pk
    for complaint in record.complaints:
        yield complaint.occurred_at, "complaint", complaint.pk
    for fitting in record.fittings:
        yield fitting.occurred_at, "fitting", fitting.pk
    for job in record.jobs:
        ticket = job.ticket
        yield max(ticket.opened_at, first or ticket.opened_at), "ticket", ticket.pk
        if job.ended != Ticket.State.OPEN and ticket.closed_at:
            yield ticket.closed_at, "close", ticket.pk
    for hold in record.holds:
        yield max(hold.placed_at, first or hold.placed_at), "hold", hold.pk
        lifted = _lifted(hold, record)
        if lifted is not None:
            yield lifted, "lift", hold.pk


def _lifted(hold: Hold, record: VehicleRecord) -> datetime | None:
    """When it was lifted, if it had been by then."""
    before = record.span.cut(record.vehicle).before
    if hold.lifted_at is None or (before is not None and hold.lifted_at >= before):
        return None
    return hold.lifted_at


def _lives(record: VehicleRecord, units: str, today: date) -> list[tuple[Joint, Life]]:
    done = _done(record)
    told = [(one.joint, _events(record, one.joint, done, today)) for one in record.joints]
    drawn = [
        (joint, life_of(events, units, day_of(today)))
        for joint, events in told
        if len(_days(events)) > 1
    ]
    return [(joint, life) for joint, life in drawn if life is not None]


def _done(record: VehicleRecord) -> list[Recheck]:
    """Rechecks of its joints that had been done in these days; one query."""
    rows = done_rechecks(record.span.cut(record.vehicle)).filter(joint__vehicle=record.vehicle)
    first = _first(record)
    return list(rows if first is None else rows.filter(done_at__gte=first))


def _events(record: VehicleRecord, joint: Joint, done: list[Recheck], today: date) -> JointEvents:
    findings = [
        one
        for sheet in reversed(record.inspections)
        for one in sheet.findings.all()
        if one.joint_id == joint.pk
    ]
    return JointEvents(
        findings=findings,
        torques=[one for one in record.torques if one.joint_id == joint.pk],
        parts=[one for one in record.parts if one.joint_id == joint.pk],
        holds=[(h.placed_at, _lifted(h, record)) for h in record.holds if h.joint_id == joint.pk],
        owed=[
            (_falls_on(one, record), record.is_late(one, today))
            for one in record.owed
            if one.joint_id == joint.pk
        ],
        done=[one for one in done if one.joint_id == joint.pk],
        meter_unit=record.vehicle.meter_unit,
        use_now=record.meter.use_si if record.meter else None,
    )


def _falls_on(recheck: Recheck, record: VehicleRecord) -> date | None:
    """A day that a meter projects is kept as it stands now, and was not known on a day before."""
    return recheck.falls_on if record.span.until is None else recheck.due_on


def _days(events: JointEvents) -> set[date]:
    """Days on which something happened at a joint: more than a look that found it sound."""
    calm = (*SOUND, *SAYS_NOTHING)
    moments = [one.occurred_at for one in events.findings if one.code not in calm]
    moments += [one.occurred_at for one in events.torques if one.turned or one.assembled]
    moments += [one.occurred_at for one in events.parts]
    moments += [placed for placed, _lifted in events.holds]
    return {timezone.localtime(moment).date() for moment in moments}
