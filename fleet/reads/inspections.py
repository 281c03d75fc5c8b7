"""Inspections: what a sheet has to show of each joint, and what came of each finding."""

from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Q, QuerySet

from fleet.reads.due import DueItem, due_items, with_all_shown
from fleet.reads.joints import JointRow, joint_rows, with_state
from fleet.reads.vehicle_file import figures_of
from fleet.reads.words import names_of
from fleet.records.models import (
    Finding,
    Hold,
    Inspection,
    Joint,
    Mark,
    Person,
    Recheck,
    TicketLine,
    TorqueSpec,
    TorqueTool,
    Vehicle,
)


@dataclass(frozen=True)
class SheetRow:
    """One joint as a sheet shows it: how it was last, its figure, and what it owes."""

    row: JointRow
    spec: TorqueSpec | None
    owed: list[DueItem]


def sheet_rows(vehicle: Vehicle, now: datetime) -> list[SheetRow]:
    """Every joint that is fitted, in walking order; five queries."""
    fitted = Joint.objects.filter(vehicle=vehicle).exclude(fitted=Joint.Fitted.NOT_FITTED)
    specs = {spec.kind_id: spec for spec in figures_of(vehicle)}
    live = Recheck.objects.filter(
        vehicle=vehicle, state__in=Recheck.LIVE, joint__isnull=False
    ).order_by("falls_on", "id")
    owed: dict[int, list[DueItem]] = {}
    for item in due_items(with_all_shown(live), now):
        owed.setdefault(item.recheck.joint_id or 0, []).append(item)
    return [
        SheetRow(row, specs.get(row.joint.kind_id), owed.get(row.joint.pk, []))
        for row in joint_rows(with_state(fitted), vehicle, now)
    ]


def bare_row(joint: Joint) -> SheetRow:
    """A joint as it is before anything is known of it: enough to read what was typed."""
    return SheetRow(JointRow(joint, Mark.UNKNOWN, None, None, None), None, [])


def wrenches_at(person: Person, vehicle: Vehicle) -> list[TorqueTool]:
    """The torque tools in use at the vehicle's yard, by their code."""
    rows = TorqueTool.visible_to(person).filter(in_use=True, yard=vehicle.yard_id)
    return list(rows.select_related("yard").order_by("code"))


@dataclass(frozen=True)
class StillOwed:
    """A recheck that a look did not pay, and why not, in words."""

    recheck: Recheck
    why: str


@dataclass(frozen=True)
class FindingRow:
    """A finding and everything that it set off."""

    finding: Finding
    lines: list[TicketLine] = field(default_factory=list)
    holds: list[Hold] = field(default_factory=list)
    made: list[Recheck] = field(default_factory=list)
    # What it looked at and did not pay, with the reason; put here by the door.
    owed: list[StillOwed] = field(default_factory=list)
    paid: list[Recheck] = field(default_factory=list)


@dataclass(frozen=True)
class InspectionStory:
    findings: list[FindingRow]
    methods: dict[str, str]
    # What the whole front end owed and this sheet paid.
    paid_whole: list[Recheck]
    # The look of these is made, their road test is not.
    to_drive: list[Recheck]


def inspections(person: Person) -> QuerySet[Inspection]:
    rows = Inspection.visible_to(person)
    return rows.select_related(
        "vehicle__yard", "vehicle__design", "by", "second_person", "complaint", "reading"
    )


def inspection_story(inspection: Inspection) -> InspectionStory:
    """Each finding with its lines, holds and rechecks; six queries."""
    findings = list(
        inspection.findings.select_related(
            "joint__kind", "spec", "torque__tool", "torque__spec"
        ).order_by("joint__order", "id")
    )
    rows = {finding.pk: FindingRow(finding) for finding in findings}
    for line in TicketLine.objects.filter(from_finding__in=rows).select_related("ticket"):
        rows[line.from_finding_id or 0].lines.append(line)
    for hold in Hold.objects.filter(finding__in=rows).select_related("ticket"):
        rows[hold.finding_id or 0].holds.append(hold)
    whole, to_drive = _put_rechecks(rows)
    return InspectionStory(list(rows.values()), names_of("method"), whole, to_drive)


def _put_rechecks(rows: dict[int, FindingRow]) -> tuple[list[Recheck], list[Recheck]]:
    """Beside each finding what it made and paid; what it paid of the whole front end, and what
    of that is paid by half."""
    whole, to_drive = [], []
    touched = Q(made_by_finding__in=rows) | Q(done_by_finding__in=rows)
    touched |= Q(looked_by_finding__in=rows, state__in=Recheck.LIVE)
    for recheck in Recheck.objects.filter(touched).order_by("falls_on", "id"):
        if recheck.made_by_finding_id in rows:
            rows[recheck.made_by_finding_id].made.append(recheck)
        if recheck.looked_by_finding_id in rows and recheck.state in Recheck.LIVE:
            to_drive.append(recheck)
        if recheck.done_by_finding_id in rows and recheck.joint_id is None:
            whole.append(recheck)
        elif recheck.done_by_finding_id in rows:
            rows[recheck.done_by_finding_id].paid.append(recheck)
    return whole, to_drive
