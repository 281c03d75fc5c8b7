"""A truck's life in the demo, from its first day on record to the evening before today."""

from datetime import datetime, timedelta

from fleet.operations.demo import (
    complaints,
    inputs,
    intake,
    owing,
    readings,
    repairs,
    sheets,
    stories,
    walk,
)
from fleet.operations.demo.planning import put_off
from fleet.operations.demo.truck import Owed, Truck
from fleet.operations.demo.walk import Told
from fleet.operations.demo.world import World
from fleet.operations.rechecks import Start, share_at
from fleet.records.models import Recheck

METER_DAYS = (10.0, 17.0)
# Rechecks due within so many days of each other make one sheet.
TOGETHER = timedelta(days=6)
EVENING = 17
HOUR = timedelta(hours=1)
# The last days are left to what is owed: a complaint might not be closed before today.
NO_MORE = timedelta(days=8)
WHOLE = (Recheck.Kind.ROUTINE, Recheck.Kind.ANNUAL)


def live(world: World, truck: Truck, until: datetime) -> None:
    """Let a truck live until a moment: fuel, rechecks, complaints, and its own story."""
    begin(world, truck)
    yearly = inputs.read("truth")["complaints_a_year"]
    events = stories.events_of(truck, world)
    meter_at = _next_meter(truck)
    feels_at = complaints.next_complaint(truck, yearly)
    while True:
        visit_at = min(owed.planned for owed in truck.live.values())
        story_at = events[0][0] if events else until
        at = min(meter_at, visit_at, feels_at, story_at)
        if max(at, truck.clock) >= until:
            return
        moment = max(at, truck.clock + HOUR)
        if at == meter_at:
            _fuel(world, truck, moment)
            meter_at = _next_meter(truck)
        elif at == story_at:
            _story(world, truck, moment, events.pop(0)[1])
        elif at == visit_at:
            _come_in(world, truck, truck.working(moment), until)
        else:
            if moment < until - NO_MORE:
                _feel(world, truck, moment)
            feels_at = complaints.next_complaint(truck, yearly)


def _come_in(world: World, truck: Truck, at: datetime, until: datetime) -> None:
    """The visit, or where that would be past the end, the plan of it."""
    if at < until:
        visit(world, truck, at)
        return
    for owed in truck.live.values():
        owed.planned = max(owed.planned, at)


def begin(world: World, truck: Truck) -> None:
    """The first reading, and the standing rechecks."""
    gesture = world.book.gesture(world.managers[0], truck.clock)
    world.book.trail(gesture, "add_vehicle", truck.vehicle, truck.vehicle,
                     after={"unit": truck.vehicle.unit_number})  # fmt: skip
    row = readings.read_meter(world, truck, gesture)
    intake.read_old_file(world, truck, gesture)
    start = Start(gesture.at, row.use_si)
    for key in (truck.vehicle.duty, "annual"):
        owing.start_standing(world, truck, gesture, key, start)


def _next_meter(truck: Truck) -> datetime:
    day = truck.clock + timedelta(days=float(truck.rng.uniform(*METER_DAYS)))
    return truck.moment(day.astimezone(truck.zone).date(), EVENING, int(truck.rng.integers(60)))


def _fuel(world: World, truck: Truck, at: datetime) -> None:
    truck.drive(at)
    readings.read_meter(world, truck, world.book.gesture(world.feed, at, "api"))


def _story(world: World, truck: Truck, at: datetime, story: dict[str, object]) -> None:
    at = truck.working(at)
    truck.drive(at)
    if story["what"] == "complaint":
        said = {**story, "kind": story["complaint"]}
        complaints.live_through(world, truck, at, said, story)
    else:
        stories.happen(world, truck, at, story)


def _feel(world: World, truck: Truck, at: datetime) -> None:
    truck.drive(at)
    said = complaints.usual(truck, at)
    if said is not None:
        complaints.live_through(world, truck, at, said, None)


def visit(world: World, truck: Truck, at: datetime) -> None:
    """The truck comes in: what is due together is done together."""
    truck.drive(at)
    due = [owed for owed in truck.live.values() if owed.planned <= at + TOGETHER]
    rack = [owed for owed in due if owed.row.kind == Recheck.Kind.RACK]
    due = [owed for owed in due if owed not in rack and _counts(world, truck, owed, at)]
    if due:
        _sheet(world, truck, at, due)
    if rack:
        _to_the_rack(world, truck, truck.clock + timedelta(minutes=30))
    for owed in truck.live.values():
        if owed.planned <= at:
            put_off(truck, owed)


def _counts(world: World, truck: Truck, owed: Owed, at: datetime) -> bool:
    """Before half its interval a look would pay nothing."""
    share = share_at(owed.row, truck.vehicle, at, int(truck.use))
    return bool(share >= world.settings["retorque_counts_from"])


def _sheet(world: World, truck: Truck, at: datetime, due: list[Owed]) -> None:
    kinds = {owed.row.kind for owed in due}
    gesture = world.book.gesture(world.technician(truck), at)
    whole = kinds.intersection(WHOLE)
    if whole:
        kind = "annual" if Recheck.Kind.ANNUAL in kinds else "routine"
        told = _sufficient(truck, walk.whole(truck), due)
    else:
        kind = sheets.kind_of([owed.row for owed in due])
        told = _looks_for(truck, due)
    calling = sheets.record(world, truck, gesture, kind, told)
    truck.park(at + timedelta(hours=1))
    if calling:
        job = repairs.open_job(world, truck, gesture)
        repairs.answer_findings(world, truck, gesture, job, calling)
        wait = timedelta(hours=1, days=world.days_for_parts(truck, at, 2))
        repairs.work_and_close(world, truck, job, truck.working(at + wait))
    # Held it is not driven: after the repair, or at once where nothing called for one.
    owing.drive(world, truck, truck.clock + timedelta(minutes=20))


def _sufficient(truck: Truck, told: list[Told], due: list[Owed]) -> list[Told]:
    """On a whole sheet, what is owed at a joint is looked at by a method that suffices."""
    own = {one.spot.joint.pk: one for one in _looks_for(truck, due)}
    return [own.get(one.spot.joint.pk, one) for one in told]


def _looks_for(truck: Truck, due: list[Owed]) -> list[Told]:
    found: dict[int, Told] = {}
    for owed in due:
        row = owed.row
        if row.joint_id is not None:
            spot = truck.spots[row.joint_id]
            found[row.joint_id] = walk.look(truck, spot, _method(truck, owed))
        elif row.kind == Recheck.Kind.DRY_STEER:
            for one in walk.by_dry_steer(truck):
                found.setdefault(one.spot.joint.pk, one)
    return list(found.values())


def _method(truck: Truck, owed: Owed) -> str:
    """A method that suffices for this recheck and can be used on this joint."""
    spot = truck.spots[owed.row.joint_id or 0]
    wanted = owed.row.methods
    if "wrench" in wanted and spot.spec is not None:
        return "wrench"
    fit = [method for method in wanted if method in spot.kind.play_methods]
    return str((fit or wanted or ["look"])[0])


def _to_the_rack(world: World, truck: Truck, at: datetime) -> None:
    """The full alignment that opened steering owes, at a shop outside."""
    readings.read_meter(world, truck, world.book.gesture(world.technician(truck), at))
    readings.project(truck)
    gesture = world.book.gesture(world.technician(truck), at)
    job = repairs.open_job(world, truck, gesture, title="Alignment owed after the repair")
    repairs.add_line(world, truck, gesture, job, "full_alignment", None)
    repairs.work_and_close(world, truck, job, truck.working(at + timedelta(hours=2)))
