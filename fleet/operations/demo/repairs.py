"""Tickets of the demo, from opening to close, as `repair`, `close_out` and `aftermath` do it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from fleet.operations import toe
from fleet.operations.actions import opens_steering
from fleet.operations.aftermath import held_toe
from fleet.operations.complain import speed_m_s
from fleet.operations.demo import lines, owing
from fleet.operations.demo.book import Gesture
from fleet.operations.demo.owing import Found
from fleet.operations.demo.truck import Spot, Truck
from fleet.operations.demo.world import World
from fleet.operations.evidence import tape_readings
from fleet.operations.holds import columns_of
from fleet.operations.rechecks import Start
from fleet.operations.respond import found_words
from fleet.operations.words import value
from fleet.reads.rules import RuleNow
from fleet.records.base import in_every_language
from fleet.records.models import (
    Complaint,
    ComplaintKind,
    Finding,
    FindingCode,
    Hold,
    Recheck,
    RoadRelease,
    RoadTest,
    SecondCheck,
    Ticket,
    TicketLine,
)

MINUTE = timedelta(minutes=1)
LINE_TAKES, CHECK_AFTER, RELEASE_AFTER, TEST_AFTER, CLOSE_AFTER = (
    25 * MINUTE, 15 * MINUTE, 5 * MINUTE, 35 * MINUTE, 10 * MINUTE
)  # fmt: skip
ROAD_TEST = timedelta(hours=4)
TOP_SPEED = "45 mph"


@dataclass
class Job:
    """A ticket under way, with the joint and the typing of each line."""

    ticket: Ticket
    complaint: Complaint | None
    lines: list[tuple[TicketLine, Spot | None, dict[str, Any]]] = field(default_factory=list)
    holds: list[Hold] = field(default_factory=list)
    did: set[int] = field(default_factory=set)


def place_hold(
    world: World, truck: Truck, gesture: Gesture, reason: str, say: Callable[[], str], **why: Any
) -> Hold:
    said = in_every_language(say)
    row = Hold(
        uid=world.book.uid(gesture.at), vehicle=truck.vehicle, reason=reason, placed_at=gesture.at,
        placed_by=gesture.by, **columns_of(said, "text"), **why,
    )  # fmt: skip
    world.book.keep(row, gesture.at)
    world.book.trail(gesture, "place_hold", row, truck.vehicle,
                     after={"reason": reason, "text": said})  # fmt: skip
    return row


def open_job(
    world: World, truck: Truck, gesture: Gesture, complaint: Complaint | None = None,
    hold: Hold | None = None, title: str = "",
) -> Job:  # fmt: skip
    """Open a ticket; it adopts the hold that the complaint had placed."""
    ticket = Ticket(
        uid=world.book.uid(gesture.at), vehicle=truck.vehicle, opened_at=gesture.at,
        opened_by=gesture.by, complaint=complaint, title=title,
    )  # fmt: skip
    world.book.keep(ticket, gesture.at)
    world.book.trail(gesture, "open_ticket", ticket, truck.vehicle)
    job = Job(ticket, complaint)
    if hold is not None:
        hold.ticket = ticket
        job.holds.append(hold)
    return job


def answer_findings(world: World, truck: Truck, gesture: Gesture, job: Job, found: Found) -> None:
    """A line, and where called for a hold, for each finding."""
    for finding, seen in found:
        spot = truck.spots[seen.joint.pk]
        add_line(world, truck, gesture, job, suggested(world, finding, spot), spot, finding)
        if finding.response == Finding.Response.HOLD:
            say = partial(found_words, seen.joint, finding)
            job.holds.append(place_hold(
                world, truck, gesture, Hold.Reason.FINDING, say, joint=spot.joint,
                finding=finding, ticket=job.ticket,
            ))  # fmt: skip


def suggested(world: World, finding: Finding, spot: Spot) -> str:
    """As `operations.lines.suggested_action`, from the rules already read."""
    fitting = [
        (len(rule.data["kinds"]), key)
        for key, rule in world.table["action"].items()
        if spot.kind.code in rule.data["kinds"] and finding.code in rule.data["answers"]
    ]
    return min(fitting)[1] if fitting else "outside_shop"


def add_line(
    world: World, truck: Truck, gesture: Gesture, job: Job, action: str, spot: Spot | None,
    finding: Finding | None = None, more: dict[str, Any] | None = None,
) -> None:  # fmt: skip
    """One line and the lines that it brings; a line that stands already serves."""
    joint = spot.joint if spot else None
    for line, _spot, typed in job.lines:
        if line.joint == joint and line.action == action:
            typed.update(more or {})
            return
    rule = world.table["action"][action]
    line = TicketLine(
        uid=world.book.uid(gesture.at), ticket=job.ticket, joint=joint, action=action,
        position=len(job.lines) + 1, from_finding=finding, rule_version=rule.version,
    )  # fmt: skip
    world.book.keep(line, gesture.at)
    _step(job)
    world.book.trail(gesture, "add_line", line, truck.vehicle, after={"action": action})
    job.lines.append((line, spot, dict(more or {})))
    for other in rule.data.get("brings", []):
        add_line(world, truck, gesture, job, other, None)


def _step(job: Job) -> None:
    job.ticket.version += 1


def work_and_close(
    world: World, truck: Truck, job: Job, at: datetime, outcome: str = "", *,
    takes: timedelta = LINE_TAKES,
) -> datetime:  # fmt: skip
    """Do every line from `at` on, check, test and close; returns when it was closed."""
    moment = at
    for line, spot, more in job.lines:
        person = world.technician(truck)
        job.did.add(person.pk)
        gesture = world.book.gesture(person, moment, "web")
        rule = world.table["action"][line.action]
        lines.record(world, truck, gesture, line, rule, spot, more)
        line.state = TicketLine.State.CLOSED
        _step(job)
        moment += takes
    checked = None
    if _needs_check(world, job):
        moment, checked = _check_and_test(world, truck, job, moment)
    _close(world, truck, job, moment, outcome, checked)
    truck.park(moment)
    return moment


def _needs_check(world: World, job: Job) -> bool:
    """As `closing.Job.needs_check`, and where nothing was found."""
    holds = any(spot is not None and spot.kind.holds for _line, spot, _more in job.lines)
    return bool(job.holds) or _opened(world, job) or holds or not job.lines


def _opened(world: World, job: Job) -> bool:
    table = world.table["action"]
    return any(
        opens_steering(table[line.action], spot.joint if spot else None)
        for line, spot, _more in job.lines
    )


def _check_and_test(
    world: World, truck: Truck, job: Job, at: datetime
) -> tuple[datetime, SecondCheck]:
    """Second check by somebody who did no line, release for a road test, the road test."""
    book, ticket = world.book, job.ticket
    checker = world.another(truck, job.did)
    far = checker in world.managers
    moment = at + CHECK_AFTER
    gesture = book.gesture(checker, moment)
    check = SecondCheck(
        **book.fact(checker, moment), ticket=ticket, vehicle=truck.vehicle, passed=True,
        dry_steer=True, how=SecondCheck.How.DISTANCE if far else SecondCheck.How.IN_PERSON,
    )  # fmt: skip
    book.trail(gesture, "second_check", check, truck.vehicle, after={"passed": True})
    moment += RELEASE_AFTER
    gesture = book.gesture(checker, moment)
    driver = world.crews[truck.vehicle.yard_id].driver
    release = RoadRelease(
        **book.fact(checker, moment), ticket=ticket, driver=driver.name,
        place="Yard loop and the county road", until=moment + ROAD_TEST,
    )  # fmt: skip
    book.trail(gesture, "release", release, truck.vehicle, after={"until": str(release.until)})
    moment += TEST_AFTER
    gesture = book.gesture(checker, moment)
    test = RoadTest(
        **book.fact(checker, moment), ticket=ticket, release=release, passed=True,
        top_speed_typed=TOP_SPEED, top_speed_m_s=speed_m_s(TOP_SPEED, truck.vehicle),
    )  # fmt: skip
    book.trail(gesture, "road_test", test, truck.vehicle, after={"passed": True})
    for row in (check, release, test):
        book.keep(row, row.occurred_at)
        _step(job)
    return moment, check


def _close(
    world: World, truck: Truck, job: Job, at: datetime, outcome: str, check: SecondCheck | None
) -> None:
    """Closed; this ticket's holds lifted; rechecks made."""
    by = check.by if check else world.managers[0]
    gesture = world.book.gesture(by, at)
    ticket = job.ticket
    ticket.state, ticket.closed_at, ticket.closed_by = Ticket.State.CLOSED, at, by
    ticket.outcome = outcome
    _step(job)
    _make_rechecks(world, truck, gesture, job)
    for hold in job.holds:
        hold.lifted_at, hold.lifted_by, hold.lifted_by_check = at, by, check
        world.book.trail(gesture, "lift_hold", hold, truck.vehicle, after={"check": check})
    world.book.trail(gesture, "close_ticket", ticket, truck.vehicle,
                     after={"lines": len(job.lines)})  # fmt: skip


def _make_rechecks(world: World, truck: Truck, gesture: Gesture, job: Job) -> None:
    use = truck.readings[-1][1]
    table, ladders = world.table["action"], world.table["ladder"]
    for line, spot, _more in job.lines:
        data, start = table[line.action].data, Start(gesture.at, use, line=line)
        if spot is not None and FindingCode.PLAY in data["answers"]:
            inside = (spot.joint.pk, "inside_line")
            owing.drop_live(world, truck, gesture, inside, "part replaced")
        by_kind = data.get("ladder_by_kind", {})
        key = data.get("ladder") or by_kind.get(spot.kind.code if spot else "")
        if key and key != "steering_opened":
            owing.start_ladders(world, truck, gesture, key, start, spot)
        for other in ladders.values():
            trigger = other.data.get("trigger")
            typed = line.entry.data if line.entry else {}
            if trigger and value(typed, trigger["field"]) == trigger["is"]:
                owing.start_ladders(world, truck, gesture, other.key, start, spot)
    _rack(world, truck, gesture, job, Start(gesture.at, use))
    _after_complaint(world, truck, gesture, job, Start(gesture.at, use))


def _rack(world: World, truck: Truck, gesture: Gesture, job: Job, start: Start) -> None:
    """Steering opened: the rack is owed, unless this ticket had it on the rack."""
    racked = next((line for line, *_ in job.lines if line.action == "full_alignment"), None)
    if racked is not None:
        for owed in [o for o in truck.live.values() if o.row.kind == Recheck.Kind.RACK]:
            owing.done(world, truck, gesture, owed, gesture.at, line=racked)
        return
    if not _opened(world, job):
        return
    ladder = world.table["ladder"]["steering_opened"]
    far = ladder.data["far_yard"]
    if truck.vehicle.yard.far and _held_its_toe(truck, job, far["conditions"]):
        ladder = RuleNow(ladder.key, ladder.version, {**ladder.data, "rungs": far["rungs"]})
    owing.make(world, truck, gesture, ladder, start)


def _held_its_toe(truck: Truck, job: Job, wanted: dict[str, Any]) -> bool:
    """As `operations.aftermath`, from the entry that is in memory."""
    done = {line.action: line for line, *_ in job.lines}
    line = done.get("set_toe")
    data = line.entry.data if line is not None and line.entry is not None else {}
    sides = toe.specified(data, truck.vehicle)
    left = [one["toe_m"] for one in tape_readings(data) if one["as_left"]]
    centred = "centre_wheel" in done
    return sides is not None and held_toe(data, left, sides, wanted, centred=centred)


def _after_complaint(world: World, truck: Truck, gesture: Gesture, job: Job, start: Start) -> None:
    if job.complaint is None:
        return
    key = "" if job.lines else "nothing_found"
    if job.complaint.kind == ComplaintKind.AXLE_OSCILLATION:
        key = "oscillation_closed"
    if key:
        owing.make(world, truck, gesture, world.table["ladder"][key], start)
