"""The spells of the whole fleet by cell: joint kind, axle layout, duty and practice.

First tightenings and later ones are cells of their own, and so are meters that count hours.
"""

from dataclasses import dataclass

import numpy as np

from fleet.calc.history.looks import Ints
from fleet.calc.spell_rows import spells_of_checks
from fleet.calc.spells import Spells
from fleet.reads.history.columns import columns, whole
from fleet.reads.history.numbers import Columns
from fleet.records.intervals import IntervalProposal
from fleet.records.models import Clock, Exposure, MeterUnit, Sight

Meter = IntervalProposal.Meter
FIRST, AGAIN = "first", "again"


@dataclass(frozen=True, slots=True)
class Cell:
    """Joints that are taken to hold alike. `practice` is empty where nobody said."""

    kind: str
    axle: str
    duty: str
    practice: str
    first: bool
    meter: str

    @property
    def key(self) -> str:
        """Names the cell in proposals and rules."""
        which = FIRST if self.first else AGAIN
        return "|".join((self.kind, self.axle, self.duty, self.practice, which, self.meter))


def meter_of(unit: str) -> str:
    return Meter.HOURS if unit == MeterUnit.HOURS else Meter.DISTANCE


def spells_by_cell() -> dict[Cell, Spells]:
    """Every spell of tightness that a wrench has told something of, one row a turning; one query.

    Metres or seconds, the vehicle as cluster. What other methods saw informs another event.
    """
    read = Exposure.objects.filter(clock=Clock.TIGHTNESS, sight=Sight.MOVED, upper_si__gt=0)
    rows = columns(
        read.order_by("turning", "upper_si"), turning="turning_id", vehicle="vehicle_id",
        upper="upper_si", loose="loose", kind="joint__kind__code",
        axle="vehicle__design__axle__code", duty="duty", practice="practice", first="first",
        meter="vehicle__meter_unit",
    )  # fmt: skip
    if not rows["turning"].size:
        return {}
    spell, starts = _numbered(whole(rows["turning"]))
    use, loose = rows["upper"].astype(np.float64), rows["loose"].astype(np.bool_)
    # Finds by complaint are counted where the next check was due already, and looks end there.
    reached = np.maximum.reduceat(use, starts)
    found = spells_of_checks(spell, use, loose, reached, vehicle=whole(rows["vehicle"])[starts])
    return {
        cell: _taken(found.spells, which)
        for cell, which in _by_cell(rows, starts[found.which]).items()
    }


def _numbered(turning: Ints) -> tuple[Ints, Ints]:
    """Number of each row's spell, and the first row of each; rows lie spell by spell."""
    new = np.diff(turning, prepend=-1) != 0
    return np.cumsum(new) - 1, np.flatnonzero(new)


def _taken(spells: Spells, which: Ints) -> Spells:
    cluster = None if spells.cluster is None else spells.cluster[which]
    return Spells(spells.lower[which], spells.upper[which], cluster=cluster)


def _by_cell(rows: Columns, starts: Ints) -> dict[Cell, Ints]:
    """The spells of each cell, in the order of the cells' keys."""
    named = zip(
        *(rows[name][starts] for name in ("kind", "axle", "duty", "practice", "first", "meter")),
        strict=True,
    )
    found: dict[Cell, list[int]] = {}
    for number, (kind, axle, duty, practice, first, unit) in enumerate(named):
        cell = Cell(kind, axle, duty, practice, bool(first), meter_of(unit))
        found.setdefault(cell, []).append(number)
    ordered = sorted(found.items(), key=lambda pair: pair[0].key)
    return {cell: np.array(numbers, dtype=np.intp) for cell, numbers in ordered}


def cell_of(row: IntervalProposal) -> Cell:
    """The cell that a proposal is about."""
    kind, axle, duty, practice, which, meter = row.key.split("|")
    return Cell(kind, axle, duty, practice, which == FIRST, meter)
