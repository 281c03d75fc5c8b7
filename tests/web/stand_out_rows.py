"""What stands out by statistics in the fleet of `rows`: its findings weighed, a pattern a kind."""

from datetime import timedelta

from fleet.records.models import Exposure, Finding, Pattern, Recheck, TorqueReading, Vehicle
from tests import stand_outs
from tests.build import NOW


def stand_out(vehicle: Vehicle, findings: list[Finding]) -> None:
    turning = TorqueReading.objects.filter(joint=findings[0].joint).select_related("tool")[0]
    tool = turning.tool
    rows = Exposure.objects.bulk_create(
        Exposure(finding=found, joint=found.joint, vehicle=vehicle, clock="tightness",
                 sight="moved", at=found.occurred_at, lower_si=0, upper_si=1_000_000, loose=True,
                 first=False, turning=turning, tool=tool, practice=stand_outs.PRACTICE,
                 number=stand_outs.NUMBER, lot=stand_outs.LOT, duty=vehicle.duty,
                 expected=stand_outs.USUAL, spent=stand_outs.USUAL)
        for found in findings
    )  # fmt: skip
    owed = Recheck.objects.filter(vehicle=vehicle, state="owed").order_by("pk")
    late = list(owed.values_list("pk", flat=True)[:1])
    Recheck.objects.filter(pk__in=late).update(fell_due_at=NOW - timedelta(days=5))
    seen = stand_outs.Checks([findings[0].joint], tool, rows)
    made = stand_outs.one_of_each(seen, vehicle.yard, vehicle, late)
    # The newest, so that a short list shows the same ones whatever the size.
    newest = NOW + timedelta(hours=1)
    Pattern.objects.filter(pk__in=[row.pk for row in made]).update(last_evidence_at=newest)
