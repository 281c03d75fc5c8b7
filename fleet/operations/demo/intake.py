"""How a truck of the demo comes on record: its parts from its old file, then every bolted joint
put on the wrench and tightened, one truck a working day or so in each yard.

Without it nobody would know since when a fastener has held, and no clock would run. The same is
done once more on some, on the round before a winter.
"""

from datetime import date, datetime, timedelta
from typing import Any

from fleet.operations.demo import inputs, repairs
from fleet.operations.demo.book import Gesture, draft
from fleet.operations.demo.truck import Spot, Truck
from fleet.operations.demo.world import World, chance
from fleet.records.models import HeldBy, PartChange

# A pin is not drawn, nor a hub opened, where nothing moved.
BOLTED = (HeldBy.BOLT, HeldBy.CLAMP, HeldBy.U_BOLT, HeldBy.STUD_NUTS)
LEFT_ALONE = ("axle_nut",)
FIRST_DAY, A_TRUCK = 4, 1.3
LINE_TAKES = timedelta(minutes=6)
DEGREES = (3, 13)
# A model year begins the summer before.
NEW_MODELS = (7, 1)


def day_of(truck: Truck) -> datetime:
    """When it is its turn: by its number, since a yard takes in one after another."""
    number = int(truck.vehicle.unit_number[-2:])
    return truck.working(truck.clock + timedelta(days=FIRST_DAY + number * A_TRUCK))


def put_on_the_wrench(
    world: World, truck: Truck, gesture: Gesture, title: str, cause: str
) -> None:  # fmt: skip
    """One ticket with a line for each bolted joint that has a figure; all of them turn."""
    job = repairs.open_job(world, truck, gesture, title=title)
    spots = sorted(truck.spots.values(), key=lambda spot: (spot.joint.order, spot.joint.pk))
    for spot in spots:
        if _is_bolted(spot):
            typed = _typed(truck, spot) | {"cause_found": cause}
            repairs.add_line(world, truck, gesture, job, "retorque", spot, more=typed)
    begin = truck.working(gesture.at + timedelta(minutes=30))
    repairs.work_and_close(world, truck, job, begin, takes=LINE_TAKES)


def _is_bolted(spot: Spot) -> bool:
    told = spot.spec is not None and spot.kind.held_by in BOLTED
    return told and spot.kind.code not in LEFT_ALONE


def _typed(truck: Truck, spot: Spot) -> dict[str, Any]:
    typed = {**inputs.read("entries")["intake"], "degrees": str(truck.rng.integers(*DEGREES))}
    if spot.spec is not None and spot.spec.new_fastener:
        typed["new_fastener"] = "yes"
    return typed


def read_old_file(world: World, truck: Truck, gesture: Gesture) -> None:
    """The parts in place, fitted before the record began, at the use that its old file gives."""
    for spot in truck.spots.values():
        number = _part_of(spot)
        if number and not chance(truck.rng, inputs.read("entries")["old_file"]["lost"]):
            _in_place(world, truck, gesture, spot, number)


def _part_of(spot: Spot) -> str:
    """The number of a part whose age is kept, by the joint it sits at; or empty."""
    parts: dict[str, str] = inputs.read("entries")["old_file"]["parts"]
    return parts.get(spot.kind.code, "")


def _in_place(world: World, truck: Truck, gesture: Gesture, spot: Spot, number: str) -> None:
    lots = inputs.read("entries")["old_file"]["lots"]
    spot.lot = str(lots[int(truck.rng.integers(len(lots)))])
    year = truck.vehicle.model_year or gesture.at.year
    new = truck.moment(date(year - 1, *NEW_MODELS), 12)
    fitted = new + (gesture.at - new) * (spot.fitted_at / truck.use)
    row = draft(
        PartChange, uid=world.book.uid(gesture.at), occurred_at=fitted, received_at=gesture.at,
        by=gesture.by, joint=spot.joint, number=number, lot=spot.lot, use_si=int(spot.fitted_at),
    )  # fmt: skip
    world.book.keep(row, gesture.at)
