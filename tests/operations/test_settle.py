"""What a sheet pays off of what is owed, and what follows: the next rung, or half."""

from datetime import date, timedelta
from typing import Any

import pytest

from fleet.operations import meters
from fleet.operations.rechecks import _scaled
from fleet.records.models import Recheck
from tests import build
from tests.operations.conftest import RETORQUE, House, a_tool
from tests.operations.tables import undone

FRAME, AXLE = "track_bar_frame_end", "track_bar_axle_end"


def owed(house: House, ladder: str = "track_bar", joint: str = FRAME) -> Recheck:
    where = {"joint": house.joint(joint)} if joint else {"joint": None}
    return Recheck.objects.get(vehicle=house.vehicle, ladder=ladder, state="owed", **where)


def retightened(house: House) -> Recheck:
    """The track bar's first rung is owed: 100 mi, 7 days."""
    house.repair(("retorque", FRAME, RETORQUE))
    return owed(house)


def state(row: Recheck) -> str:
    row.refresh_from_db()
    return row.state


def test_a_recheck_that_did_not_move_passes_to_the_next_rung(house: House) -> None:
    first = retightened(house)
    house.later(days=6)
    house.tight()
    assert state(first) == "done"
    second = owed(house)
    assert (second.rung, second.follows, second.start_use_si) == (1, first, first.start_use_si)
    assert second.due_on == house.now.date() + timedelta(days=30)
    assert second.due_use_si is not None
    assert second.due_use_si - (second.start_use_si or 0) == 804_672  # 500 mi in metres
    house.later(days=20)
    house.tight()
    assert state(second) == "done"
    assert not Recheck.objects.filter(
        ladder="track_bar", joint=house.joint(), state="owed"
    ).exists()


def test_a_look_before_half_the_distance_stays_owed(house: House) -> None:
    first = retightened(house)
    for days, expected in ((1, "owed"), (3, "owed"), (4, "done")):
        with undone():
            house.now += timedelta(days=days)
            house.tight()
            assert state(first) == expected
            house.now -= timedelta(days=days)


def test_half_the_miles_are_half_the_distance_too(house: House) -> None:
    first = retightened(house)
    house.later(days=1)
    for meter, expected in (("48,049", "owed"), ("48,050", "done")):
        with undone():
            reading = meters.Reading(house.vehicle.pk, meter)
            meters.record_meter(house.technician, reading, at=house.now)
            house.tight()
            assert state(first) == expected


def test_early_or_not_one_that_moved_is_paid(house: House) -> None:
    first = retightened(house)
    house.later(days=1)
    house.moved()
    assert state(first) == "done"


HALVES = [(4, 50.0), (2, 50.0), (2, 50.0)]


def test_moved_at_a_recheck_asks_for_half_the_last_not_under_50_mi_or_2_days(
    house: House,
) -> None:
    """7 days, then 4 (half of 7, to a whole day), 2, 2; 100 mi, then 50, 50."""
    row = retightened(house)
    for days, miles in HALVES:
        house.later(days=1)
        house.inspect(
            house.look(FRAME, "moved", method="wrench", degrees="5", torque="125 lbf·ft",
                       tool_id=house.tool.pk),
            kind="retorque",
        )  # fmt: skip
        assert state(row) == "done"
        row = owed(house)
        assert row.due_on == house.now.date() + timedelta(days=days)
        assert row.due_use_si is not None
        assert row.due_use_si - (row.start_use_si or 0) == round(miles * 1609.344)
        assert row.rung == 0


def test_half_of_a_short_interval_is_never_longer_than_it_was(house: House) -> None:
    """Wheel nuts: 3 days halve to the floor of 2; hours stay at 2, under their own floor of 3."""
    floor = {"miles": 50.0, "days": 2.0, "hours": 3.0}
    halved = _scaled({"miles": 50, "days": 3, "hours": 2}, 0.5, floor)
    assert halved == {"miles": 50, "days": 2, "hours": 2}


def test_half_is_counted_in_the_yards_days(house: House) -> None:
    """Started in the evening at the yard, when it is the next day in UTC."""
    house.now = house.now.replace(day=2, hour=4)  # the evening of 1 September in Denver
    row = retightened(house)
    assert row.due_on == date(2026, 9, 8)
    house.later(days=1)
    house.moved()
    again = owed(house)
    assert again.due_on == date(2026, 9, 2) + timedelta(days=4)


PAYS = [
    # how it was looked at, what was found, whether the retorque of a track-bar end is paid
    ("wrench", "tight", True),
    ("wrench", "moved", True),
    ("witness_mark", "moved", True),
    ("dry_steer", "no_play", False),
    ("pry_bar", "no_play", False),
    ("dry_steer", "play", True),
    ("look", "cracked", True),
    ("", "worn_out", True),
    ("", "not_reached", False),
    ("", "not_fitted", False),
]


def test_what_is_a_sufficient_look(house: House, subtests: pytest.Subtests) -> None:
    """'Tight' by dry steer says nothing of preload; not reached stays owed."""
    first = retightened(house)
    house.later(days=6)
    for method, code, paid in PAYS:
        with subtests.test(method=method, code=code), undone():
            typed: dict[str, Any] = {"method": method, "reason": "mud"}
            if method == "wrench":
                typed |= {"torque": "125 lbf·ft", "tool_id": house.tool.pk}
            if code == "moved":
                typed |= {"degrees": "5"}
            house.inspect(house.look(FRAME, code, **typed))
            assert (state(first) == "done") is paid


def test_a_tool_out_of_date_pays_nothing(house: House) -> None:
    first = retightened(house)
    old = a_tool(house.manager, house.yard, "TW-9", good_until=date(2026, 4, 1))
    house.later(days=6)
    house.inspect(house.look(FRAME, "moved", method="wrench", degrees="5", torque="125 lbf·ft",
                             tool_id=old.pk))  # fmt: skip
    assert state(first) == "owed"


def test_a_pull_below_its_figure_pays_nothing(house: House) -> None:
    first = retightened(house)
    house.later(days=6)
    house.inspect(house.look(FRAME, "moved", method="wrench", degrees="5", torque="90 lbf·ft",
                             tool_id=house.tool.pk))  # fmt: skip
    assert state(first) == "owed"


def test_moved_under_the_wrench_tells_nothing_of_cracks_or_play(house: House) -> None:
    cracks = build.recheck(house.vehicle, house.joint(), kind="cracks", ladder="hole_repaired",
                           methods=["look"], started_at=house.now)  # fmt: skip
    feel = build.recheck(house.vehicle, house.joint(AXLE), kind="look", ladder="rod_end",
                         methods=["feel"], started_at=house.now)  # fmt: skip
    house.later(days=6)
    house.moved(FRAME)
    house.moved(AXLE)
    assert (state(cracks), state(feel)) == ("owed", "owed")
    house.later(minutes=1)
    house.inspect(house.look(FRAME, "no_play", method="look"))
    assert state(cracks) == "owed"  # 6 days of the many it has
    house.inspect(house.look(FRAME, "cracked", method="pry_bar"))
    assert state(cracks) == "done"


def test_wheel_nuts_are_not_paid_before_half_an_hour(house: House) -> None:
    nuts = build.recheck(
        house.vehicle, house.joint("wheel_nuts", "left"), kind="wheel_nuts", ladder="wheel_nuts",
        methods=["wrench"], started_at=house.now, due_on=house.now.date() + timedelta(days=3),
        start_use_si=77_248_512, due_use_si=77_248_512 + 80_467,
        not_before=house.now + timedelta(minutes=30),
    )  # fmt: skip
    look = house.look("wheel_nuts", "moved", "left", method="wrench", degrees="5",
                      torque="125 lbf·ft", tool_id=house.tool.pk)  # fmt: skip
    for minutes, expected in ((29, "owed"), (30, "done")):
        with undone():
            house.now += timedelta(minutes=minutes)
            house.inspect(look)
            assert state(nuts) == expected
            house.now -= timedelta(minutes=minutes)


def test_a_late_sheet_from_before_it_was_owed_pays_nothing(house: House) -> None:
    before = house.now
    house.later(days=2)
    first = retightened(house)
    house.later(days=6)
    house.inspect(house.look(FRAME, "moved", method="witness_mark", degrees="5"),
                  occurred_at=before)  # fmt: skip
    assert state(first) == "owed"


def test_missed_and_then_done_late_is_a_legal_move(house: House) -> None:
    first = retightened(house)
    first.state, first.fell_due_at = "missed", house.now + timedelta(days=8)
    first.save()
    house.later(days=12)
    house.tight()
    assert state(first) == "done"
    assert first.fell_due_at is not None
    assert owed(house).rung == 1


def test_a_fastener_found_moved_where_nothing_was_owed_starts_its_own_ladder(
    house: House,
) -> None:
    house.moved("gear_to_frame")
    row = owed(house, "gear_to_frame", "gear_to_frame")
    assert (row.rung, row.made_by_finding) == (0, house.joint("gear_to_frame").findings.get())


def test_a_witness_mark_turned_nothing_and_starts_nothing(house: House) -> None:
    house.inspect(house.look("gear_to_frame", "moved", method="witness_mark", degrees="5"))
    assert not Recheck.objects.filter(ladder="gear_to_frame").exists()
