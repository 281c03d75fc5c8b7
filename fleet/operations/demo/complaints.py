"""Complaints of the demo: reported, looked into, answered, as `complain` and its tickets do."""

from datetime import datetime, timedelta
from typing import Any

from fleet.operations.complain import Report, holds_at_once, speed_m_s
from fleet.operations.demo import repairs, sheets, walk
from fleet.operations.demo.stories import forced, work_of
from fleet.operations.demo.truck import Truck
from fleet.operations.demo.world import World
from fleet.records.models import Complaint, ComplaintAnswer, ComplaintKind, Hold

ASKED = ("after_bump", "under_braking", "stopped_only_when_slowed", "sudden", "steering_changed")
# What drivers report by themselves, and how often each (own).
USUAL = {
    "wheel_shake": ("Steering wheel shakes on the straight.", 0.35),
    "wander": ("Wanders, I keep correcting.", 0.25),
    "clunk": ("Clunk from the front when I turn.", 0.25),
    "pull": ("Pulls to the right.", 0.15),
}
SHAKEN = {"kind": ComplaintKind.AXLE_OSCILLATION.value, "after_bump": True,
          "stopped_only_when_slowed": True, "speed": "45 mph",
          "text": "The whole front end shook until I had slowed right down."}  # fmt: skip
SAME_DAYS = 32
ANSWERED_AFTER = timedelta(minutes=20)


def next_complaint(truck: Truck, yearly: float) -> datetime:
    """When the driver next feels something, by day."""
    day = truck.clock + timedelta(days=1 + float(truck.rng.exponential(365 / yearly)))
    return truck.moment(day.astimezone(truck.zone).date(), int(truck.rng.integers(7, 18)), 20)


def usual(truck: Truck, at: datetime) -> dict[str, Any] | None:
    """What the driver feels now; None where it would be the same as a short while ago."""
    bar = (truck.spot("track_bar_frame_end"), truck.spot("track_bar_axle_end"))
    if any(spot is not None and truck.use > spot.loose_at for spot in bar):
        return dict(SHAKEN)
    names = list(USUAL)
    weights = [share for _text, share in USUAL.values()]
    kind = names[int(truck.rng.choice(len(names), p=weights))]
    last = truck.complained.get(kind)
    if last is not None and at - last < timedelta(days=SAME_DAYS):
        return None
    return {"kind": kind, "text": USUAL[kind][0], "speed": "35 mph"}


def live_through(
    world: World, truck: Truck, at: datetime, said: dict[str, Any], story: dict[str, Any] | None
) -> None:
    """The driver reports; the yard looks, works, tests, closes and answers."""
    complaint, hold = report(world, truck, at, said)
    looked_at = truck.working(at + timedelta(hours=2))
    if hold is None:
        truck.drive(looked_at)
    truck.park(looked_at)
    gesture = world.book.gesture(world.technician(truck), looked_at)
    told = walk.hold_joints(truck)
    if story is not None:
        told = forced(truck, told, story["found"], only=True)
    elif said["kind"] == ComplaintKind.AXLE_OSCILLATION:
        told = _shown(truck, told)
    calling = sheets.record(world, truck, gesture, "complaint", told, complaint)
    job = repairs.open_job(world, truck, gesture, complaint, hold)
    repairs.answer_findings(world, truck, gesture, job, calling)
    for one in told:
        if one.code == "moved":
            repairs.add_line(world, truck, gesture, job, "retorque", one.spot)
    if story is not None:
        work_of(world, truck, gesture, job, story)
    days = world.days_for_parts(truck, looked_at, 2 if job.lines else 0)
    start = truck.working(looked_at + timedelta(hours=1, days=days))
    outcome = "" if job.lines else "Every hold joint looked at, dry steer, tires: nothing found"
    closed = repairs.work_and_close(world, truck, job, start, outcome)
    _answer(world, truck, complaint, closed + ANSWERED_AFTER, story)


def _shown(truck: Truck, told: list[walk.Told]) -> list[walk.Told]:
    """An oscillating axle has its cause looked for until it is seen: play at the track bar."""
    loose = {
        one.spot.joint.pk for one in told
        if one.spot.kind.code in walk.ENDS and truck.use >= one.spot.loose_at
    }  # fmt: skip
    return [
        walk.Told(one.spot, "play", "dry_steer") if one.spot.joint.pk in loose else one
        for one in told
    ]


def report(
    world: World, truck: Truck, at: datetime, said: dict[str, Any]
) -> tuple[Complaint, Hold | None]:
    rule = world.table["complaint"][said["kind"]]
    driver = world.crews[truck.vehicle.yard_id].driver
    answers: dict[str, Any] = {name: said.get(name) for name in ASKED}
    answers["sudden"] = said.get("sudden", False)
    held = holds_at_once(rule, Report(truck.vehicle.pk, said["kind"], **answers))
    gesture = world.book.gesture(driver, at)
    row = Complaint(
        **world.book.fact(driver, at), vehicle=truck.vehicle, kind=said["kind"],
        text=said["text"], speed_typed=said.get("speed", ""),
        speed_m_s=speed_m_s(said.get("speed", ""), truck.vehicle), rule_version=rule.version,
        use_si=truck.readings[-1][1] if truck.readings else None, held=held, **answers,
    )  # fmt: skip
    world.book.keep(row, at)
    world.book.trail(gesture, "report_complaint", row, truck.vehicle,
                     after={"kind": row.kind, "held": held})  # fmt: skip
    truck.complained[row.kind] = at
    hold = None
    if held:
        hold = repairs.place_hold(
            world, truck, gesture, Hold.Reason.COMPLAINT, lambda: rule.name, complaint=row
        )
    return row, hold


def _answer(
    world: World, truck: Truck, complaint: Complaint, at: datetime, story: dict[str, Any] | None
) -> None:
    text = (story or {}).get("answer") or "It was looked into and closed. Tell us if it comes back."
    by = world.managers[0]
    row = ComplaintAnswer(**world.book.fact(by, at), complaint=complaint, text=text)
    world.book.keep(row, at)
    world.book.trail(world.book.gesture(by, at), "answer_complaint", row, truck.vehicle)
