"""Rechecks of the demo: made, paid and passed on as `operations.rechecks` and `settle` do."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from fleet.calc.calendar import start_of_local_day
from fleet.operations import projection, rechecks, settle
from fleet.operations.demo.book import Gesture
from fleet.operations.demo.planning import plan
from fleet.operations.demo.readings import project
from fleet.operations.demo.truck import Owed, Spot, Truck
from fleet.operations.demo.world import World
from fleet.operations.looks import Seen
from fleet.operations.recheck_drive import LEAST_STEPS, speeds_of
from fleet.operations.rechecks import Start
from fleet.reads.rules import RuleNow
from fleet.records.inspections import SOUND
from fleet.records.models import (
    Finding,
    FindingCode,
    Inspection,
    Recheck,
    RecheckDrive,
    TicketLine,
)

Found = list[tuple[Finding, Seen]]
SPEEDS, LOOP = "20, 35, 45 mph", "Yard loop and the county road"


def make(
    world: World, truck: Truck, gesture: Gesture, ladder: RuleNow, start: Start, *,
    spot: Spot | None = None, rung: int = 0, factor: float = 1.0,
    floor: dict[str, float] | None = None,
) -> None:  # fmt: skip
    """One recheck, in place of a live one of the same ladder at the same joint.

    Two lines of one close that start the same ladder make one recheck.
    """
    key = (spot.joint.pk if spot else None, ladder.key)
    old = truck.live.get(key)
    if old is not None and _is_the_same(old.row, rung, start):
        return
    drop_live(world, truck, gesture, key)
    step = ladder.data["rungs"][rung]
    row = Recheck(
        uid=world.book.uid(start.at), vehicle=truck.vehicle, joint=spot.joint if spot else None,
        kind=ladder.data["kind"], ladder=ladder.key, rung=rung, rule_version=ladder.version,
        methods=step.get("methods", []), made_by_line=start.line, made_by_finding=start.finding,
        follows=start.follows, started_at=start.at, start_use_si=start.use_si,
        hold_at_twice=ladder.data.get("hold_at_twice", False),
        road_test=ladder.data.get("road_test", False),
    )  # fmt: skip
    rechecks._set_limits(row, truck.vehicle, rechecks._scaled(step, factor, floor or {}))
    project(truck)
    projection.place(row, truck.vehicle, truck.usage)
    world.book.keep(row, gesture.at)
    world.book.trail(gesture, "make_recheck", row, truck.vehicle,
                     after={"falls_on": str(row.falls_on)})  # fmt: skip
    truck.live[key] = plan(world, truck, row)


def _is_the_same(row: Recheck, rung: int, start: Start) -> bool:
    return (row.rung, row.started_at) == (rung, start.at) and row.follows is start.follows


def drop_live(
    world: World, truck: Truck, gesture: Gesture, key: tuple[int | None, str],
    reason: str = "done again",
) -> None:  # fmt: skip
    old = truck.live.pop(key, None)
    if old is None:
        return
    _miss(world, truck, old.row, gesture.at)
    old.row.state, old.row.drop_reason = Recheck.State.DROPPED, reason
    world.book.trail(gesture, "drop_recheck", old.row, truck.vehicle, reason=reason)


def done(
    world: World, truck: Truck, gesture: Gesture, owed: Owed, when: datetime,
    finding: Finding | None = None, line: TicketLine | None = None,
) -> None:  # fmt: skip
    """Paid, on time or late; what fell due in between stands as missed first."""
    row = owed.row
    _miss(world, truck, row, when)
    row.state, row.done_at = Recheck.State.DONE, when
    row.done_by_finding, row.done_by_line = finding, line
    truck.live.pop((row.joint_id, row.ladder), None)
    world.book.trail(gesture, "do_recheck", row, truck.vehicle, after={"rung": row.rung})


def _miss(world: World, truck: Truck, row: Recheck, before: datetime) -> None:
    """What the yard's midnight would have written, had it been waited for."""
    zone = truck.vehicle.yard.time_zone
    moments = []
    if row.due_on is not None:
        moments.append(start_of_local_day(row.due_on + timedelta(days=1), zone))
    if row.due_use_si is not None:
        limit = row.due_use_si
        past = (at for at, use, _kind in truck.readings if use > limit and at >= row.started_at)
        moments += [at for at in [next(past, None)] if at is not None]
    if not moments:
        return
    fell = min(moments)
    night = start_of_local_day((fell - timedelta(seconds=1)).astimezone(truck.zone).date()
                               + timedelta(days=1), zone)  # fmt: skip
    if night >= before:
        return
    row.fell_due_at = fell
    gesture = world.book.gesture(world.server, night, "task")
    world.book.trail(gesture, "miss_recheck", row, truck.vehicle,
                     after={"fell_due_at": str(fell)})  # fmt: skip


def start_ladders(
    world: World, truck: Truck, gesture: Gesture, key: str, start: Start, spot: Spot | None
) -> None:
    """The ladder of some work, on the joints that it names, and the ladders that go with it."""
    ladder = world.table["ladder"][key]
    only_for = ladder.data.get("for_kinds")
    if only_for and (spot is None or spot.kind.code not in only_for):
        return
    for target in _targets(truck, ladder, spot):
        make(world, truck, gesture, ladder, start, spot=target)
    for other in ladder.data.get("also", []):
        start_ladders(world, truck, gesture, other, start, spot)


def _targets(truck: Truck, ladder: RuleNow, spot: Spot | None) -> Iterable[Spot | None]:
    kinds = ladder.data["joints"]
    if kinds == "same":
        return [spot]
    if not kinds:
        return [None]
    side = spot.joint.side if ladder.data.get("same_side") and spot else ""
    return [
        one for one in truck.spots.values()
        if one.kind.code in kinds and side in ("", one.joint.side)
    ]  # fmt: skip


def start_standing(world: World, truck: Truck, gesture: Gesture, key: str, start: Start) -> None:
    """A standing recheck of the whole front end."""
    kind, rule = "annual" if key == "annual" else "routine", world.table["routine"][key]
    ladder = RuleNow(kind, rule.version, {"kind": kind, "rungs": [{**rule.data, "methods": []}]})
    make(world, truck, gesture, ladder, start)


def settle_sheet(
    world: World, truck: Truck, gesture: Gesture, inspection: Inspection, found: Found
) -> None:
    """Pay off what a sheet is a sufficient look for, as `settle.settle` does."""
    live = [o for o in truck.live.values() if o.row.started_at < inspection.occurred_at]
    from_share = world.settings["retorque_counts_from"]
    by_joint = {finding.joint_id: (finding, seen) for finding, seen in found}
    for owed in live:
        row = owed.row
        if row.joint_id is None:
            _settle_whole(world, truck, gesture, inspection, owed, found)
            continue
        finding, seen = by_joint.get(row.joint_id, (None, None))
        if finding is None or seen is None:
            continue
        if settle.shortfall(row, truck.vehicle, finding, seen.proves, from_share):
            continue
        done(world, truck, gesture, owed, finding.occurred_at, finding)
        _follow(world, truck, gesture, row, finding)
    owing = {(owed.row.joint_id, owed.row.kind) for owed in live}
    _first_after_moved(world, truck, gesture, found, owing)


def _follow(world: World, truck: Truck, gesture: Gesture, row: Recheck, finding: Finding) -> None:
    """Sound: the next rung. Moved: the same again, in half the time."""
    ladder = world.table["ladder"].get(row.ladder)
    if ladder is None or row.joint_id is None:
        return
    start = Start(finding.occurred_at, finding.use_si, finding=finding, follows=row)
    spot = truck.spots[row.joint_id]
    if finding.code in SOUND and row.rung + 1 < len(ladder.data["rungs"]):
        make(world, truck, gesture, ladder, start, spot=spot, rung=row.rung + 1)
    elif finding.code == FindingCode.MOVED:
        after = world.table["ladder"]["after_moved"].data
        shorter = settle._with_length(ladder, row, truck.vehicle)
        make(world, truck, gesture, shorter, start, spot=spot, rung=row.rung,
             factor=after["factor"], floor=after["floor"])  # fmt: skip


def steered(spot: Spot) -> bool:
    """Whether a dry steer of the whole front end may not leave this joint out."""
    return spot.kind.holds and "dry_steer" in spot.kind.play_methods


def _settle_whole(
    world: World, truck: Truck, gesture: Gesture, inspection: Inspection, owed: Owed, found: Found
) -> None:
    row, first = owed.row, found[0][0]
    if row.kind == Recheck.Kind.DRY_STEER:
        seen = {f.joint_id for f, _seen in found if f.method == "dry_steer"}
        from_share = world.settings["retorque_counts_from"]
        early = settle._too_early(row, truck.vehicle, first, from_share)
        if not early and {s.joint.pk for s in truck.spots.values() if steered(s)} <= seen:
            _looked(world, truck, gesture, owed, first)
        return
    if row.kind not in settle.WHOLE or inspection.kind not in settle._pays(row.kind):
        return
    told = {f.joint_id for f, seen in found if settle._told(f, seen)}
    if {s.joint.pk for s in truck.spots.values() if s.kind.holds} - told:
        return
    done(world, truck, gesture, owed, inspection.occurred_at, first)
    key = "annual" if row.kind == Recheck.Kind.ANNUAL else truck.vehicle.duty
    start = Start(inspection.occurred_at, inspection.use_si, follows=row)
    start_standing(world, truck, gesture, key, start)


def _looked(world: World, truck: Truck, gesture: Gesture, owed: Owed, finding: Finding) -> None:
    """The look is made; where a road test goes with it, it is driven the same day."""
    row = owed.row
    if not row.road_test:
        done(world, truck, gesture, owed, finding.occurred_at, finding)
        return
    if row.looked_by_finding is None:
        row.looked_by_finding = finding
        world.book.trail(gesture, "half_recheck", row, truck.vehicle,
                         after={"looked": True, "driven": False})  # fmt: skip


def drive(world: World, truck: Truck, at: datetime) -> None:
    """The road tests that looks made today have left owed."""
    for owed in [o for o in truck.live.values() if o.row.looked_by_finding is not None]:
        row = owed.row
        gesture = world.book.gesture(world.technician(truck), at)
        test = RecheckDrive(
            **world.book.fact(gesture.by, at), recheck=row, passed=True, speeds_typed=SPEEDS,
            driver=world.crews[truck.vehicle.yard_id].driver.name, place=LOOP,
            speeds_m_s=speeds_of(SPEEDS, truck.vehicle, LEAST_STEPS),
            use_si=truck.readings[-1][1],
        )  # fmt: skip
        world.book.keep(test, at)
        world.book.trail(gesture, "drive_recheck", test, truck.vehicle, after={"passed": True})
        row.driven_by = test
        done(world, truck, gesture, owed, at, row.looked_by_finding)
        truck.park(at + timedelta(minutes=40))


def _first_after_moved(
    world: World, truck: Truck, gesture: Gesture, found: Found,
    owing: set[tuple[int | None, str]],
) -> None:  # fmt: skip
    """A fastener found moved where nothing was owed was tightened: its own ladder starts."""
    by_kind = world.table["action"]["retorque"].data["ladder_by_kind"]
    for finding, seen in found:
        if finding.code != FindingCode.MOVED or not finding.turned:
            continue
        spot = truck.spots[seen.joint.pk]
        ladder = world.table["ladder"].get(by_kind.get(spot.kind.code, ""))
        if ladder is None or (finding.joint_id, ladder.data["kind"]) in owing:
            continue
        start = Start(finding.occurred_at, finding.use_si, finding=finding)
        make(world, truck, gesture, ladder, start, spot=spot)
