"""Weighed checks and patterns found by statistics, as a scan would keep them; made in bulk."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from fleet.records.models import (
    Exposure,
    Finding,
    Inspection,
    Joint,
    Pattern,
    Person,
    TorqueReading,
    TorqueTool,
    Vehicle,
    Yard,
)
from tests import build
from tests.build import NOW

#: What like checks usually find: one in ten.
USUAL = 0.1
KINDS = (
    "joint", "tool", "lot", "part", "practice", "yard", "yard_duty", "worsening", "toe_drift",
    "missed",
)  # fmt: skip
NUMBER, LOT, PRACTICE = "TB-7", "L-2231", "shop, oiled"


@dataclass
class Checks:
    """Checks of some joints after one tool had tightened them, oldest first."""

    joints: list[Joint]
    tool: TorqueTool
    rows: list[Exposure]


def checks(
    by: Person, joints: Sequence[Joint], tool: TorqueTool, *, looks: int = 4, every: int = 2,
    **extra: Any,
) -> Checks:  # fmt: skip
    """Each joint is looked at so many times, thirty days apart; every so manyth look found it
    moved, and it was tightened by the tool each time before."""
    dates = [NOW - timedelta(days=30 * (looks - nth)) for nth in range(looks)]
    places = [(joint, at) for joint in joints for at in dates]
    moved = [nth % looks % every == every - 1 for nth in range(len(places))]
    sheets = Inspection.objects.bulk_create(
        Inspection(vehicle_id=joint.vehicle_id, kind="retorque", occurred_at=at, by=by)
        for joint, at in places
    )
    findings = Finding.objects.bulk_create(
        Finding(inspection=sheet, joint=joint, code="moved" if loose else "tight",
                method="wrench", response="note", why="retorque", occurred_at=at, by=by,
                degrees=20 if loose else None)
        for (joint, at), sheet, loose in zip(places, sheets, moved, strict=True)
    )  # fmt: skip
    torques = TorqueReading.objects.bulk_create(
        TorqueReading(joint=joint, tool=tool, tool_in_date=True, turned=True, typed="125 lbf·ft",
                      torque_nm=169.5, band="inside", occurred_at=at - timedelta(days=29), by=by,
                      finding=found)
        for (joint, at), found in zip(places, findings, strict=True)
    )  # fmt: skip
    made = Exposure.objects.bulk_create(
        Exposure(finding=found, joint=joint, vehicle_id=joint.vehicle_id, clock="tightness",
                 sight="moved", at=at, lower_si=0, upper_si=1_000_000, loose=loose, first=False,
                 turning=torque, tool=tool, duty="gravel", expected=USUAL, spent=USUAL, **extra)
        for (joint, at), found, torque, loose in zip(places, findings, torques, moved, strict=True)
    )  # fmt: skip
    return Checks(list(joints), tool, made)


def statistic(label: str, member: str, **extra: Any) -> dict[str, Any]:
    """The figures as a scan writes them."""
    return {
        "method": "evidence", "clock": "tightness", "label": label, "member": member,
        "observed": 12, "expected": 5.7, "ratio": 2.1, "low": 1.5, "high": 2.9, "p_above": 0.03,
        "log_e": 8.58, "level": 0.025, "family": 64, "checks": 57, "vehicles": 9, "explains": [],
        "not_told_apart": [], "explained_by": None, "until": "2026-11-23", **extra,
    }  # fmt: skip


def pattern(kind: str, told: dict[str, Any], **extra: Any) -> Pattern:
    values = {"opened_at": NOW - timedelta(days=40), "last_evidence_at": NOW - timedelta(days=3),
              "next_look": []}  # fmt: skip
    key = f"{told['clock']}:{told['label']}:{told['member']}"
    return Pattern.objects.create(kind=kind, key=key, statistic=told, **{**values, **extra})


def one_of_each(seen: Checks, yard: Yard, vehicle: Vehicle, rechecks: list[int]) -> list[Pattern]:
    """A pattern of every kind, over the same checks."""
    joint = seen.joints[0]
    found = {"findings": [row.finding_id for row in seen.rows if row.loose]}
    at_yard: dict[str, Any] = {"yard": yard}
    on: dict[str, Any] = {"vehicle": vehicle, **at_yard}
    return [
        pattern("joint", statistic("joint", f"{joint.pk}"), joint=joint, evidence=found, **on),
        pattern("tool", statistic("tool", f"{seen.tool.pk}"), evidence=found, **at_yard),
        pattern("lot", statistic("lot", f"{NUMBER}|{LOT}"), evidence=found),
        pattern("part", statistic("part", NUMBER), evidence=found),
        pattern("practice", statistic("practice", PRACTICE), evidence=found),
        pattern("yard", statistic("yard", f"{yard.pk}"), evidence=found, **at_yard),
        pattern("yard_duty", statistic("yard_duty", f"{yard.pk}|gravel"), **at_yard),
        pattern("worsening", statistic("vehicle", f"{vehicle.pk}"), evidence=found, **on),
        pattern("toe_drift", statistic("vehicle", f"{vehicle.pk}", clock="toe"), **on),
        pattern("missed", statistic("yard", f"{yard.pk}", clock="missed"),
                evidence={"rechecks": rechecks}, **at_yard),
    ]  # fmt: skip


def six_trucks(by: Person, here: Yard, there: Yard) -> Checks:
    """One tool on two trucks here and one there; another tool on as many like them."""
    trucks = [build.vehicle(yard, f"T-{n}") for n, yard in enumerate([here, here, there] * 2)]
    joints = [build.joint(truck) for truck in trucks]
    checks(by, joints[3:], build.tool(here, "AB-01"), every=4, practice="factory, dry")
    tool = build.tool(here, "AB-07")
    return checks(by, joints[:3], tool, number=NUMBER, lot=LOT, practice=PRACTICE)


def of_tool(seen: Checks, yard: Yard, **extra: Any) -> Pattern:
    """The pattern of the tool that these checks were made after."""
    told = statistic("tool", f"{seen.tool.pk}", **extra)
    return pattern("tool", told, yard=yard, next_look=["calibration", "comparison", "sweep"])
