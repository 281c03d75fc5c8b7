"""A small real fleet: reference data loaded, one four-link truck with its figures and wrenches."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from fleet.operations import close_out, inspect, repair, specs, tools, vehicles
from fleet.operations.actor import Actor, server_actor
from fleet.operations.looks import Look
from fleet.operations.reference import load_reference
from fleet.records.models import (
    Design,
    Joint,
    JointKind,
    Layout,
    Person,
    Ticket,
    TicketLine,
    TorqueTool,
    Vehicle,
    Yard,
)
from tests import build, people
from tests.operations.remember import Rows, is_empty, put_back, remember

START = datetime(2026, 9, 1, 15, 0, tzinfo=UTC)

# What a complete line records, by action: the test's own figures, invented.
TRACK_BAR = {
    "part_number": "TB-114", "part_lot": "L7", "as_found": "play", "adjustable": "no",
    "torque": "125 lbf·ft", "tool": "TW-1", "thread_condition": "dry", "end_kind": "bushing",
    "hole_looked": "sound", "shank_looked": "sound", "sleeve_looked": "sound",
    "bracket_looked": "sound",
    "ride_height": True, "axle_left": "12 1/4", "axle_right": "12 1/4",
    "wheel_centre_looked": True, "full_lock": True, "hoses_clear": True,
}  # fmt: skip
SET_TOE = {
    "same_mark": True, "found_rear": "46 5/16", "found_front": "46 1/8", "gear_centred": True,
    "wheel_centred": True, "left_rear": "46 1/4", "left_front": "46 3/16", "read_again": True,
    "rolled": True, "toe_height": "15", "toe_span": "29", "ride_height": True,
    "toe_basis": "spec",
}  # fmt: skip
RETORQUE: dict[str, Any] = {
    "torque": "125 lbf·ft", "tool": "TW-1", "turned": "yes", "degrees": "20",
    "thread_condition": "dry", "ride_height": True,
}  # fmt: skip


@dataclass
class House:
    """The fleet under test and short ways to act in it. Time stands still until `later`."""

    yard: Yard
    manager: Actor
    technician: Actor
    colleague: Actor
    driver: Actor
    vehicle: Vehicle
    design: Design
    tool: TorqueTool
    now: datetime = field(default=START)

    def later(self, **length: float) -> datetime:
        self.now += timedelta(**length)
        return self.now

    def joint(self, kind: str = "track_bar_frame_end", side: str = "") -> Joint:
        return build.joint(self.vehicle, kind, side)

    def look(self, kind: str, code: str, side: str = "", **typed: Any) -> Look:
        return Look(self.joint(kind, side).pk, code, **typed)

    def inspect(self, *looks: Look, kind: str = "routine", **more: Any) -> Any:
        sheet = inspect.Sheet(self.vehicle.pk, kind, looks, **{"at_wheel": "a helper", **more})
        by = self.technician
        return inspect.record_inspection(by, sheet, at=self.now).row

    def moved(self, kind: str = "track_bar_frame_end", degrees: str = "15") -> Any:
        return self.inspect(
            self.look(kind, "moved", method="wrench", degrees=degrees, torque="125 lbf·ft",
                      tool_id=self.tool.pk),
            kind="retorque",
        )  # fmt: skip

    def tight(self, kind: str = "track_bar_frame_end") -> Any:
        return self.inspect(
            self.look(kind, "tight", method="wrench", torque="125 lbf·ft", tool_id=self.tool.pk),
            kind="retorque",
        )

    def ticket(self, *lines: tuple[str, str | None]) -> Ticket:
        pairs = tuple((a, self.joint(kind).pk if kind else None) for a, kind in lines)
        new = repair.NewTicket(self.vehicle.pk, lines=pairs)
        return repair.open_ticket(self.technician, new, at=self.now).row

    def line(self, ticket: Ticket, action: str) -> TicketLine:
        return ticket.lines.exclude(state="dropped").get(action=action)

    def add_line(self, ticket: Ticket, action: str, kind: str | None, side: str = "") -> TicketLine:
        joint = self.joint(kind, side).pk if kind else None
        return repair.add_line(self.technician, ticket.pk, action, joint, at=self.now).row

    def record(self, line: TicketLine, typed: dict[str, Any], **changed: Any) -> Any:
        entry = repair.Entry(line.pk, {**typed, **changed})
        return repair.record_line(self.technician, entry, at=self.now).row

    def check(self, ticket: Ticket, by: Actor | None = None, **sheet: Any) -> Any:
        given = close_out.CheckSheet(**{"passed": True, "dry_steer": True, **sheet})
        return close_out.second_check(by or self.colleague, ticket.pk, given, at=self.now).row

    def test_drive(self, ticket: Ticket, passed: bool = True, note: str = "") -> Any:
        out = close_out.Release("a helper", "yard loop")
        close_out.release(self.colleague, ticket.pk, out, at=self.now)
        sheet = close_out.TestSheet(passed, note)
        return close_out.road_test(self.colleague, ticket.pk, sheet, at=self.now).row

    def close(self, ticket: Ticket, **more: Any) -> Ticket:
        return close_out.close_ticket(self.technician, ticket.pk, at=self.now, **more).row

    def repair(self, *lines: tuple[str, str | None, dict[str, Any]]) -> Ticket:
        """A whole repair from ticket to close, in one go."""
        ticket = self.ticket(*[(action, kind) for action, kind, _typed in lines])
        for action, _kind, typed in lines:
            self.record(self.line(ticket, action), typed)
        for extra in ticket.lines.filter(state="open", action="set_toe"):
            self.record(extra, SET_TOE)
        self.check(ticket)
        self.test_drive(ticket)
        return self.close(ticket)


@pytest.fixture
def house(db: None) -> House:
    return make_house()


_made: list[tuple[House, Rows]] = []


def make_house() -> House:
    """Made by the operations once, and put back as it was for every test after."""
    if not is_empty():
        return _make()
    if _made:
        house, rows = _made[0]
        put_back(rows)
        return _as_found(house)
    house = _make()
    _made.append((house, remember()))
    return house


def _as_found(house: House) -> House:
    """The same fleet with its rows read anew."""
    people_now = Person.objects.in_bulk()
    who: dict[str, Any] = {
        role: Actor(people_now[getattr(house, role).person.pk])
        for role in ("manager", "technician", "colleague", "driver")
    }
    return House(
        **who, yard=Yard.objects.get(), design=Design.objects.get(), tool=TorqueTool.objects.get(),
        vehicle=Vehicle.objects.select_related("design", "yard", "use").get(),
    )  # fmt: skip


def _make() -> House:
    load_reference(server_actor("command"), at=START)
    yard = build.yard("Alder")
    boss = Actor(people.manager())
    design = four_link()
    specs.set_spec(boss, a_spec(design, "track_bar_frame_end"), at=START)
    specs.set_spec(boss, a_spec(design, "track_bar_axle_end"), at=START)
    new = vehicles.NewVehicle("A-101", design.pk, yard.pk, "gravel", "mi", meter="48,000")
    vehicle = vehicles.add_vehicle(boss, new, at=START).row
    tool = a_tool(boss, yard, "TW-1")
    return House(
        yard, boss, Actor(people.technician(yard)), Actor(people.colleague(yard)),
        Actor(people.driver(yard)), vehicle, design, tool,
    )  # fmt: skip


def four_link() -> Design:
    by_code = {layout.code: layout for layout in Layout.objects.all()}
    return Design.objects.create(
        name="Foothill 3/4 four-link", make="Foothill", axle=by_code["four_link_coil"],
        linkage=by_code["crossing"], knuckle=by_code["ball_joint"], hub=by_code["unit_hub"],
        toe_low_m=0.0, toe_high_m=0.0032, toe_typed="0 to 1/8 in", toe_source="invented",
    )  # fmt: skip


def a_spec(design: Design, kind: str, **changed: Any) -> specs.NewSpec:
    values = {
        "origin": "factory", "low": "115 lbf·ft", "high": "135 lbf·ft",
        "thread_condition": "dry", "source": "Foothill service manual, invented",
    }  # fmt: skip
    return specs.NewSpec(design.pk, JointKind.objects.get(code=kind).pk, **{**values, **changed})


def a_tool(boss: Actor, yard: Yard, code: str, good_until: date | None = None) -> TorqueTool:
    new = tools.NewTool(code, "half-inch wrench", "set", "30 lbf·ft", "250 lbf·ft", yard.pk)
    tool = tools.add_tool(boss, new, at=START).row
    tools.calibrate(boss, tool.pk, "C-1", passed=True, on=date(2026, 3, 1), at=START,
                    good_until=good_until or date(2027, 3, 1))  # fmt: skip
    tool.refresh_from_db()
    return tool


def someone(role: str, *yards: Yard) -> Person:
    return people.person(role.title(), role, *yards)
