"""The same small fleet as the operations' tests have, and one with every kind of fact."""

import pytest

from fleet.operations import complain, files, fittings, recheck_drive, tool_uses, tools
from fleet.records.models import (
    Baseline,
    LeaveTakenBack,
    Recheck,
    Seal,
    Ticket,
    Training,
    YardMoveEnd,
)
from tests import build, camera, far
from tests.operations.conftest import SET_TOE, START, TRACK_BAR, House, a_tool, make_house


@pytest.fixture
def house(db: None) -> House:
    return make_house()


@pytest.fixture
def history(house: House) -> House:
    """A fleet in which every kind of fact has at least one row."""
    report = complain.Report(house.vehicle.pk, "axle_oscillation")
    felt = complain.report_complaint(house.driver, report, at=house.now).row
    complain.answer_complaint(house.manager, felt.pk, "We look at it today.", at=house.now)
    house.inspect(house.look("track_bar_frame_end", "play", method="dry_steer"), kind="complaint",
                  complaint_id=felt.pk, meter="48,010")  # fmt: skip
    ticket = Ticket.objects.get()
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    _leave(house, ticket)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    second = a_tool(house.manager, house.yard, "TW-2")
    pulls = ("125 lbf·ft", "126 lbf·ft", "124 lbf·ft")
    tools.compare(house.manager, second.pk, house.tool.pk, "125 lbf·ft", pulls, at=house.now)
    tools.report_mishap(house.manager, second.pk, "fell off the bench", at=house.now)
    elsewhere = tool_uses.NewUse(second.pk, 40, house.now.date())
    tool_uses.record_tool_use(house.manager, elsewhere, at=house.now)
    house.later(days=9)
    owed = Recheck.objects.get(ladder="oscillation_closed")
    felt_again = recheck_drive.Drive(
        owed.pk, "a helper", "yard loop", "20, 35 mph", passed=False, note="Shook at 35."
    )
    recheck_drive.drive_recheck(house.technician, felt_again, at=house.now)
    house.moved()
    asked = files.Ask(house.vehicle.pk, "audit", house.now.date(), asker="A county office")
    wanted = files.ask_for_file(house.manager, asked, at=house.now).row
    files.answer_file(house.manager, wanted.pk, "Printed, 9 pages", at=house.now)
    damper = fittings.Fitting(house.joint("damper_frame_end").pk, "apart", "bolt on order")
    fittings.set_fitting(house.technician, damper, at=house.now)
    who = house.technician.person
    camera.photo(house.joint(), who, ticket=ticket)
    far.read_over(ticket, house.technician.person, house.yard)
    Training.objects.create(person=who, by=who, occurred_at=START, subject="49 CFR 396.19")
    Baseline.objects.create(month=START.date(), made_at=START, usual={}, spread={})
    Seal.objects.create(first_id=1, last_id=2, entries=2, digest="0" * 64, sealed_at=START)
    return house


def _leave(house: House, ticket: Ticket) -> None:
    """To move it to the yard and to check one's own work, each over again."""
    who, boss = house.technician.person, house.manager.person
    move = build.yard_move(house.vehicle, who, at=house.now)
    leave = build.leave(ticket, who, boss, at=house.now)
    fact = {"by": boss, "occurred_at": house.now}
    YardMoveEnd.objects.create(**fact, move=move, how="arrived")
    LeaveTakenBack.objects.create(**fact, leave=leave, reason="Somebody else is here")
