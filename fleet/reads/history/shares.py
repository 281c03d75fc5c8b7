"""Two more questions with rows of their own: rechecks that are missed, and toe that drifts.

Both ask how often something goes wrong among like things before, and who is beyond that.
"""

from datetime import datetime

import numpy as np

from fleet.calc.clusters import spent_hazard
from fleet.calc.history.looks import Flags, Ints
from fleet.calc.history.shares import share_before
from fleet.calc.history.watch import Rows
from fleet.reads.cut import NOW
from fleet.reads.history import numbers
from fleet.reads.history.columns import taken
from fleet.reads.history.exposures import DUTIES
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
    kind = numbers.text("kind")
    found = numbers.read(
        rows.order_by("id"), fact=numbers.ident("pk"), vehicle=numbers.ident("vehicle_id"),
        kind=kind, fell=numbers.moment_or_never("fell_due_at"),
        done=numbers.moment_or_never("done_at"),
        vehicle__yard_id=numbers.ident("vehicle__yard_id"),
        duty=numbers.coded("vehicle__duty", DUTIES),
    )  # fmt: skip
    wrong = np.isfinite(found["fell"])
    found["at"] = np.where(wrong, found["fell"], found["done"])
    found["kind"] = _in_order_of_names(found["kind"], list(kind.codes or ()))
    return _watched(found, wrong, until, MISSED, "rechecks", labels)


def toe_drift(until: datetime) -> Watched:
    """Toe as it was next found, against what it had been left at; one query."""
    rows = ToeReading.objects.filter(NOW.stands())
    read = numbers.read(
        rows.order_by("vehicle", "occurred_at", "id"), fact=numbers.ident("pk"),
        vehicle=numbers.ident("vehicle_id"), at=numbers.moment_or_never("occurred_at"),
        left=numbers.flag("as_left"), toe=numbers.measure("toe_m"),
    )  # fmt: skip
    vehicle, as_left = read["vehicle"], read["left"]
    left = np.flatnonzero((vehicle[1:] == vehicle[:-1]) & as_left[:-1] & ~as_left[1:])
    next_found = left + 1
    found = taken(read, next_found)
    found["vehicle_id"], found["kind"] = found["vehicle"], np.zeros(left.size, dtype=np.intp)
    moved = np.abs(read["toe"][next_found] - read["toe"][left])
    # Read only where there is something to hold against it.
    wrong = moved > float(setting("toe_restored_tolerance")) if left.size else moved > 0
    return _watched(found, wrong, until, TOE, "toes", (VEHICLE,))


def _watched(
    found: Columns, wrong: Flags, until: datetime, name: str, fact: str, labels: tuple[Label, ...]
) -> Watched:
    at = numbers.seconds(found["at"])
    order = np.argsort(at, kind="stable")
    order = order[at[order] < until.timestamp()]
    rows, wrong, at = taken(found, order), wrong[order], at[order]
    share, known = share_before(months_of(at), rows["kind"], wrong)
    rows, wrong, share, at = taken(rows, known), wrong[known], share[known], at[known]
    vehicles, vehicle = np.unique(rows["vehicle"], return_inverse=True)
    made = {label.name: numbered(label, rows, {"duty": DUTIES}) for label in labels}
    return Watched(
        name, fact, (tuple(made),),
        Rows(weeks_of(at), vehicle, wrong.astype(float), spent_hazard(share, wrong),
             {one: own for one, (own, _names) in made.items()}),
        at, at, share, rows["kind"], rows["fact"], vehicles,
        {one: names for one, (_own, names) in made.items()},
    )  # fmt: skip


def _in_order_of_names(codes: Ints, names: list[str]) -> Ints:
    """Codes that no longer hang on which came first."""
    rank = np.argsort(np.argsort(np.array(names, dtype=np.str_)))
    return rank[codes]
