"""One joint's whole life: parts, torques, findings, rechecks, patterns."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from fleet.reads.due import DueItem, due_items, with_all_shown
from fleet.reads.joints import JointRow, joint_rows
from fleet.reads.patterns import PatternRow, pattern_rows, patterns
from fleet.reads.words import names_of
from fleet.records.models import (
    Finding,
    Joint,
    JointFitting,
    PartChange,
    Person,
    Recheck,
    TorqueReading,
    TorqueSpec,
)

# A joint looked at every month for twenty years has 240 findings: shown whole.
MOST = 400


@dataclass(frozen=True)
class JointLife:
    row: JointRow
    specs: list[TorqueSpec]
    parts: list[PartChange]
    fittings: list[JointFitting]
    torques: list[TorqueReading]
    findings: list[Finding]
    owed: list[DueItem]
    past_rechecks: list[Recheck]
    patterns: list[PatternRow]
    methods: dict[str, str]


def joint_life(person: Person, joint: Joint, now: datetime) -> JointLife:
    """Everything recorded of a joint, newest first; the number of queries is fixed."""
    rechecks = with_all_shown(Recheck.objects.filter(joint=joint))
    live = rechecks.filter(state__in=Recheck.LIVE).order_by("falls_on", "id")
    past = rechecks.exclude(state__in=Recheck.LIVE).order_by("-done_at", "-id")
    return JointLife(
        row=joint_rows([joint], joint.vehicle, now)[0],
        specs=_specs(joint),
        parts=list(PartChange.objects.filter(joint=joint).select_related("by")[:MOST]),
        fittings=list(_fittings(joint)[:MOST]),
        torques=list(_torques(joint)[:MOST]),
        findings=list(_findings(joint)[:MOST]),
        owed=due_items(live, now),
        past_rechecks=list(past[:MOST]),
        patterns=pattern_rows(patterns(person).filter(joint=joint), person),
        methods=names_of("method"),
    )


def _specs(joint: Joint) -> list[TorqueSpec]:
    rows = TorqueSpec.objects.filter(
        design=joint.vehicle.design_id, kind=joint.kind_id, is_current=True
    )
    return list(rows.order_by("-is_target", "origin"))


def _fittings(joint: Joint) -> QuerySet[JointFitting]:
    return JointFitting.objects.filter(joint=joint).select_related("by", "line__ticket")


def _torques(joint: Joint) -> QuerySet[TorqueReading]:
    rows = TorqueReading.objects.filter(joint=joint, line_entry__replaced_by=None)
    return rows.select_related("tool", "spec", "by", "line_entry__line__ticket", "finding")


def _findings(joint: Joint) -> QuerySet[Finding]:
    return Finding.objects.filter(joint=joint).select_related(
        "inspection", "by", "spec", "due_recheck"
    )
