"""What a tablet carries away: its yard's work, and nothing of other yards."""

import gzip
import json
from typing import Any

import pytest
from rest_framework.test import APIClient

from fleet.operations import repair, tablets
from fleet.operations.carried import pack_of, rules_of
from fleet.reads.triage import order_of_looking
from fleet.records.models import Complaint, Hold, Tablet, Ticket
from tests import build
from tests.operations.conftest import RETORQUE, House
from tests.web.rows import Fleet


@pytest.fixture
def tablet(house: House) -> Tablet:
    made = tablets.make_code(house.manager, "Shop 1", house.yard.pk, at=house.now)
    return tablets.enrol_tablet(made.code, at=house.now).tablet


def the_vehicle(house: House, tablet: Tablet) -> dict[str, Any]:
    pack = json.loads(json.dumps(pack_of(tablet, house.now)))
    found: dict[str, Any] = next(
        one for one in pack["vehicles"] if one["unit"] == house.vehicle.unit_number
    )
    return found


def test_it_carries_what_a_sheet_and_a_ticket_need(house: House, tablet: Tablet) -> None:
    house.moved()
    house.later(days=1)
    house.moved()
    house.later(hours=1)
    house.record(house.add_line(Ticket.objects.get(), "retorque", "track_bar_axle_end"), RETORQUE)
    truck = the_vehicle(house, tablet)
    bar = next(one for one in truck["joints"] if one["kind"] == "track_bar_frame_end")
    assert (bar["mark"], bar["moved_before"], bar["holds"]) == ("moved", True, True)
    assert bar["spec"]["low_nm"] < bar["spec"]["high_nm"]
    assert bar["corner"]
    assert "tight" in bar["codes"]
    assert "wrench" in bar["methods"]
    stud = next(one for one in truck["joints"] if one["kind"] == "tie_rod_end")
    assert stud["limit"]["citation"].startswith("49 CFR 570")
    assert [hold["joint"] for hold in truck["holds"]] == [bar["id"]]
    [job] = truck["tickets"]
    line = next(one for one in job["lines"] if one["joint"] not in (bar["id"], None))
    assert line["entry"]["typed"]["torque"] == "125 lbf·ft"
    assert "held_by" in line["facts"]


def test_it_carries_what_moved_twice_running(house: House, tablet: Tablet) -> None:
    def twice() -> list[str]:
        joints = the_vehicle(house, tablet)["joints"]
        return [joint["kind"] for joint in joints if joint["moved_twice"]]

    house.moved()
    house.later(days=1)
    assert twice() == []
    house.moved()
    assert twice() == ["track_bar_frame_end"]
    house.later(days=1)
    house.inspect(house.look("track_bar_frame_end", "play", method="dry_steer"))
    assert twice() == []


def test_it_carries_the_servers_order_of_looking(house: House, tablet: Tablet) -> None:
    """With what the fleet found behind like complaints, and without the complaint's own ticket."""
    by = house.technician.person
    one, other, own = (
        build.complaint(house.vehicle, by, kind=kind, steering_changed=True)
        for kind in ("axle_oscillation", "pull", "axle_oscillation")
    )
    for felt, code in ((one, "track_bar_axle_end"), (one, "track_bar_axle_end"),
                       (other, "drag_link_frame_end"), (own, "damper_frame_end")):  # fmt: skip
        job = build.ticket(house.vehicle, by, complaint=felt, state="closed",
                           closed_at=build.NOW, closed_by=by)  # fmt: skip
        build.line(job, house.joint(code), action="outside_shop", state="closed")
    build.hold(house.vehicle, by, reason=Hold.Reason.COMPLAINT, complaint=own)
    build.hold(house.vehicle, by, reason=Hold.Reason.COMPLAINT, complaint=other)
    for told in the_vehicle(house, tablet)["complaints"]:
        steps = order_of_looking(Complaint.objects.get(pk=told["id"])).steps
        assert told["order"] == [
            {"suspect": step.key, "joints": [joint.pk for joint in step.joints],
             "found": step.found}
            for step in steps
        ]  # fmt: skip
        wanted = {own.pk: {"track_bar_axle_end": 2}, other.pk: {}}[told["id"]]
        assert {one["suspect"]: one["found"] for one in told["order"] if one["found"]} == wanted


def test_it_carries_who_did_what_and_what_holds(house: House, tablet: Tablet) -> None:
    house.inspect(house.look("track_bar_frame_end", "cracked", method="look"))
    ticket = Ticket.objects.get()
    line = house.add_line(ticket, "retorque", "track_bar_axle_end")
    house.record(line, RETORQUE)
    repair.drop_line(house.technician, line.pk, "not needed", at=house.now)
    build.leave(ticket, house.colleague.person, house.manager.person, house.now)
    truck = the_vehicle(house, tablet)
    [job] = truck["tickets"]
    assert [hold["code"] for hold in truck["holds"]] == ["cracked"]
    assert [hand["by"] for hand in job["hands"]] == [house.technician.person.pk]
    assert line.pk not in {each["id"] for each in job["lines"]}
    assert [leave["person"] for leave in job["leaves"]] == [house.colleague.person.pk]


def test_the_drawing_has_a_place_for_every_joint(house: House, tablet: Tablet) -> None:
    pack = pack_of(tablet, house.now)
    truck = pack["vehicles"][0]
    drawn = pack["drawings"][truck["drawing"]]
    for joint in truck["joints"]:
        address = f'"#joint-{joint["kind"]}-{joint["side"]}"'
        assert drawn["whole"].count(address) == 1
        assert sum(address in part["svg"] for part in drawn["parts"]) == 1


def test_another_yards_vehicles_and_people_stay_at_home(house: House, tablet: Tablet) -> None:
    other = build.yard("Birch")
    build.vehicle(other, "B-9")
    pack = pack_of(tablet, house.now)
    assert {one["unit"] for one in pack["vehicles"]} == {house.vehicle.unit_number}
    assert house.technician.person.pk in {who["id"] for who in pack["people"]}


def test_an_unchanged_pack_is_not_sent_again(house: House, tablet: Tablet, clock: Any) -> None:
    made = tablets.make_code(house.manager, "Bay 2", house.yard.pk, at=house.now)
    client = APIClient(headers={"Authorization": "Tablet " + tablets.enrol_tablet(
        made.code, at=house.now).token, "Accept-Encoding": "gzip"})  # fmt: skip
    first = client.get("/api/v1/tablet/pack/")
    assert json.loads(gzip.decompress(first.content))["yard"]["slug"] == house.yard.slug
    again = client.get("/api/v1/tablet/pack/", headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    house.moved()
    assert client.get("/api/v1/tablet/pack/", headers={"If-None-Match": first["ETag"]}).content


def test_the_rules_travel_as_data(house: House) -> None:
    rules = json.loads(json.dumps(rules_of()))
    assert rules["actions"]["retorque"]["fields"][0]["name"] == "torque"
    assert rules["responses"]["track_bar_end"]["play"]["inside"] == "hold"
    assert rules["kinds"]["track_bar_frame_end"]["holds"] is True


@pytest.mark.parametrize("size", [3, 10, 30])
def test_the_queries_do_not_grow_with_the_yard(
    size: int, house: House, django_assert_num_queries: Any
) -> None:
    made = tablets.make_code(house.manager, "Shop 1", house.yard.pk, at=house.now)
    tablet = tablets.enrol_tablet(made.code, at=house.now).tablet
    fleet = Fleet(house.manager.person, size)
    tablet.yard = fleet.vehicle.yard
    for vehicle in (fleet.vehicle, *fleet.others):
        felt = build.complaint(vehicle, house.driver.person)
        build.hold(vehicle, house.driver.person, reason=Hold.Reason.COMPLAINT, complaint=felt)
    with django_assert_num_queries(25):
        pack_of(tablet, house.now)
