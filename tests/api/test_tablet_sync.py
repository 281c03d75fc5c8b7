"""What a tablet sends: judged once, refused with what to do, never lost, never doubled."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from fleet.operations import tablets
from fleet.records.models import (
    Finding,
    Hold,
    Inspection,
    LineEntry,
    TabletOperation,
    Ticket,
    TorqueReading,
)
from tests.operations.conftest import RETORQUE, SET_TOE, TRACK_BAR, House
from tests.shop_tablets import a_tablet, hand, over_http
from tests.tablets import FarTablet, Hand


@pytest.fixture
def bay(house: House, clock: Any) -> FarTablet:
    return a_tablet(house)


@pytest.fixture
def technician(house: House, bay: FarTablet) -> Hand:
    return hand(bay, house.technician.person)


@pytest.fixture
def colleague(house: House, bay: FarTablet) -> Hand:
    return hand(bay, house.colleague.person)


def sheet(house: House, *findings: dict[str, Any]) -> dict[str, Any]:
    return {"vehicle": house.vehicle.unit_number, "kind": "routine", "at_wheel": "a helper",
            "findings": list(findings)}  # fmt: skip


def found(house: House, kind: str, code: str, side: str = "", **typed: Any) -> dict[str, Any]:
    return {"joint": house.joint(kind, side).pk, "code": code, **typed}


def line(house: House, ticket: Any, action: str, kind: str | None) -> dict[str, Any]:
    return {"ticket": ticket, "action": action, "joint": house.joint(kind).pk if kind else None}


def test_a_sheet_is_recorded_once_however_often_it_is_sent(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    damper = found(house, "damper_frame_end", "no_play", method="look")
    uid = bay.does(technician, "record_inspection", sheet(house, damper))
    sent = list(bay.waiting)
    assert [one["status"] for one in bay.sync()] == ["accepted"]
    again = bay.send(sent)[1]["results"]
    assert [(one["status"], one["replayed"]) for one in again] == [("accepted", True)]
    row = Inspection.objects.get()
    assert (str(row.uid), row.by, str(row.tablet)) == (uid, house.technician.person, "Bay 1")


def test_the_whole_repair_of_a_day_without_network_is_closed_when_it_comes(
    house: House, bay: FarTablet, technician: Hand, colleague: Hand, clock: Any
) -> None:
    began = house.now
    loose = found(house, "track_bar_frame_end", "play", method="dry_steer")
    looked = bay.does(technician, "record_inspection", sheet(house, loose), at=began)
    bar = bay.does(technician, "record_line", {
        "line": line(house, looked, "replace_track_bar", "track_bar_frame_end"),
        "typed": TRACK_BAR, "saw": None}, at=began + timedelta(hours=1))  # fmt: skip
    toe = bay.does(technician, "record_line", {
        "line": line(house, looked, "set_toe", None), "typed": SET_TOE, "saw": None,
        }, at=began + timedelta(hours=2))  # fmt: skip
    bay.does(colleague, "second_check", {
        "ticket": looked, "passed": True, "dry_steer": True, "saw": [bar, toe],
        }, at=began + timedelta(hours=3))  # fmt: skip
    bay.does(colleague, "release", {"ticket": looked, "driver": "a helper", "place": "yard loop"},
             at=began + timedelta(hours=3))  # fmt: skip
    bay.does(colleague, "road_test", {"ticket": looked, "passed": True},
             at=began + timedelta(hours=4))  # fmt: skip
    bay.does(technician, "close_ticket", {"ticket": looked, "saw": [bar, toe]},
             at=began + timedelta(hours=5))  # fmt: skip
    clock.move_to(began + timedelta(days=2))
    assert [one["status"] for one in bay.sync()] == ["accepted"] * 7
    ticket = Ticket.objects.get()
    assert ticket.state == "closed"
    assert not Hold.objects.filter(lifted_at=None).exists()
    entry = LineEntry.objects.get(uid=bar)
    assert (entry.occurred_at, entry.received_at) == (
        began + timedelta(hours=1), began + timedelta(days=2),
    )  # fmt: skip
    assert entry.tablet is not None
    assert TorqueReading.objects.filter(line_entry=entry).exists()


def test_a_refusal_comes_back_and_parks_that_ticket_alone(
    house: House, bay: FarTablet, technician: Hand, colleague: Hand
) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    wrong = bay.does(technician, "record_line", {
        "line": {"id": house.line(ticket, "retorque").pk},
        "typed": {**RETORQUE, "torque": "12e5 lbf"}, "saw": None})  # fmt: skip
    check = bay.does(colleague, "second_check", {
        "ticket": ticket.pk, "passed": True, "dry_steer": True, "saw": [wrong]})  # fmt: skip
    meter = bay.does(technician, "record_meter", {
        "vehicle": house.vehicle.unit_number, "reading": "48,020"})  # fmt: skip
    bay.sync()
    assert (bay.became(wrong), bay.became(check)) == ("refused", "parked")
    assert bay.results[check]["because"] == wrong
    assert bay.became(meter) == "accepted"
    assert {problem["field"] for problem in bay.results[wrong]["problems"]} == {"torque"}
    mended = bay.does(technician, "record_line", {
        "line": {"id": house.line(ticket, "retorque").pk}, "typed": RETORQUE, "saw": None,
        }, instead_of=wrong)  # fmt: skip
    bay.sync()
    assert bay.became(mended) == "accepted"
    # The check was of the entry that was refused: whoever made it looks again.
    assert (bay.became(check), bay.codes(check)) == ("refused", {"changed_meanwhile"})
    assert TabletOperation.objects.get(uid=wrong).state == "answered"


def _refused_twice(
    house: House, bay: FarTablet, technician: Hand, colleague: Hand
) -> tuple[Ticket, list[str], str]:
    """A line that was refused, corrected and refused again, and the check that waits for it."""
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    body = {"line": {"id": house.line(ticket, "retorque").pk}, "saw": None}
    lots, too = ({**body, "typed": {**RETORQUE, "torque": text}} for text in ("lots", "too"))
    first = bay.does(technician, "record_line", lots)
    check = bay.does(colleague, "second_check", {
        "ticket": ticket.pk, "passed": True, "dry_steer": True, "saw": [first]})  # fmt: skip
    bay.sync()
    again = bay.does(technician, "record_line", too, instead_of=first)
    bay.sync()
    assert [bay.became(uid) for uid in (first, check, again)] == ["refused", "parked", "refused"]
    return ticket, [first, again], check


def test_what_was_corrected_twice_stands_where_the_first_stood(
    house: House, bay: FarTablet, technician: Hand, colleague: Hand
) -> None:
    ticket, refused, check = _refused_twice(house, bay, technician, colleague)
    mended = bay.does(technician, "record_line", {
        "line": {"id": house.line(ticket, "retorque").pk}, "typed": RETORQUE, "saw": None,
        }, instead_of=refused[-1])  # fmt: skip
    bay.sync()
    assert bay.became(mended) == "accepted"
    assert bay.became(check) == "refused"
    states = TabletOperation.objects.filter(uid__in=refused).values_list("state", flat=True)
    assert list(states) == ["answered"] * 2


def test_what_was_corrected_is_left_with_its_correction(
    house: House, bay: FarTablet, technician: Hand, colleague: Hand
) -> None:
    _ticket, refused, check = _refused_twice(house, bay, technician, colleague)
    bay.does(technician, "set_aside", {"operation": refused[-1], "reason": "the wrong truck"})
    bay.sync()
    bay.sync()
    rows = TabletOperation.objects.filter(uid__in=refused)
    assert set(rows.values_list("state", "reason")) == {("set_aside", "the wrong truck")}
    assert bay.became(check) == "refused"


def test_what_is_set_aside_frees_what_it_parked(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    at = house.joint("track_bar_axle_end").pk
    wrong = bay.does(technician, "add_line", {"ticket": ticket.pk, "action": "no_such_work"})
    right = bay.does(technician, "add_line",
                     {"ticket": ticket.pk, "action": "retorque", "joint": at})  # fmt: skip
    bay.sync()
    assert (bay.became(wrong), bay.became(right)) == ("refused", "parked")
    bay.does(technician, "set_aside", {"operation": wrong, "reason": "typed on the wrong truck"})
    bay.sync()
    bay.sync()
    assert bay.became(right) == "accepted"
    row = TabletOperation.objects.get(uid=wrong)
    assert (row.state, row.reason) == ("set_aside", "typed on the wrong truck")


def test_the_second_tablet_on_a_line_sees_the_work_of_the_first_and_decides(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    other = a_tablet(house, "Bay 2")
    second = hand(other, house.colleague.person)
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    body = {"line": {"id": house.line(ticket, "retorque").pk}, "typed": RETORQUE, "saw": None}
    first = bay.does(technician, "record_line", body)
    late = other.does(second, "record_line", {**body, "typed": {**RETORQUE, "degrees": "35"}})
    bay.sync()
    other.sync()
    assert (other.became(late), other.codes(late)) == ("refused", {"changed_meanwhile"})
    [theirs] = other.results[late]["theirs"]
    assert (theirs["uid"], theirs["by_name"]) == (first, house.technician.person.name)
    assert theirs["typed"]["degrees"] == "20"
    decided = other.does(second, "record_line", {**body, "saw": first}, instead_of=late)
    other.sync()
    assert other.became(decided) == "accepted"
    assert LineEntry.objects.get(uid=decided).replaces == LineEntry.objects.get(uid=first)


def test_a_hold_counts_when_all_around_it_is_refused(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    bay.does(technician, "add_line", {"ticket": ticket.pk, "action": "no_such_work"})
    held = bay.does(technician, "place_hold", {
        "vehicle": house.vehicle.unit_number, "text": "Frame cracked at the gear"})  # fmt: skip
    bay.sync()
    assert bay.became(held) == "accepted"
    assert Hold.objects.get(lifted_at=None).text == "Frame cracked at the gear"


def test_a_refused_sheet_still_holds_for_what_warrants_it(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    body = sheet(house, found(house, "track_bar_frame_end", "play", method="dry_steer"),
                 found(house, "damper_frame_end", "not_reached"))  # fmt: skip
    uid = bay.does(technician, "record_inspection", body)
    sent = list(bay.waiting)
    bay.sync()
    assert (bay.became(uid), bay.codes(uid)) == ("refused", {"reason_missing"})
    assert Finding.objects.count() == 0
    assert Hold.objects.get(lifted_at=None).joint == house.joint("track_bar_frame_end")
    bay.send(sent)
    assert Hold.objects.count() == 1
    body["findings"][1]["reason"] = "mud"
    mended = bay.does(technician, "record_inspection", body, instead_of=uid)
    bay.sync()
    assert bay.became(mended) == "accepted"
    assert Hold.objects.filter(lifted_at=None).count() == 1
    assert Ticket.objects.get().holds.count() == 1


def test_a_forged_signature_waits_for_a_manager(
    house: House, bay: FarTablet, technician: Hand, colleague: Hand
) -> None:
    liar = Hand(colleague.person, colleague.key_id, technician.key)
    uid = bay.does(liar, "record_meter",
                   {"vehicle": house.vehicle.unit_number, "reading": "48,020"})  # fmt: skip
    bay.sync()
    assert (bay.became(uid), bay.codes(uid)) == ("quarantined", {"signature_wrong"})
    assert TabletOperation.objects.get(uid=uid).person is None


def test_a_lost_tablet_hands_over_and_gets_nothing(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    uid = bay.does(technician, "record_meter",
                   {"vehicle": house.vehicle.unit_number, "reading": "48,020"})  # fmt: skip
    row = tablets.tablet_behind(bay.token)
    assert row is not None
    tablets.revoke_tablet(house.manager, row.pk, "left on a bumper", at=house.now)
    assert over_http("GET", "pack/", None, bay.token)[0] == 403
    bay.sync()
    assert (bay.became(uid), bay.codes(uid)) == ("quarantined", {"tablet_revoked"})


def test_a_clock_that_is_wrong_is_put_right(
    house: House, bay: FarTablet, technician: Hand, clock: Any
) -> None:
    """Its clock ran 3 h ahead when it last heard us, and was set right before it sent."""
    bay.offset_ms = -3 * 3_600_000
    bay.does(technician, "record_meter", {"vehicle": house.vehicle.unit_number,
             "reading": "48,020"}, at=house.now + timedelta(hours=3))  # fmt: skip
    clock.move_to(house.now + timedelta(hours=6))
    bay.sync()
    row = TabletOperation.objects.get()
    assert row.occurred_at == house.now
    assert (row.made_at, row.skew_ms) == (house.now + timedelta(hours=3), 0)


def test_an_exchange_that_overtakes_another_is_told_to_come_again(
    house: House, bay: FarTablet, technician: Hand
) -> None:
    row = tablets.tablet_behind(bay.token)
    assert row is not None
    row.busy_until = datetime.now(UTC) + timedelta(seconds=20)
    row.save()
    bay.does(technician, "record_meter",
             {"vehicle": house.vehicle.unit_number, "reading": "48,020"})  # fmt: skip
    assert bay.send(bay.batch())[0] == 503
    row.busy_until = datetime.now(UTC) - timedelta(seconds=1)
    row.save()
    assert [one["status"] for one in bay.sync()] == ["accepted"]
