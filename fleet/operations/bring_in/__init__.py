"""Bringing in what a fleet has on file elsewhere: vehicles and meter readings."""

from fleet.operations.bring_in.ending import question
from fleet.operations.bring_in.readings import Recorded, import_readings, record_readings
from fleet.operations.bring_in.report import BroughtIn, RowProblem
from fleet.operations.bring_in.vehicles import import_vehicles

__all__ = [
    "BroughtIn", "Recorded", "RowProblem", "import_readings", "import_vehicles",
    "question", "record_readings",
]  # fmt: skip
