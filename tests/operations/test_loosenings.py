"""A loosening counts again only where a wrench stood between; a dropped line's is none."""

from fleet.operations import repair
from fleet.reads.loosenings import Loosening, loosenings
from fleet.records.models import Ticket, TorqueReading
from tests.operations.conftest import RETORQUE, House

FRAME = "track_bar_frame_end"


def of_the_end(house: House) -> list[Loosening]:
    return loosenings([house.vehicle.pk]).get(house.joint(FRAME).pk, [])


def seen_loose(house: House) -> None:
    house.inspect(house.look(FRAME, "play", method="dry_steer"))


def tightened(house: House) -> Ticket:
    """A line recorded on the ticket that the play had opened, its wrench at the figure."""
    ticket = Ticket.objects.get()
    line = house.add_line(ticket, "retorque", FRAME)
    house.record(line, RETORQUE)
    return ticket


def test_tightened_in_between_it_is_two(house: House) -> None:
    seen_loose(house)
    house.later(days=1)
    tightened(house)
    house.later(days=5)
    seen_loose(house)
    first, second = of_the_end(house)
    assert not first.tightened_before
    assert second.torque_id == TorqueReading.objects.get().pk


def test_the_wrench_of_a_dropped_line_stands_between_nothing(house: House) -> None:
    seen_loose(house)
    house.later(days=1)
    ticket = tightened(house)
    line = house.line(ticket, "retorque")
    repair.drop_line(house.technician, line.pk, "another joint", at=house.now)
    house.later(days=5)
    seen_loose(house)
    assert not any(one.tightened_before for one in of_the_end(house))
