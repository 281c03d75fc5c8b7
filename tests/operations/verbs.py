"""Every verb of the operations, each as one call by some actor on the same small fleet."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from fleet.operations import (
    alignment_specs,
    assign,
    close_out,
    complain,
    designs,
    files,
    first_looks,
    fittings,
    fleet_facts,
    holds,
    inspect,
    interval_aims,
    intervals,
    leaves,
    meters,
    patterns,
    people,
    recheck_drive,
    repair,
    rules_seen,
    specs,
    take_out,
    tools,
    vehicles,
    yard_moves,
    yards,
)
from fleet.operations.actor import Actor
from fleet.operations.looks import Look
from fleet.operations.once import Request
from fleet.operations.person_rules import PersonFacts
from fleet.reads.rules_seen import newest_rule
from fleet.records.models import (
    Complaint,
    FileRequest,
    Hold,
    MeterReading,
    Pattern,
    Recheck,
    SelfCheckLeave,
    Sweep,
    Tablet,
    Ticket,
    TicketLine,
    YardMove,
)
from tests import build, far, held, outward, swept
from tests import people as somebody
from tests.operations.conftest import RETORQUE, House, a_spec, a_tool
from tests.operations.verbs_far import FAR
from tests.operations.verbs_plan import PLAN, Planned
from tests.operations.verbs_rules import OF_RULES, owed_by_rules


@dataclass
class Scene:
    """One ticket with a complete line, a complaint, a hold of a person, a pattern, two tools."""

    house: House

    def __post_init__(self) -> None:
        house = self.house
        self.ticket: Ticket = house.ticket(("retorque", "track_bar_frame_end"))
        self.line: TicketLine = house.line(self.ticket, "retorque")
        house.record(self.line, RETORQUE)
        report = complain.Report(house.vehicle.pk, "clunk")
        self.complaint: Complaint = complain.report_complaint(
            house.driver, report, at=house.now
        ).row
        self.hold: Hold = holds.place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now).row
        self.reading = MeterReading.objects.latest("id")
        self.second = a_tool(house.manager, house.yard, "TW-2")
        self.used = build.tool_use(self.second, house.manager.person, at=house.now)
        self.pattern: Pattern = build.pattern(house.joint(), [])
        self.interval = held.proposal(made_at=house.now, as_of=house.now)
        self.sweep: Sweep = swept.sweep(house.manager.person)
        self.recheck: Recheck = Recheck.objects.get(kind="routine")
        self._leaves()
        self.exception, self.soon, self.later = owed_by_rules(house)
        self.gone = somebody.person("Gone", "technician", house.yard, is_active=False)
        self.after_oscillation: Recheck = build.recheck(
            house.vehicle, kind="dry_steer", ladder="oscillation_closed", road_test=True,
            started_at=house.now,
        )  # fmt: skip
        self.ticket.refresh_from_db()
        asked = files.ask_for_file(house.manager, _ask(self, house.manager), at=house.now)
        self.asked: FileRequest = asked.row
        self.plan = Planned(house)
        self.tablet: Tablet = far.tablet(house.yard)
        self.webhook = outward.webhook(house.manager.person, house.yard, at=house.now)
        told = outward.event(house.yard, at=house.now)
        self.delivery = outward.delivery(self.webhook, told, state="dead")
        self.feed = outward.feed(house.manager.person, house.yard, at=house.now)
        self.sent = far.operation(self.tablet, house.technician.person, at=house.now)

    def _leaves(self) -> None:
        """The technician may check the line again; a second truck may be moved to the yard."""
        house = self.house
        who, boss = house.technician.person, house.manager.person
        self.leave: SelfCheckLeave = build.leave(self.ticket, who, boss, house.now)
        truck = build.vehicle(house.yard, "B-2", design=house.design)
        build.hold(truck, who, house.now)
        self.move: YardMove = build.yard_move(truck, who, house.now)

    @property
    def at(self) -> dict[str, Any]:
        return {"at": self.house.now + timedelta(hours=1)}


Call = Callable[..., Any]


def _sheet(s: Scene) -> inspect.Sheet:
    look = Look(s.house.joint().pk, "no_play", "feel")
    return inspect.Sheet(s.house.vehicle.pk, "routine", (look,))


def _new_vehicle(s: Scene) -> vehicles.NewVehicle:
    return vehicles.NewVehicle("B-7", s.house.design.pk, s.house.yard.pk, "gravel", "mi")


def _ask(s: Scene, actor: Actor) -> files.Ask:
    """A manager writes down who asks; a reader asks in their own name."""
    outside = "A county office" if actor.person.may("answer_file") else ""
    day = s.at["at"].date() + timedelta(days=9)
    return files.Ask(s.house.vehicle.pk, "audit", day, asker=outside)


CHECK = close_out.CheckSheet(passed=True, dry_steer=True)
OUT = close_out.Release("a helper", "yard loop")
TESTED = close_out.TestSheet(passed=True)
LOOKED = holds.Check(dry_steer=True, note="Looked over.")
SHOOK: dict[str, Any] = {"passed": False, "note": "Shook at 35."}
CASTER = alignment_specs.Sides("3.0", "5.5", "Foothill service manual, invented")
PULLS = ("125 lbf·ft",) * 3

# The ability that a verb needs, and the call; more keywords are handed on.
VERBS: dict[str, tuple[str, Call]] = {
    "report_complaint": ("report_complaint", lambda s, a, **k: complain.report_complaint(
        a, complain.Report(s.house.vehicle.pk, "clunk"), **s.at, **k)),
    "answer_complaint": ("answer_complaint", lambda s, a, **k: complain.answer_complaint(
        a, s.complaint.pk, "We look at it.", **s.at, **k)),
    "record_inspection": ("inspect", lambda s, a, **k: inspect.record_inspection(
        a, _sheet(s), **s.at, **k)),
    "record_meter": ("record_meter", lambda s, a, **k: meters.record_meter(
        a, meters.Reading(s.house.vehicle.pk, "48,001"), **s.at, **k)),
    "withdraw_reading": ("accept_reading", lambda s, a, **k: meters.withdraw_reading(
        a, s.reading.pk, "misread", **s.at, **k)),
    "open_ticket": ("open_ticket", lambda s, a, **k: repair.open_ticket(
        a, repair.NewTicket(s.house.vehicle.pk), **s.at, **k)),
    "add_line": ("record_line", lambda s, a, **k: repair.add_line(
        a, s.ticket.pk, "grease", None, **s.at, **k)),
    "drop_line": ("record_line", lambda s, a, **k: repair.drop_line(
        a, s.line.pk, "wrong joint", **s.at, **k)),
    "record_line": ("record_line", lambda s, a, **k: repair.record_line(
        a, repair.Entry(s.line.pk, RETORQUE), **s.at, **k)),
    "cancel_ticket": ("close_ticket", lambda s, a, **k: repair.cancel_ticket(
        a, s.ticket.pk, "opened twice", **s.at, **k)),
    "second_check": ("second_check", lambda s, a, **k: close_out.second_check(
        a, s.ticket.pk, CHECK, **s.at, **k)),
    "release": ("second_check", lambda s, a, **k: close_out.release(
        a, s.ticket.pk, OUT, **s.at, **k)),
    "road_test": ("second_check", lambda s, a, **k: close_out.road_test(
        a, s.ticket.pk, TESTED, **s.at, **k)),
    "close_ticket": ("close_ticket", lambda s, a, **k: close_out.close_ticket(
        a, s.ticket.pk, **s.at, **k)),
    "place_hold": ("place_hold", lambda s, a, **k: holds.place_hold(
        a, s.house.vehicle.pk, "Leaks", **s.at, **k)),
    "lift_hold": ("lift_hold", lambda s, a, **k: holds.lift_hold(
        a, s.hold.pk, LOOKED, **s.at, **k)),
    "set_fitting": ("set_fitting", lambda s, a, **k: fittings.set_fitting(
        a, fittings.Fitting(s.house.joint("damper_frame_end").pk, "apart", "bolt on order"),
        **s.at, **k)),
    "ask_for_file": ("ask_for_file", lambda s, a, **k: files.ask_for_file(
        a, _ask(s, a), **s.at, **k)),
    "answer_file": ("answer_file", lambda s, a, **k: files.answer_file(
        a, s.asked.pk, "Printed, 9 pages", **s.at, **k)),
    "take_out": ("take_file", lambda s, a, **k: take_out.take_out(
        a, s.house.vehicle.pk, take_out.Taken("pdf"), **s.at, **k)),
    "withdraw_file": ("ask_for_file", lambda s, a, **k: files.withdraw_file(
        a, s.asked.pk, "no longer wanted", **s.at, **k)),
    "add_tool": ("edit_tools", lambda s, a, **k: tools.add_tool(
        a, tools.NewTool("TW-7", "half-inch", "set", "30 lbf·ft", "250 lbf·ft", s.house.yard.pk),
        **s.at, **k)),
    "calibrate": ("edit_tools", lambda s, a, **k: tools.calibrate(
        a, s.second.pk, "C-9", passed=True, on=s.house.now.date(), **s.at, **k)),
    "set_lever": ("edit_tools", lambda s, a, **k: tools.set_lever(
        a, s.second.pk, "18 in", **s.at, **k)),
    "report_mishap": ("record_line", lambda s, a, **k: tools.report_mishap(
        a, s.second.pk, "fell", **s.at, **k)),
    "compare": ("record_line", lambda s, a, **k: tools.compare(
        a, s.second.pk, s.house.tool.pk, "125 lbf·ft", PULLS, **s.at, **k)),
    "set_spec": ("edit_specs", lambda s, a, **k: specs.set_spec(
        a, a_spec(s.house.design, "pitman_arm"), **s.at, **k)),
    "set_alignment": ("edit_specs", lambda s, a, **k: alignment_specs.set_alignment(
        a, alignment_specs.NewAlignment(s.house.design.pk, caster=CASTER), **s.at, **k)),
    "drive_recheck": ("inspect", lambda s, a, **k: recheck_drive.drive_recheck(
        a, recheck_drive.Drive(s.after_oscillation.pk, "a helper", "yard loop", "20, 35 mph",
                               **SHOOK), **s.at, **k)),
    "add_vehicle": ("edit_vehicles", lambda s, a, **k: vehicles.add_vehicle(
        a, _new_vehicle(s), **s.at, **k)),
    "change_vehicle": ("edit_vehicles", lambda s, a, **k: vehicles.change_vehicle(
        a, s.house.vehicle.pk, {"duty": "highway"}, **s.at, **k)),
    "lay_up": ("assign_work", lambda s, a, **k: vehicles.lay_up(
        a, s.house.vehicle.pk, "waits for a hub", **s.at, **k)),
    "bring_back": ("assign_work", lambda s, a, **k: vehicles.bring_back(
        a, s.house.vehicle.pk, **s.at, **k)),
    "let_go": ("edit_vehicles", lambda s, a, **k: vehicles.let_go(
        a, s.house.vehicle.pk, "sold", **s.at, **k)),
    "assign_recheck": ("assign_work", lambda s, a, **k: assign.assign_recheck(
        a, s.recheck.pk, s.house.technician.person.pk, **s.at, **k)),
    "judge_pattern": ("judge_pattern", lambda s, a, **k: patterns.judge_pattern(
        a, s.pattern.pk, to="looked_at", text="Hole oval", **s.at, **k)),
}  # fmt: skip


VERBS |= {
    "decide_move": ("decide_move", lambda s, a, **k: yard_moves.decide_move(
        a, yard_moves.Leave(s.house.vehicle.pk, "County road 7", "20 mph"), **s.at, **k)),
    "end_move": ("end_move", lambda s, a, **k: yard_moves.end_move(
        a, s.move.pk, yard_moves.End("arrived"), **s.at, **k)),
    "allow_self_check": ("allow_self_check", lambda s, a, **k: leaves.allow_self_check(
        a, s.ticket.pk, leaves.SelfCheck(s.house.colleague.person.pk, "Alone"), **s.at, **k)),
    "take_leave_back": ("allow_self_check", lambda s, a, **k: leaves.take_leave_back(
        a, s.leave.pk, "Somebody else is here", **s.at, **k)),
}  # fmt: skip

# How long joints hold, and what is made of it.
VERBS |= {
    "accept_interval": ("judge_interval", lambda s, a, **k: intervals.accept_interval(
        a, intervals.Decision(s.interval.pk), **s.at, **k)),
    "decline_interval": ("judge_interval", lambda s, a, **k: intervals.decline_interval(
        a, intervals.Decision(s.interval.pk, "The maker says 500"), **s.at, **k)),
    "take_interval_back": ("judge_interval", lambda s, a, **k: intervals.take_interval_back(
        a, intervals.Decision(s.interval.pk, "Too long after all"), **s.at, **k)),
    "set_aims": ("edit_rules", lambda s, a, **k: interval_aims.set_aims(
        a, interval_aims.NewAims("95", "90", "100", "700"), **s.at, **k)),
}  # fmt: skip

# Setting up a fleet, and its people.
VERBS |= {
    "add_yard": ("edit_yards", lambda s, a, **k: yards.add_yard(
        a, _yard("Cold Spring"), **s.at, **k)),
    "change_yard": ("edit_yards", lambda s, a, **k: yards.change_yard(
        a, s.house.yard.pk, _yard("Alder Creek"), **s.at, **k)),
    "add_person": ("edit_people", lambda s, a, **k: people.add_person(
        a, people.NewPerson("new-hand", "A new hand", "technician", yard_ids=(s.house.yard.pk,)),
        **s.at, **k)),
    "change_person": ("edit_people", lambda s, a, **k: people.change_person(
        a, s.house.colleague.person.pk, _hand(s), **s.at, **k)),
    "let_person_go": ("edit_people", lambda s, a, **k: people.let_person_go(
        a, s.house.colleague.person.pk, "moved away", **s.at, **k)),
    "take_person_back": ("edit_people", lambda s, a, **k: people.take_person_back(
        a, s.gone.pk, **s.at, **k)),
    "reset_sign_in": ("edit_people", lambda s, a, **k: people.reset_sign_in(
        a, s.house.colleague.person.pk, **s.at, **k)),
    "add_design": ("edit_specs", lambda s, a, **k: designs.add_design(
        a, designs.NewDesign("Ridge", "Ridge", "leaf", "fore_aft", "kingpin", "unit_hub"),
        **s.at, **k)),
    "set_fleet": ("name_fleet", lambda s, a, **k: fleet_facts.set_fleet(
        a, fleet_facts.FleetFacts("Test Range"), **s.at, **k)),
    "look_over_rules": ("edit_rules", lambda s, a, **k: rules_seen.look_over_rules(
        a, getattr(newest_rule(), "pk", None), **s.at, **k)),
    "set_first_looks": ("assign_work", lambda s, a, **k: first_looks.set_first_looks(
        a, s.house.yard.pk, first_looks.FirstLooks(s.house.now.date(), 2), **s.at, **k)),
}  # fmt: skip


VERBS |= FAR | OF_RULES | PLAN


def _yard(name: str) -> yards.NewYard:
    return yards.NewYard(name, "America/Denver", "555-0111")


def _hand(s: Scene) -> PersonFacts:
    return PersonFacts("A colleague", "scheduler", (s.house.yard.pk,))


def key(name: str, body: str = "a" * 64) -> Request:
    return Request(name, body)


def as_actor(person: Any) -> Actor:
    return Actor(person)
