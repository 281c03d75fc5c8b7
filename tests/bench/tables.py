"""The tables of the bench's fleet, each with the columns that vary from row to row."""

from typing import Any

from fleet.records.models import (
    Complaint,
    FileRequest,
    Finding,
    Hold,
    Inspection,
    Joint,
    JointFitting,
    LineEntry,
    MeterReading,
    PartChange,
    Pattern,
    Recheck,
    RoadRelease,
    RoadTest,
    SecondCheck,
    Ticket,
    TicketLine,
    ToeReading,
    TorqueReading,
    TrailEntry,
    Vehicle,
    VehicleUse,
)
from tests.bench.load import Table

FACT = ("occurred_at", "by_id")


class Tables:
    """One of each; rows name each other by id, so all are flushed in one transaction."""

    def __init__(self) -> None:
        self._vehicles()
        self._looks()
        self._repairs()
        self._afterwards()

    def all(self) -> list[Table]:
        return [table for table in vars(self).values() if isinstance(table, Table)]

    def flush(self, cursor: Any) -> None:
        for table in self.all():
            table.flush(cursor)

    def _vehicles(self) -> None:
        self.vehicle = Table(
            Vehicle, "unit_number", "design_id", "yard_id", "model_year", "duty",
            "in_fleet_since", meter_unit="mi", gross_weight_kg=4500, tyre_size="LT245/75R17",
            corrosion="mixed",
        )  # fmt: skip
        self.joint = Table(Joint, "vehicle_id", "place_id", "kind_id", "side", "order")
        self.reading = Table(
            MeterReading, *FACT, "vehicle_id", "typed", "value", "use_si", unit="mi"
        )
        self.use = Table(
            VehicleUse, "vehicle_id", "last_reading_id", "last_at", "last_use_si", "rate_low",
            "rate_likely", "rate_high",
        )  # fmt: skip

    def _looks(self) -> None:
        self.inspection = Table(
            Inspection, *FACT, "vehicle_id", "kind", "use_si", at_wheel="a helper",
            on_wheels=True, engine_on=True, ride_height=True,
        )  # fmt: skip
        self.finding = Table(
            Finding, *FACT, "inspection_id", "joint_id", "code", "method", "turned", "degrees",
            "response", "reason", "why", "use_si",
        )  # fmt: skip
        self.complaint = Table(
            Complaint, *FACT, "vehicle_id", "kind", "text", "speed_typed", "speed_m_s", "use_si",
        )  # fmt: skip

    def _repairs(self) -> None:
        self.ticket = Table(
            Ticket, "vehicle_id", "state", "title", "opened_at", "opened_by_id", "closed_at",
            "closed_by_id", "outcome", "version",
        )  # fmt: skip
        self.line = Table(
            TicketLine, "ticket_id", "joint_id", "action", "state", "position", "entry_id"
        )
        self.entry = Table(LineEntry, *FACT, "line_id", "data", "use_si")
        self.torque = Table(
            TorqueReading, *FACT, "joint_id", "line_entry_id", "finding_id", "tool_id", "spec_id",
            "typed", "torque_nm", "band", "turned", "degrees", "use_si", tool_in_date=True,
            thread_condition="dry", extension_typed="",
        )  # fmt: skip
        self.toe = Table(
            ToeReading, *FACT, "vehicle_id", "line_entry_id", "rear_m", "toe_m", "use_si",
            as_left=True, rear_typed="46 5/16 in", front_typed="46 1/4 in", front_m=1.17475,
        )  # fmt: skip
        self.part = Table(PartChange, *FACT, "joint_id", "number", "lot", "use_si")
        self.fitting = Table(
            JointFitting, *FACT, "joint_id", "fitted", "use_si", reason="bushing on order"
        )
        self.check = Table(
            SecondCheck, *FACT, "ticket_id", "vehicle_id", passed=True, dry_steer=True
        )
        self.release = Table(
            RoadRelease, *FACT, "ticket_id", "until", driver="a driver", place="yard loop"
        )
        self.test = Table(RoadTest, *FACT, "ticket_id", "release_id", passed=True)

    def _afterwards(self) -> None:
        self.recheck = Table(
            Recheck, "vehicle_id", "joint_id", "kind", "state", "ladder", "rung", "methods",
            "made_by_line_id", "follows_id", "started_at", "start_use_si", "due_on", "due_use_si",
            "use_on_low", "use_on", "use_on_high", "falls_on", "fell_due_at", "done_at",
            "done_by_finding_id", "assigned_to_id",
        )  # fmt: skip
        self.hold = Table(
            Hold, "vehicle_id", "reason", "text", "joint_id", "ticket_id", "placed_at",
            "placed_by_id", "lifted_at", "lifted_by_id", "lifted_by_check_id",
        )  # fmt: skip
        self.pattern = Table(
            Pattern, "key", "yard_id", "vehicle_id", "joint_id", "evidence", "statistic",
            "opened_at", "last_evidence_at", kind="repeat_loosening",
            next_look=["hole", "bolt", "sleeve", "bracket", "tool"],
        )  # fmt: skip
        self.asked = Table(FileRequest, *FACT, "vehicle_id", "wanted_by", why="yearly audit")
        self.trail = Table(
            TrailEntry, "gesture", "at", "received_at", "actor_id", "verb", "subject",
            "subject_id", "vehicle_id", "yard_id", "after", door="web",
        )  # fmt: skip
