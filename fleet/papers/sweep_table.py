"""A sweep's joints as a table: for an auditor, on paper or as a file."""

from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _

from fleet.papers.table import Cell, Column, Kind, Must, Table
from fleet.reads.sweeps.progress import BECAME
from fleet.records.models import Sweep

SWEEP = "sweep"


def sweep_table(sweep: Sweep, rows: Iterable[Any]) -> Table:
    """Rows of `joints_of`, each with what it came to."""
    columns = [
        Column("vehicle", _("Vehicle"), width=0.8),
        Column("yard", _("Yard"), width=0.9),
        Column("joint", _("Joint"), width=1.6),
        Column("touched", _("Touched last"), Kind.DAY, width=0.9),
        Column("by", _("By"), width=1.1),
        Column("became", _("What came of it"), width=1.6),
        Column("on", _("On"), Kind.DAY, width=0.9),
    ]
    title = _("Sweep: %(name)s") % {"name": sweep}
    return Table(SWEEP, title, columns, [_row(row) for row in rows], _("It touched no joint here."))


def _row(row: Any) -> list[Cell]:
    recheck = row.recheck
    said = str(BECAME[row.became])
    done = recheck.done_at if recheck is not None else None
    return [
        row.joint.vehicle.unit_number, row.joint.vehicle.yard.name, row.joint.name, row.touched_at,
        touched_by(row), Must(said) if row.became in ("left", "loose", "worse") else said, done,
    ]  # fmt: skip


def touched_by(row: Any) -> str:
    """'TW-1, 125 lbf·ft' or 'TB-114, lot L7'."""
    if row.torque is not None:
        return f"{row.torque.tool.code}, {row.torque.typed}"
    lot = _("lot %(lot)s") % {"lot": row.part.lot}
    return ", ".join(one for one in (row.part.number, lot) if one)
