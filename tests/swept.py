"""Sweeps as rows: one with its joint, and many of them."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from fleet.records.models import Joint, Person, Recheck, Sweep, SweepJoint, TorqueReading
from tests import build
from tests.build import NOW


def sweep(by: Person, **extra: Any) -> Sweep:
    """Of a way of tightening, open, without a joint."""
    values = {
        "of": "practice", "practice": "factory, dry", "since": NOW - timedelta(days=30),
        "until": NOW, "reason": "threads were oiled", "opened_at": NOW, "opened_by": by,
    }  # fmt: skip
    return Sweep.objects.create(**{**values, **extra})


def listed(of: Sweep, on: Joint, torque: TorqueReading, **extra: Any) -> SweepJoint:
    """A joint to be looked at, with the recheck that is owed there."""
    values = {"stands": "look", "touched_at": NOW, "torque": torque}
    if "recheck" not in extra:
        values["recheck"] = build.recheck(on.vehicle, on, kind="sweep", ladder="sweep")
    return SweepJoint.objects.create(sweep=of, joint=on, **{**values, **extra})


def many(joints: Sequence[Joint], by: Person, torque: TorqueReading, size: int) -> None:
    """As many that are closed, and one that is open over these joints."""
    ended = {"state": "closed", "ended_at": NOW, "ended_by": by}
    for number in range(size):
        sweep(by, of="lot", practice="", lot=f"L{number}", **ended)
    newest = sweep(by)
    owed = Recheck.objects.bulk_create(
        Recheck(vehicle=on.vehicle, joint=on, kind="sweep", ladder="sweep", started_at=NOW,
                due_on=NOW.date(), falls_on=NOW.date())
        for on in joints[:size]
    )  # fmt: skip
    SweepJoint.objects.bulk_create(
        SweepJoint(sweep=newest, joint=row.joint, stands="look", touched_at=NOW, torque=torque,
                   recheck=row)
        for row in owed
    )  # fmt: skip
