"""A look before its time counts for nothing, and the sheet says so.

Wheel nuts: BS AU 50 Part 2 Section 7a:1995 (after standing 30 min, or 25 to 50 mi), as quoted by a
tire firm and the trade press, 3 May 2007; 3 days: own.
"""

from typing import Any

import pytest

from fleet.operations import meters
from fleet.operations.still_owed import still_owed
from fleet.reads.inspections import inspection_story
from fleet.records.models import Inspection, Recheck
from tests.operations.conftest import RETORQUE, House
from tests.operations.tables import undone
from tests.operations.test_torque import TYRE

FRAME = "track_bar_frame_end"
MILE = 1609.344


def wheel_was_off(house: House) -> Recheck:
    ticket = house.ticket()
    house.add_line(ticket, "tyre_or_wheel", "wheel_tyre", "left")
    house.record(house.line(ticket, "tyre_or_wheel"), TYRE, out_of_band_reason="manual, page 3")
    house.close(ticket)
    return Recheck.objects.get(ladder="wheel_nuts")


def read(house: House, meter: str) -> None:
    meters.record_meter(house.technician, meters.Reading(house.vehicle.pk, meter), at=house.now)


def pulled(house: House, **typed: Any) -> Inspection:
    look = {"method": "wrench", "torque": "125 lbf·ft", "tool_id": house.tool.pk, **typed}
    sheet: Inspection = house.inspect(
        house.look("wheel_nuts", "tight", "left", **look), kind="retorque"
    )
    return sheet


def why(sheet: Inspection) -> list[str]:
    story = inspection_story(sheet)
    found = still_owed(sheet, [row.finding for row in story.findings], story.methods)
    return [one.why for rows in found.values() for one in rows]


def state(row: Recheck) -> str:
    row.refresh_from_db()
    return row.state


def test_it_is_made_with_its_least_distance(house: House) -> None:
    owed = wheel_was_off(house)
    assert owed.start_use_si is not None
    assert owed.not_before_use_si == owed.start_use_si + round(25 * MILE)


@pytest.mark.parametrize(
    ("later", "meter", "paid"),
    [
        ({"minutes": 20}, "48,030", False),  # driven far enough, not stood
        ({"hours": 5}, "48,024", False),  # stood, not driven far enough
        ({"hours": 5}, "48,025", True),
        ({"days": 2}, "48,010", False),
        ({"days": 3}, "48,010", True),  # on its last day it counts as it stands
    ],
)
def test_wheel_nuts_count_from_half_an_hour_and_25_miles_or_on_their_date(
    house: House, later: dict[str, float], meter: str, paid: bool
) -> None:
    owed = wheel_was_off(house)
    house.later(**later)
    read(house, meter)
    sheet = pulled(house)
    assert (state(owed) == "done") is paid
    said = why(sheet)
    assert bool(said) is not paid
    if not paid:
        # Only what it had not reached is told.
        assert said[0].startswith("not before")
        assert ("48,025 mi" in said[0]) is (meter != "48,030")


def test_an_hour_meter_waits_for_its_hour(house: House) -> None:
    type(house.vehicle).objects.update(meter_unit="h")
    owed = wheel_was_off(house)
    assert owed.start_use_si is not None
    assert owed.not_before_use_si == owed.start_use_si + 3_600


WHY: list[tuple[dict[str, Any], str]] = [
    ({"code": "not_reached", "reason": "mud"}, "it was not reached"),
    ({"code": "no_play", "method": "dry_steer"}, "it asks for: "),
    ({"code": "tight", "method": "wrench", "torque": "125 lbf·ft"}, "before half its distance"),
    ({"code": "moved", "method": "wrench", "torque": "90 lbf·ft", "degrees": "5"},
     "the wrench proves nothing"),
]  # fmt: skip


def test_each_look_that_pays_nothing_says_why(house: House, subtests: pytest.Subtests) -> None:
    house.repair(("retorque", FRAME, RETORQUE))
    house.later(days=1)
    for typed, words in WHY:
        with subtests.test(typed=typed), undone():
            said_all = {"tool_id": house.tool.pk, **typed}
            sheet = house.inspect(house.look(FRAME, **said_all), kind="recheck")
            (said,) = why(sheet)
            assert words in said


def test_a_look_that_pays_leaves_nothing_to_say(house: House) -> None:
    house.repair(("retorque", FRAME, RETORQUE))
    house.later(days=6)
    assert why(house.tight()) == []
