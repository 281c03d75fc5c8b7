"""How joints of one joint's cell hold, for its own page."""

from collections.abc import Sequence
from dataclasses import dataclass

from fleet.pictures.plots import Plot
from fleet.reads.due import last_use_si
from fleet.reads.history.labels import practice_of
from fleet.reads.intervals.cells import Cell, meter_of
from fleet.reads.intervals.plot import joint_plot
from fleet.reads.intervals.words import amount, cell_words, lacking
from fleet.records.models import IntervalProposal, Joint, Person, TicketLine, TorqueReading


@dataclass(frozen=True)
class HoldsHere:
    """What is known of joints like this one. `lacks` says what is missing before a curve."""

    row: IntervalProposal
    joints: str
    use: str
    lacks: str
    picture: Plot | None


def holds_here(person: Person, joint: Joint, torques: Sequence[TorqueReading]) -> HoldsHere | None:
    """By the turning that tightened it last; None where none is on file, or nothing was reckoned.

    One query. `torques` are the joint's own, newest first.
    """
    last = next((one for one in torques if _turned(one)), None)
    if last is None:
        return None
    rows = IntervalProposal.visible_to(person).select_related("kind", "axle", "rule")
    row = rows.filter(key=cell_at(joint, last).key, is_current=True).first()
    if row is None:
        return None
    now = last_use_si(joint.vehicle)
    use = None if now is None or last.use_si is None else max(now - last.use_si, 0)
    return HoldsHere(
        row, cell_words(row), amount(use, row.meter, person.units),
        lacking(row, person.units) if row.missing else "", joint_plot(row, person.units, use),
    )  # fmt: skip


def cell_at(joint: Joint, last: TorqueReading) -> Cell:
    """The cell of a joint since a turning."""
    vehicle = joint.vehicle
    practice = practice_of(last.spec.origin if last.spec else None, last.thread_condition)
    meter, axle = meter_of(vehicle.meter_unit), vehicle.design.axle.code
    return Cell(joint.kind.code, axle, vehicle.duty, practice, last.assembled, meter)


def _turned(torque: TorqueReading) -> bool:
    entry = torque.line_entry
    stands = entry is None or entry.line.state != TicketLine.State.DROPPED
    return stands and (torque.turned or torque.assembled)
