"""Two more questions with rows of their own: rechecks that are missed, and toe that drifts.

Both ask how often something goes wrong among like things before, and who is beyond that.
"""

from datetime import datetime
from typing import Any

import numpy as np

from fleet.calc.clusters import spent_hazard
from fleet.calc.history.looks import Flags, Ints
from fleet.calc.history.shares import share_before
from fleet.calc.history.watch import Rows
from fleet.reads.cut import NOW
from fleet.reads.history.columns import columns, seconds, taken, whole
from fleet.reads.history.labels import LABELS, Label
from fleet.reads.history.numbers import Columns
from fleet.reads.history.rows import Watched, numbered, weeks_of
from fleet.reads.history.usual import months_of
from fleet.reads.rules import setting
from fleet.records.models import Recheck, ToeReading

VEHICLE = Label("vehicle", ("vehicle_id",), ())
MISSED, TOE = "missed", "toe"


def missed(until: datetime) -> Watched:
    """Rechecks that were done or fell due, and whether they were missed; one query."""
    rows = Recheck.objects.filter(state__in=(Recheck.State.DONE, Recheck.State.MISSED))
    labels = (LABELS["yard"], LABELS["yard_duty"])
    found = columns(
        rows.order_by("id"), fact="pk", vehicle="vehicle_id", kind="kind", fell="fell_due_at",
        done="done_at", vehicle__yard_id="vehicle__yard_id", duty="vehicle__duty",
    )  # fmt: skip
    wrong = np.array([fell is not None for fell in found["fell"]], dtype=np.bool_)
    found["at"] = np.where(wrong, found["fell"], found["done"])
    return _watched(found, wrong, until, MISSED, "rechecks", labels)


def toe_drift(until: datetime) -> Watched:
    """Toe as it was next found, against what it had been left at; one query."""
    rows = ToeReading.objects.filter(NOW.stands())
    read = columns(
        rows.order_by("vehicle", "occurred_at", "id"), fact="pk", vehicle="vehicle_id",
        at="occurred_at", left="as_left", toe="toe_m",
    )  # fmt: skip
    vehicle, as_left = whole(read["vehicle"]), read["left"].astype(np.bool_)
    left = np.flatnonzero((vehicle[1:] == vehicle[:-1]) & as_left[:-1] & ~as_left[1:])
    next_found = left + 1
    found = taken(read, next_found)
    found["vehicle_id"], found["kind"] = found["vehicle"], np.full(left.size, "")
    moved = np.abs((read["toe"][next_found] - read["toe"][left]).astype(float))
    # Read only where there is something to hold against it.
    wrong = moved > float(setting("toe_restored_tolerance")) if left.size else moved > 0
    return _watched(found, wrong, until, TOE, "toes", (VEHICLE,))


def _watched(
    found: Columns, wrong: Flags, until: datetime, name: str, fact: str, labels: tuple[Label, ...]
) -> Watched:
    order = np.argsort(seconds(found["at"]), kind="stable")
    order = order[seconds(found["at"])[order] < until.timestamp()]
    rows, wrong = taken(found, order), wrong[order]
    share, known = share_before(months_of(seconds(rows["at"])), _coded(rows["kind"]), wrong)
    rows, wrong, share = taken(rows, known), wrong[known], share[known]
    vehicles, vehicle = np.unique(whole(rows["vehicle"]), return_inverse=True)
    made = {label.name: numbered(label, rows) for label in labels}
    at = seconds(rows["at"])
    return Watched(
        name, fact, (tuple(made),),
        Rows(weeks_of(at), vehicle, wrong.astype(float), spent_hazard(share, wrong),
             {one: numbers for one, (numbers, _names) in made.items()}),
        at, at, share, _coded(rows["kind"]), whole(rows["fact"]), vehicles,
        {one: names for one, (_numbers, names) in made.items()},
    )  # fmt: skip


def _coded(values: Any) -> Ints:
    return np.unique(values.astype(str), return_inverse=True)[1].astype(np.intp)
