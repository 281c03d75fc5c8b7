"""The evidence of the working rule: each find, and each torque between two of them."""

from dataclasses import dataclass
from datetime import datetime

from fleet.records.models import Finding, Pattern, TorqueReading


@dataclass(frozen=True)
class Evidence:
    """One step of the story: a finding, or a torque between two of them."""

    at: datetime
    use_si: int | None
    finding: Finding | None = None
    torque: TorqueReading | None = None


def steps_of(pattern: Pattern) -> list[Evidence]:
    """In order of time; two queries."""
    findings = Finding.objects.filter(pk__in=pattern.evidence.get("findings", []))
    torque_ids = [pk for pk in pattern.evidence.get("torques", []) if pk is not None]
    torques = TorqueReading.objects.filter(pk__in=torque_ids)
    steps = [
        Evidence(row.occurred_at, row.use_si, finding=row)
        for row in findings.select_related("by", "inspection")
    ]
    steps += [
        Evidence(row.occurred_at, row.use_si, torque=row)
        for row in torques.select_related("by", "tool", "spec", "line_entry__line")
    ]
    return sorted(steps, key=lambda step: (step.at, step.torque is not None))
