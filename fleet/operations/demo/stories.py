"""What happens to named trucks: read from fixtures/demo/stories.json and worked into their life."""

from datetime import datetime, timedelta
from typing import Any

from fleet.operations.demo import inputs, intake, repairs, sheets
from fleet.operations.demo.book import Gesture
from fleet.operations.demo.life import cause
from fleet.operations.demo.readings import new_meter
from fleet.operations.demo.repairs import Job
from fleet.operations.demo.truck import Truck
from fleet.operations.demo.walk import Told
from fleet.operations.demo.world import World
from fleet.records.models import FindingCode

# What lies before the first days of a shorter history is left out.
SETTLED = timedelta(days=3)
Event = tuple[datetime, dict[str, Any]]
LOOSE_OR_BAD = (FindingCode.MOVED, FindingCode.PLAY)


def events_of(truck: Truck, world: World) -> list[Event]:
    """This truck's own story in order of time."""
    unit = truck.vehicle.unit_number
    rows = [row for row in inputs.read("stories")["events"] if row["unit"] == unit]
    found = [(_moment(truck, world, row["days_ago"]), row) for row in rows]
    renewal = _renewal(truck, world)
    oval = cause("oval")["units"].get(unit)
    if oval:
        found.append((_moment(truck, world, oval), {"what": "grows_oval"}))
    taken_over = inputs.read("stories")["intake"]
    found.append((intake.day_of(truck), {"what": "tighten_all", **taken_over}))
    found += _round(truck, world)
    if unit in cause("route")["units"]:
        found.append((_moment(truck, world, cause("route")["days_ago"]), {"what": "takes_route"}))
    kept = [event for event in [*found, *renewal] if event[0] > truck.clock + SETTLED]
    return sorted(kept, key=lambda event: event[0])


def _moment(truck: Truck, world: World, days_ago: int) -> datetime:
    day = (world.now - timedelta(days=days_ago)).astimezone(truck.zone).date()
    return truck.working(truck.moment(day, 9, 10))


def _renewal(truck: Truck, world: World) -> list[Event]:
    """Track bars renewed with their bolts two summers ago, from two lots."""
    story = inputs.read("stories")["renewal"]
    for lot, units in story["lots"].items():
        if truck.vehicle.unit_number in units:
            back = story["from"] - (story["from"] - story["to"]) * units.index(
                truck.vehicle.unit_number
            ) // len(units)
            typed = {"part_number": story["part"], "part_lot": lot}
            work = [
                ["replace_track_bar", end, typed]
                for end in ("track_bar_frame_end", "track_bar_axle_end")
            ]
            row = {"what": "repair", "title": "Track bar and bolts renewed", "found": [],
                   "work": work}  # fmt: skip
            return [(_moment(truck, world, back), row)]
    return []


def _round(truck: Truck, world: World) -> list[Event]:
    """The round of the service truck before a winter, one truck after another."""
    story = inputs.read("stories")["round"]
    if truck.vehicle.unit_number not in story["units"]:
        return []
    place = story["units"].index(truck.vehicle.unit_number)
    back = story["from"] - (story["from"] - story["to"]) * place // len(story["units"])
    return [(_moment(truck, world, back), {"what": "tighten_all", **story})]


def forced(
    truck: Truck, told: list[Told], found: list[dict[str, Any]], *, only: bool = False
) -> list[Told]:
    """The sheet with what the story found; `only`: and nothing else loose."""
    by_kind = {row["kind"]: row for row in found}
    return [
        _told(truck, one, by_kind[one.spot.kind.code])
        if one.spot.kind.code in by_kind
        else _sound(one)
        if only
        else one
        for one in told
    ]


def _told(truck: Truck, one: Told, row: dict[str, Any]) -> Told:
    one.spot.loose_at = min(one.spot.loose_at, truck.use)
    degrees = str(row["degrees"]) if "degrees" in row else ""
    return Told(one.spot, row["code"], row.get("method", "wrench"), degrees)


def _sound(one: Told) -> Told:
    if one.code not in LOOSE_OR_BAD:
        return one
    code = FindingCode.TIGHT if one.method == "wrench" else FindingCode.NO_PLAY
    return Told(one.spot, code, one.method)


def work_of(world: World, truck: Truck, gesture: Gesture, job: Job, story: dict[str, Any]) -> None:
    """The lines that the story had done."""
    for action, kind, *more in story.get("work", []):
        spot = truck.spot(kind)
        if spot is not None:
            typed = more[0] if more else {}
            repairs.add_line(world, truck, gesture, job, action, spot, more=typed)


def happen(world: World, truck: Truck, at: datetime, story: dict[str, Any]) -> None:
    """One event that is no complaint."""
    what = story["what"]
    gesture = world.book.gesture(world.technician(truck), at)
    if what == "grows_oval":
        spot = truck.spot(cause("oval")["joint"])
        if spot is not None:
            spot.oval = True
            truck.tighten(spot, "", at)
    elif what == "takes_route":
        truck.take_route()
    elif what == "tighten_all":
        intake.put_on_the_wrench(world, truck, gesture, story["title"], story["cause"])
    elif what == "new_meter":
        new_meter(world, truck, gesture, story["reads"])
    else:
        _find_and_mend(world, truck, gesture, story)


def _find_and_mend(world: World, truck: Truck, gesture: Gesture, story: dict[str, Any]) -> None:
    """A look at the named joints, and the work where the story had some done."""
    told = [
        _told(truck, Told(spot, "", ""), row)
        for row in story["found"]
        if (spot := truck.spot(row["kind"])) is not None
    ]
    calling = sheets.record(world, truck, gesture, "recheck", told) if told else []
    if not calling and not story.get("work"):
        return
    if story.get("cures") == "oval":
        spot = truck.spot(cause("oval")["joint"])
        if spot is not None:
            spot.oval = False
    job = repairs.open_job(world, truck, gesture, title=story.get("title", ""))
    repairs.answer_findings(world, truck, gesture, job, calling)
    work_of(world, truck, gesture, job, story)
    repairs.work_and_close(world, truck, job, truck.working(gesture.at + timedelta(hours=1)))
