"""A fleet in which there are so many of everything, made by sets and quickly.

One vehicle has it all; each further one has a hold, a meter and something owed.
"""

from datetime import datetime, timedelta
from typing import Any

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.operations.vehicles import make_joints
from fleet.records.base import new_uid
from fleet.records.models import (
    Calibration,
    Complaint,
    ComplaintAnswer,
    Design,
    Finding,
    Hold,
    Inspection,
    Joint,
    JointKind,
    JointState,
    Layout,
    LineEntry,
    MeterReading,
    PartChange,
    Pattern,
    Person,
    Posting,
    Recheck,
    SecondCheck,
    Ticket,
    TicketLine,
    ToeReading,
    TorqueReading,
    TorqueSpec,
    TorqueTool,
    TrailEntry,
    Vehicle,
    VehicleUse,
    Yard,
)
from tests.build import NOW
from tests.web import leave_rows, more_rows, plan_rows, stand_out_rows

ZONES = ("America/Denver", "UTC", "Asia/Tokyo")
REASONS = ("finding", "used_while_held", "person")
AXES = ("four_link_coil", "crossing", "ball_joint", "unit_hub")


def ago(number: int) -> datetime:
    """One after the other, so that every noun is on the first page of a timeline."""
    return NOW - timedelta(hours=number + 1)


class Fleet:
    """`size` of each noun; `vehicle` is the one that has it all."""

    def __init__(self, by: Person, size: int) -> None:
        self.by, self.size = by, size
        load_reference(server_actor("command"), at=NOW)
        self._places_and_people()
        self._designs()
        self.tools = self._tools()
        self.vehicle, *self.others = self._vehicles()
        self.joints = make_joints(self.vehicle)
        self._meters()
        self._looks()
        self._ticket()
        self._owed_and_held()
        self._patterns()
        self._kept()
        plan_rows.plan(self.yards[0], self.vehicle, self.others, self.by, self.size)
        more_rows.the_rest(self.vehicle, self.joints[0], self.size, self.fact)

    def each(self) -> range:
        return range(self.size)

    def fact(self, number: int) -> dict[str, Any]:
        return {"occurred_at": ago(number), "by": self.by}

    def _places_and_people(self) -> None:
        self.yards = Yard.objects.bulk_create(
            Yard(name=f"Yard {n}", slug=f"yard-{n}", time_zone=ZONES[n % 3]) for n in self.each()
        )
        crew = [
            Person(username=f"person-{n}", name=f"Person {n}", role="technician", password="!")
            for n in self.each()
        ]
        people = Person.objects.bulk_create(crew)
        Posting.objects.bulk_create(Posting(person=p, yard=self.yards[0]) for p in people)

    def _designs(self) -> None:
        axle, linkage, knuckle, hub = (Layout.objects.get(code=code) for code in AXES)
        same = {"make": "Foothill", "axle": axle, "linkage": linkage, "knuckle": knuckle,
                "hub": hub}  # fmt: skip
        self.designs = Design.objects.bulk_create(
            Design(name=f"Foothill {n:03d}", **same) for n in self.each()
        )
        kind = JointKind.objects.filter(held_by="bolt")[0]
        values = {
            "origin": "factory", "is_target": True, "typed": "125 lbf·ft", "low_nm": 155.0,
            "high_nm": 184.0, "thread_condition": "dry", "source": "invented", "since": NOW,
            "set_by": self.by,
        }  # fmt: skip
        self.specs = TorqueSpec.objects.bulk_create(
            TorqueSpec(design=design, kind=kind, **values) for design in self.designs
        )

    def _tools(self) -> list[TorqueTool]:
        tools = TorqueTool.objects.bulk_create(
            TorqueTool(code=f"T-{n}", name="wrench", kind="set", low_nm=40, high_nm=340,
                       yard=self.yards[0], good_until=NOW.date())
            for n in self.each()
        )  # fmt: skip
        Calibration.objects.bulk_create(
            Calibration(tool=tools[0], passed=True, certificate=f"C-{n}", **self.fact(n))
            for n in self.each()
        )
        return tools

    def _vehicles(self) -> list[Vehicle]:
        same = {"design": self.designs[0], "duty": "gravel", "meter_unit": "mi"}
        return Vehicle.objects.bulk_create(
            Vehicle(unit_number=f"U-{n:03d}", yard=self.yards[0], **same)
            for n in range(self.size + 1)
        )

    def _meters(self) -> None:
        """The last readings are old: every meter is stale."""
        readings = [self._reading(self.vehicle, n) for n in self.each()]
        readings += [self._reading(vehicle, 1500) for vehicle in self.others]
        made = MeterReading.objects.bulk_create(readings)
        last = {row.vehicle_id: row for row in reversed(made)}
        VehicleUse.objects.bulk_create(
            VehicleUse(vehicle_id=pk, last_reading=row, last_at=row.occurred_at,
                       last_use_si=row.use_si, rate_low=5e4, rate_likely=6e4, rate_high=7e4)
            for pk, row in last.items()
        )  # fmt: skip

    def _reading(self, vehicle: Vehicle, number: int) -> MeterReading:
        miles = 90_000 - number
        return MeterReading(
            vehicle=vehicle, typed=str(miles), value=miles, unit="mi", use_si=miles * 1609,
            **self.fact(number),
        )  # fmt: skip

    def _looks(self) -> None:
        complaints = Complaint.objects.bulk_create(
            Complaint(vehicle=self.vehicle, kind="clunk", **self.fact(n)) for n in self.each()
        )
        ComplaintAnswer.objects.bulk_create(
            ComplaintAnswer(complaint=complaints[-1], text="seen to", **self.fact(n))
            for n in self.each()
        )
        sheets = Inspection.objects.bulk_create(
            Inspection(vehicle=self.vehicle, kind="retorque", **self.fact(n)) for n in self.each()
        )
        same = {"code": "moved", "method": "wrench", "response": "line", "why": "retorque",
                "turned": True, "degrees": 15.0}  # fmt: skip
        spec = self.specs[0]
        self.findings = Finding.objects.bulk_create(
            Finding(inspection=sheet, joint=self.joints[0], spec=spec, **same, **self.fact(n))
            for n, sheet in enumerate(sheets)
        )
        self._whole_sheet(sheets[-1])
        TorqueReading.objects.bulk_create(
            self._torque(found.joint, n, finding=found) for n, found in enumerate(self.findings)
        )
        PartChange.objects.bulk_create(
            PartChange(joint=self.joints[0], number=f"P-{n}", **self.fact(n)) for n in self.each()
        )
        ToeReading.objects.bulk_create(self._toe(n) for n in self.each())

    def _whole_sheet(self, sheet: Inspection) -> None:
        """The newest sheet looks at as many joints as there are, up to the size."""
        Finding.objects.bulk_create(
            Finding(inspection=sheet, joint=joint, code="no_play", method="feel", response="note",
                    why="retorque", **self.fact(self.size))
            for joint in self.joints[1 : self.size]
        )  # fmt: skip

    def _torque(self, joint: Joint, number: int, **origin: Any) -> TorqueReading:
        return TorqueReading(
            joint=joint, tool=self.tools[0], spec=self.specs[0], tool_in_date=True, turned=True,
            typed="125 lbf·ft", torque_nm=169.48, band="inside", **origin, **self.fact(number),
        )  # fmt: skip

    def _toe(self, number: int, entry: LineEntry | None = None) -> ToeReading:
        return ToeReading(
            vehicle=self.vehicle, line_entry=entry, as_left=True, rear_typed="46 5/16 in",
            front_typed="46 1/4 in", rear_m=1.1763, front_m=1.1747, toe_m=0.0016,
            **self.fact(number),
        )  # fmt: skip

    def _ticket(self) -> None:
        """Closed ones, and one under way with its lines recorded; other vehicles' wait."""
        same: dict[str, Any] = {"opened_by": self.by, "title": "loose"}
        Ticket.objects.bulk_create(
            Ticket(vehicle=self.vehicle, state="closed", opened_at=ago(n + 1), closed_at=ago(n),
                   closed_by=self.by, **same)
            for n in self.each()
        )  # fmt: skip
        states = ("open", "tested")
        waiting = Ticket.objects.bulk_create(
            Ticket(vehicle=vehicle, state=states[n % 2], opened_at=ago(n), **same)
            for n, vehicle in enumerate(self.others)
        )
        self.ticket = Ticket.objects.create(vehicle=self.vehicle, opened_at=NOW, **same)
        self._lines([self.ticket] * self.size)
        self._lines(waiting)
        facts = [self.fact(n) for n in self.each()]
        leaves = leave_rows.self_checks(self.by, self.ticket, facts)
        self.checks = SecondCheck.objects.bulk_create(
            SecondCheck(ticket=self.ticket, vehicle=self.vehicle, passed=False, dry_steer=True,
                        note="a pin missing", how="self", leave=leave, **self.fact(n))
            for n, leave in enumerate(leaves)
        )  # fmt: skip

    def _lines(self, tickets: list[Ticket]) -> None:
        kinds = [j for j in self.joints if j.kind.held_by == "bolt"]
        # A joint has one line of a kind on a ticket: what is beyond them was dropped.
        most = len(kinds) if tickets[0] == tickets[-1] else len(tickets)
        lines = TicketLine.objects.bulk_create(
            TicketLine(ticket=ticket, joint=kinds[n % len(kinds)], action="retorque",
                       position=n + 1, state="open" if n < most else "dropped")
            for n, ticket in enumerate(tickets)
        )  # fmt: skip
        lines = [line for line in lines if line.state == "open"]
        entries = LineEntry.objects.bulk_create(
            LineEntry(line=line, data={}, **self.fact(n)) for n, line in enumerate(lines)
        )
        for line, entry in zip(lines, entries, strict=True):
            line.entry, line.state = entry, "complete"
        TicketLine.objects.bulk_update(lines, ["entry", "state"])
        mine = [entry for entry in entries if entry.line.ticket_id == self.ticket.pk]
        TorqueReading.objects.bulk_create(
            self._torque(entry.line.joint, n, line_entry=entry)  # type: ignore[arg-type]
            for n, entry in enumerate(mine)
        )
        ToeReading.objects.bulk_create(self._toe(n, entry) for n, entry in enumerate(mine))

    def _owed_and_held(self) -> None:
        first = self.joints[0]
        rows = [self._recheck(self.vehicle, n, joint=first, road_test=not n) for n in self.each()]
        rows += [self._recheck(vehicle, n) for n, vehicle in enumerate(self.others)]
        rows += [self._recheck(self.vehicle, n, joint=first, state="done", done_at=ago(n))
                 for n in self.each()]  # fmt: skip
        self.rechecks = Recheck.objects.bulk_create(rows)
        placed = {"text": "Play at the track bar", "placed_by": self.by}
        holds = [self._hold(self.vehicle, n, **placed) for n in self.each()]
        holds += [self._hold(vehicle, n, **placed) for n, vehicle in enumerate(self.others)]
        holds += [
            self._hold(self.vehicle, n, lifted_at=ago(n), lifted_by=self.by,
                       lifted_by_check=self.checks[n], **placed)
            for n in self.each()
        ]  # fmt: skip
        # The newest is an open one, as the page that lifts a hold asks for.
        Hold.objects.bulk_create(reversed(holds))
        leave_rows.moves(self.by, self.vehicle, self.others, self.size)

    def _recheck(self, vehicle: Vehicle, number: int, **more: Any) -> Recheck:
        due = NOW.date() + timedelta(days=5 if number % 2 else -5)
        return Recheck(
            vehicle=vehicle, kind="retorque", ladder=f"ladder_{number}", started_at=ago(24 * 30),
            due_on=due, falls_on=due, methods=["wrench"], assigned_to=self.by, **more,
        )  # fmt: skip

    def _hold(self, vehicle: Vehicle, number: int, **more: Any) -> Hold:
        return Hold(
            vehicle=vehicle, reason=REASONS[number % 3], placed_at=ago(number),
            ticket=self.ticket if vehicle == self.vehicle else None, **more,
        )  # fmt: skip

    def _patterns(self) -> None:
        torques = list(TorqueReading.objects.values_list("pk", flat=True)[: self.size])
        stand_out_rows.stand_out(self.vehicle, self.findings)
        Pattern.objects.bulk_create(
            Pattern(kind="repeat_loosening", key=f"joint:{n}", yard=self.yards[0],
                    vehicle=self.vehicle, joint=self.joints[0], opened_at=NOW, last_evidence_at=NOW,
                    evidence={"findings": [f.pk for f in self.findings], "torques": torques},
                    statistic={"count": self.size, "window_days": 365}, next_look=["hole", "bolt"])
            for n in self.each()
        )  # fmt: skip
        TrailEntry.objects.bulk_create(
            TrailEntry(gesture=new_uid(), at=ago(n), actor_id=self.by.pk, door="web",
                       verb="place_hold", subject="hold", subject_id=1, vehicle_id=self.vehicle.pk,
                       yard_id=self.vehicle.yard_id)
            for n in self.each()
        )  # fmt: skip

    def _kept(self) -> None:
        """The state of every joint names a finding, a torque, a part and what is owed."""
        JointState.objects.filter(joint__vehicle=self.vehicle).update(
            mark="moved", last_finding=self.findings[0], last_look_at=NOW,
            last_torque=TorqueReading.objects.first(), part=PartChange.objects.first(),
            due_recheck=self.rechecks[0], interval_from=ago(24 * 30),
            interval_to_on=self.rechecks[0].due_on,
        )  # fmt: skip
