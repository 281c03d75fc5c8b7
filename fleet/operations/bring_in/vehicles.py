"""Vehicles brought in from a file."""

import io
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, BinaryIO, Self

from django.utils.translation import gettext as _

from fleet.operations import new_vehicles
from fleet.operations.actor import Actor
from fleet.operations.bring_in import cells
from fleet.operations.bring_in.all_or_nothing import UndoError, once
from fleet.operations.bring_in.ending import settle
from fleet.operations.bring_in.report import BroughtIn, RowProblem, UnreadableError
from fleet.operations.bring_in.sheet import open_sheet
from fleet.operations.bring_in.vehicle_columns import COLUMNS, OWN, TITLES, Names, readers
from fleet.operations.errors import Problem, Refused
from fleet.operations.new_vehicles import NewOne
from fleet.operations.once import Request
from fleet.operations.vehicle_rules import NewVehicle, OnFile, build
from fleet.operations.work import Work
from fleet.records.models import Vehicle

MOST_ROWS = 20_000


@dataclass(frozen=True)
class Fleet:
    """What is on file: to judge by, and to know a vehicle again by."""

    rules: OnFile
    known: dict[str, tuple[str, int]]
    names: Names

    @classmethod
    def of(cls, actor: Actor) -> Self:
        rows = Vehicle.visible_to(actor.person).values_list("unit_number", "vin", "design_id")
        known = {number.casefold(): (vin, design) for number, vin, design in rows}
        return cls(OnFile.of(actor), known, Names.of(actor))


@dataclass
class Found:
    """The rows of a file so far: vehicles that may come in, and what has been said already."""

    fleet: Fleet
    vehicles: list[Vehicle] = field(default_factory=list)
    meters: list[str] = field(default_factory=list)
    numbers: dict[str, tuple[int, dict[str, str]]] = field(default_factory=dict)
    vins: dict[str, int] = field(default_factory=dict)


def import_vehicles(
    actor: Actor, source: BinaryIO | bytes, *, at: datetime, dry_run: bool, whole: bool = False,
    request: Request | None = None,
) -> BroughtIn:  # fmt: skip
    """Bring in a file of vehicles: all of it, or nothing and every problem in it.

    Safe to repeat: a vehicle that is on file is recognized by its unit number and left as it is.
    `whole` is the sender's word that the file is not half a file, where that can't be seen
    (ending.py).
    """
    actor.need("bring_in")
    actor.need("edit_vehicles")
    stream = io.BytesIO(source) if isinstance(source, bytes) else source
    report = BroughtIn("vehicles")

    def prepare(work: Work) -> tuple[Fleet, list[NewOne]]:
        nonlocal report
        report, found = _read(actor, stream)
        settle(report, whole=whole, dry_run=dry_run)
        if not report.fine:
            raise UndoError
        new = [] if dry_run else new_vehicles.make_ready(work, found.vehicles, found.meters)
        return found.fleet, new

    def store(work: Work, ready: tuple[Fleet, list[NewOne]]) -> dict[str, Any]:
        fleet, new = ready
        if fleet != Fleet.of(actor):
            # Somebody has changed what the file was judged against: judge it again.
            _fleet, new = prepare(work)
        new_vehicles.store(work, new)
        return report.counts()

    try:
        if dry_run:
            prepare(Work(actor, at))
            return report
        counts, replayed = once("import_vehicles", actor, at, prepare, store, request)
    except UndoError:
        return report
    return replace(report, **counts, written=True, replayed=replayed)


def _read(actor: Actor, source: BinaryIO) -> tuple[BroughtIn, Found]:
    report, found = BroughtIn("vehicles"), Found(Fleet.of(actor))
    try:
        with open_sheet(source, COLUMNS, MOST_ROWS, report) as sheet:
            if report.fine:
                by_column = readers(found.fleet.names)
                for number, row in sheet.rows():
                    report.rows += 1
                    said = cells.read_row(report, number, row, by_column)
                    if said is not None:
                        _take_row(report, found, number, row, said)
    except UnreadableError as error:
        report.refuse(error.problem)
    return report, found


def _take_row(
    report: BroughtIn, found: Found, number: int, row: dict[str, str], said: dict[str, Any]
) -> None:
    fleet = found.fleet
    new = _new_vehicle(said)
    key = new.unit_number.casefold()
    if key in found.numbers:
        _same_again(report, number, row, *found.numbers[key])
        return
    if key in fleet.known:
        _known(report, number, row, new, *fleet.known[key])
        return
    try:
        vehicle = build(new, fleet.rules)
    except Refused as refused:
        for problem in refused.problems:
            _refuse(report, number, row, problem)
        return
    if vehicle.vin and vehicle.vin in found.vins:
        message = _("Row %(row)s has this VIN too.") % {"row": found.vins[vehicle.vin]}
        _refuse(report, number, row, Problem("vin_twice", message, "vin"))
        return
    found.numbers[key] = (number, row)
    if vehicle.vin:
        found.vins[vehicle.vin] = number
    found.vehicles.append(vehicle)
    found.meters.append(new.meter)
    report.added += 1


def _new_vehicle(said: dict[str, Any]) -> NewVehicle:
    facts = {name: value for name, value in said.items() if name not in OWN and value is not None}
    return NewVehicle(
        said["unit_number"], said["design"], said["yard"], said["duty"], said["meter_unit"],
        said.get("meter", ""), facts,
    )  # fmt: skip


def _same_again(
    report: BroughtIn, number: int, row: dict[str, str], earlier: int, said: dict[str, str]
) -> None:
    """The same row twice counts once; the same unit number with other cells can't be meant."""
    if row == said:
        report.repeated += 1
        return
    message = _("Row %(row)s has this unit number too, with other cells.") % {"row": earlier}
    _refuse(report, number, row, Problem("number_twice", message, "unit_number"))


def _known(
    report: BroughtIn, number: int, row: dict[str, str], new: NewVehicle, vin: str, design_id: int
) -> None:
    """A vehicle on file is known by its unit number, unless VIN or design say it is another."""
    typed = "".join(str(new.facts.get("vin", "")).upper().split())
    if typed and vin and typed != vin:
        message = _("Unit %(unit)s is on file with the VIN %(vin)s.")
        words = {"unit": new.unit_number, "vin": vin}
        _refuse(report, number, row, Problem("vin_wrong", message % words, "vin"))
    elif new.design_id != design_id:
        message = _("Unit %(unit)s is on file with another design.") % {"unit": new.unit_number}
        _refuse(report, number, row, Problem("design_wrong", message, "design"))
    else:
        report.on_file += 1


def _refuse(report: BroughtIn, number: int, row: dict[str, str], problem: Problem) -> None:
    title, typed = TITLES.get(problem.field, ""), row.get(problem.field, "")
    report.refuse(RowProblem(str(problem.message), number, title, typed[:60]))
