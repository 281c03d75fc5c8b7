"""Exposures as they would stand: fasteners turned once, and what each wrench then told. And a
proposal made of them, without the reckoning."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from fleet.records.models import (
    Exposure,
    Finding,
    Inspection,
    IntervalProposal,
    Joint,
    JointKind,
    Layout,
    Person,
    TorqueReading,
)
from tests import build
from tests.build import NOW

MILE = 1609.344
#: Miles at the looks of one spell, and whether the last of them found it loose.
Spell = tuple[list[float], bool]


def spells(
    on: Iterable[Joint], by: Person, told: Iterable[Spell], *, practice: str = "factory, dry",
    first: bool = False, unit: float = MILE,
) -> list[Exposure]:  # fmt: skip
    """Spells of these joints in turn, each its own turning; a few queries however many."""
    joints, every = list(on), list(told)
    mine = [joints[number % len(joints)] for number in range(len(every))]
    turned = _turned(mine, by, first)
    rows = [row for n, spell in enumerate(every) for row in _looks(mine[n], turned[n], spell, unit)]
    found = _findings([(row.joint, row.loose) for row in rows], by)
    for row, finding in zip(rows, found, strict=True):
        row.finding, row.practice, row.first = finding, practice, first
    return Exposure.objects.bulk_create(rows)


def _turned(joints: list[Joint], by: Person, first: bool) -> list[TorqueReading]:
    tool, at = build.tool(joints[0].vehicle.yard), NOW - timedelta(days=400)
    begun = _findings([(joint, True) for joint in joints], by, at)
    return TorqueReading.objects.bulk_create(
        TorqueReading(
            joint=joint, finding=finding, tool=tool, by=by, occurred_at=at, typed="125 lbf·ft",
            torque_nm=169.48, band="inside", turned=True, assembled=first, tool_in_date=True,
            thread_condition="dry",
        )
        for joint, finding in zip(joints, begun, strict=True)
    )  # fmt: skip


def _findings(
    told: list[tuple[Joint, bool]], by: Person, at: datetime = NOW - timedelta(days=30)
) -> list[Finding]:
    """Each by a wrench, on a sheet of its own."""
    sheets = Inspection.objects.bulk_create(
        Inspection(vehicle=joint.vehicle, by=by, kind="retorque", occurred_at=at)
        for joint, _loose in told
    )
    return Finding.objects.bulk_create(
        Finding(
            inspection=sheet, joint=joint, by=by, code="moved" if loose else "tight",
            method="wrench", response="note", why="retorque", occurred_at=at, turned=loose,
        )
        for sheet, (joint, loose) in zip(sheets, told, strict=True)
    )  # fmt: skip


def _looks(joint: Joint, turning: Any, spell: Spell, unit: float) -> list[Exposure]:
    at, ended_loose = spell
    uses = [round(value * unit) for value in at]
    return [
        Exposure(
            joint=joint, vehicle=joint.vehicle, clock="tightness", sight="moved",
            at=NOW - timedelta(days=20), lower_si=before, upper_si=use, turning=turning,
            loose=ended_loose and use == uses[-1], duty=joint.vehicle.duty,
        )
        for before, use in zip([0, *uses[:-1]], uses, strict=True)
    ]  # fmt: skip


CURVE = [[0, 1, 1, 1], [1_000_000, 0.97, 0.93, 0.99], [3_000_000, 0.9, 0.8, 0.95]]


def proposal(
    kind: str = "track_bar_frame_end", axle: str = "four_link_coil", practice: str = "factory, dry",
    offered: float | None = 740, **extra: Any,
) -> IntervalProposal:  # fmt: skip
    """An offer in miles for the last step of the track bar's ladder, on gravel, tightened again."""
    which = "first" if extra.get("first") else "again"
    values: dict[str, Any] = {
        "key": f"{kind}|{axle}|gravel|{practice}|{which}|distance",
        "kind": JointKind.objects.get(code=kind), "axle": Layout.objects.get(code=axle),
        "duty": "gravel", "practice": practice, "first": False, "meter": "distance",
        "spells": 60, "finds": 20, "vehicles": 9, "longest_tight_si": round(2000 * MILE),
        "now_si": round(500 * MILE), "now_from": {"ladder": "track_bar", "rung": 1, "version": 1},
        "age_si": round(100 * MILE), "target": 0.9, "confidence": 0.9, "made_at": NOW, "as_of": NOW,
    }  # fmt: skip
    if offered is not None:
        values |= {
            "allowed_si": round(offered * MILE), "limited_by": "profile",
            "offered_si": round(offered * MILE), "shape": 1.4, "scale_si": 3000 * MILE,
            "curve": {"since": CURVE, "on": CURVE, "steps": [[0, 1], [900_000, 0.95]]},
        }  # fmt: skip
    return IntervalProposal.objects.create(**{**values, **extra})


def too_little(**extra: Any) -> IntervalProposal:
    """Three finds on two vehicles."""
    lacks = {"missing": "too_few_finds", "have": 3, "need": 5, "finds": 3, "vehicles": 2}
    steps = {"curve": {"steps": [[0, 1], [900_000, 0.95]]}}
    return proposal("track_bar_axle_end", offered=None, **{**lacks, **steps, **extra})
