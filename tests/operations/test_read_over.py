"""Read-over release: out by a true code for three days, held again without the record."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine

from fleet.calc import read_over as codes
from fleet.operations import roll
from fleet.operations.actor import Actor, server_actor
from fleet.operations.errors import Refused
from fleet.operations.read_over import Heard, take_read_over
from fleet.reads.vehicles import holds_on, read_over_on
from fleet.records.models import Hold, ReadOver, Tablet, TabletKey, Ticket, TrailEntry
from tests import far
from tests.operations.conftest import SET_TOE, TRACK_BAR, House


@pytest.fixture
def bay(house: House) -> Tablet:
    tablet = far.tablet(house.yard)
    for actor, secret in ((house.technician, b"w"), (house.colleague, b"c")):
        TabletKey.objects.create(
            tablet=tablet, person=actor.person, secret=secret * 32, handed_at=house.now
        )
    return tablet


@pytest.fixture
def ticket(house: House) -> Ticket:
    """Held by a finding; its work is done on the tablet, and the server knows nothing of it."""
    house.inspect(house.look("track_bar_frame_end", "play", method="dry_steer"))
    return Ticket.objects.get()


def the_code(house: House, bay: Tablet, on: Ticket, /, **other: Any) -> str:
    said = {"tablet": str(bay.uid), "vehicle": house.vehicle.unit_number, "ticket": on.pk,
            "worker": house.technician.person.pk, "checker": house.colleague.person.pk,
            "hour": codes.hour_of(house.now)}  # fmt: skip
    return codes.code(codes.Asked(**{**said, **other}), b"w" * 32, b"c" * 32)


def enter(house: House, code: str, by: Actor | None = None, **other: Any) -> ReadOver:
    said = {"vehicle_id": house.vehicle.pk, "worker_id": house.technician.person.pk,
            "checker_id": house.colleague.person.pk, "code": code}  # fmt: skip
    return take_read_over(by or house.manager, Heard(**{**said, **other}), at=house.now).row


def refused(house: House, code: str, **other: Any) -> str:
    with pytest.raises(Refused) as caught:
        enter(house, code, **other)
    return caught.value.problems[0].code


def kept_in(house: House, **later: float) -> bool:
    with time_machine.travel(house.now + timedelta(**later), tick=False):
        return bool(holds_on(house.vehicle))


def test_a_true_code_lets_it_out_for_three_days_and_no_longer(
    house: House, bay: Tablet, ticket: Ticket
) -> None:
    code = the_code(house, bay, ticket)
    row = enter(house, f"{code[:3]} {code[3:6]} {code[6:]}")
    assert (row.tablet, row.until) == (bay, house.now + timedelta(hours=72))
    assert codes.heard_right(row.reply)
    assert not kept_in(house, hours=71)
    assert kept_in(house, hours=72)
    with time_machine.travel(house.now, tick=False):
        assert read_over_on(house.vehicle) == row


def test_a_misheard_digit_is_told_from_a_false_code(
    house: House, bay: Tablet, ticket: Ticket
) -> None:
    code = the_code(house, bay, ticket)
    wrong = code[:4] + str((int(code[4]) + 1) % 10) + code[5:]
    assert refused(house, wrong) == "misheard"
    assert refused(house, code[:9]) == "misheard"
    assert refused(house, the_code(house, bay, ticket, ticket=ticket.pk + 1)) == "code_false"
    assert refused(house, the_code(house, bay, ticket, vehicle="Z-1")) == "code_false"
    assert kept_in(house)


def test_a_code_is_good_for_a_day(house: House, bay: Tablet, ticket: Ticket) -> None:
    code = the_code(house, bay, ticket)
    house.later(hours=23)
    assert enter(house, code).code == code
    other = the_code(house, bay, ticket)
    house.later(hours=26)
    assert refused(house, other) == "code_false"


def test_two_people_vouch_and_the_checker_did_no_line(
    house: House, bay: Tablet, ticket: Ticket
) -> None:
    code, me = the_code(house, bay, ticket), house.technician.person.pk
    assert refused(house, code, checker_id=me) == "same_person"
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    swapped = {"worker_id": house.colleague.person.pk, "checker_id": me}
    assert refused(house, code, **swapped) == "same_person"


def test_a_revoked_tablet_vouches_for_nothing(house: House, bay: Tablet, ticket: Ticket) -> None:
    Tablet.objects.update(revoked_at=house.now)
    assert refused(house, the_code(house, bay, ticket)) == "code_false"


def test_what_is_found_afterwards_holds_at_once(house: House, bay: Tablet, ticket: Ticket) -> None:
    enter(house, the_code(house, bay, ticket))
    house.later(hours=2)
    house.inspect(house.look("pitman_arm", "cracked", method="look"))
    assert kept_in(house)


def test_the_record_lifts_what_was_let_out(house: House, bay: Tablet, ticket: Ticket) -> None:
    enter(house, the_code(house, bay, ticket))
    house.later(hours=1)
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    assert not Hold.objects.filter(lifted_at=None).exists()
    assert not kept_in(house, hours=100)


def test_the_trail_says_when_it_lapsed(house: House, bay: Tablet, ticket: Ticket) -> None:
    enter(house, the_code(house, bay, ticket))
    house.later(hours=96)
    roll.roll(server_actor(), at=house.now)
    assert TrailEntry.objects.filter(verb="read_over_lapsed").count() == 1
    roll.roll(server_actor(), at=house.later(hours=30))
    assert TrailEntry.objects.filter(verb="read_over_lapsed").count() == 1
