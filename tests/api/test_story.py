"""One truck from complaint to a held recheck, and on to a pattern: the whole job over the API."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine

from fleet.operations.actor import server_actor
from fleet.operations.deliver import deliver
from fleet.records.models import Design, Joint, Layout, Vehicle, Yard
from tests import build
from tests.api.conftest import Client, codes

pytestmark = pytest.mark.usefixtures("rules")

# A Monday morning in Denver.
MONDAY = datetime(2026, 3, 9, 14, 0, tzinfo=UTC)

BAR = {
    "part_number": "FH-TB-104", "part_lot": "L-2231", "as_found": "play", "adjustable": "no",
    "thread_condition": "dry", "end_kind": "bushing", "hole_looked": "sound",
    "shank_looked": "worn", "sleeve_looked": "sound", "bracket_looked": "sound",
    "ride_height": True, "axle_left": "9 1/2 in", "axle_right": "9 1/2 in",
    "wheel_centre_looked": True, "full_lock": True, "hoses_clear": True,
}  # fmt: skip
TOE = {
    "same_mark": True, "found_rear": "46 5/16 in", "found_front": "46 1/4 in",
    "gear_centred": True, "wheel_centred": True, "left_rear": "46 5/16 in",
    "left_front": "46 1/4 in", "read_again": True, "rolled": True, "toe_height": "15 in",
    "toe_span": "28 in", "ride_height": True, "toe_basis": "restored", "found_in_spec": True,
    "nothing_had_play": True, "nothing_bent": True,
}  # fmt: skip


def design() -> Design:
    """A four-link truck with a crossing linkage, of the reference layouts."""
    axes = {
        "axle": "four_link_coil",
        "linkage": "crossing",
        "knuckle": "ball_joint",
        "hub": "unit_hub",
    }
    layouts = {axis: Layout.objects.get(code=code) for axis, code in axes.items()}
    return Design.objects.create(name="Foothill 3/4", make="Foothill", **layouts)


class Story:
    """The people of one yard, its truck, and its two torque tools."""

    def __init__(self, yard: Yard, manager: Client, *crew: Client) -> None:
        self.driver, self.technician, self.colleague = crew
        self.manager = manager
        build.spec(manager.person, design=Design.objects.get())
        build.tool(yard, "GOOD", good_until=date(2027, 1, 1))
        build.tool(yard, "OLD", good_until=date(2026, 3, 1))
        body = {"unit_number": "A-12", "design": "Foothill 3/4", "yard": yard.slug,
                "duty": "gravel", "meter_unit": "mi", "meter": "48,000"}  # fmt: skip
        assert manager.post("vehicles/", body).status_code == 201
        self.truck = Vehicle.objects.get(unit_number="A-12")
        self.frame_end = Joint.objects.get(vehicle=self.truck, kind__code="track_bar_frame_end")

    def complain(self) -> Any:
        return self.driver.post("complaints/", {
            "vehicle": "A-12", "kind": "axle_oscillation", "speed_typed": "45 mph",
            "text": "Shook until I was nearly stopped.", "after_bump": True,
        })  # fmt: skip

    def inspect(self, kind: str, **finding: Any) -> Any:
        """One finding at the track bar's frame end."""
        sheet = {"vehicle": "A-12", "kind": kind, "at_wheel": "the driver", "on_wheels": True,
                 "findings": [{"joint": self.frame_end.pk, **finding}]}  # fmt: skip
        return self.technician.post("inspections/", sheet)

    def held(self) -> bool:
        return bool(self.manager.get("vehicles/A-12/").json()["held"])

    def ticket(self) -> dict[str, Any]:
        found = self.technician.get("tickets/", {"vehicle": "A-12"}).json()["results"][0]
        body: dict[str, Any] = self.technician.get(f"tickets/{found['id']}/").json()
        return body

    def step(self, who: Client, step: str, body: dict[str, Any]) -> Any:
        ticket = self.ticket()
        return who.post(f"tickets/{ticket['id']}/{step}/", body, match=ticket["version"])

    def record(self, action: str, figures: dict[str, Any]) -> Any:
        line = next(row for row in self.ticket()["lines"] if row["action"] == action)
        return self.technician.post(f"lines/{line['id']}/entries/", {"figures": figures})

    def repair(self) -> None:
        assert self.record("replace_track_bar", {**BAR, "torque": "125 lbf·ft", "tool": "GOOD"})
        assert self.record("set_toe", TOE).json()["line_state"] == "complete"

    def take_out(self) -> Any:
        """Second check, release, road test, close."""
        passed = {"passed": True, "dry_steer": True}
        assert self.step(self.colleague, "second-check", passed).status_code == 201
        out = {"driver": "the night ranger", "place": "yard loop"}
        assert self.step(self.technician, "release", out).status_code == 201
        tested = {"passed": True, "top_speed": "45 mph"}
        assert self.step(self.technician, "road-test", tested).status_code == 201
        return self.step(self.technician, "close", {})


@pytest.fixture
def story(
    alder: Yard, manager: Client, driver: Client, technician: Client, colleague: Client
) -> Story:
    design()
    with time_machine.travel(MONDAY - timedelta(days=30), tick=False):
        return Story(alder, manager, driver, technician, colleague)


def at(days: float) -> Any:
    return time_machine.travel(MONDAY + timedelta(days=days), tick=False)


def test_an_oscillation_complaint_holds_the_truck_at_once(story: Story) -> None:
    with at(0):
        answer = story.complain()
    assert answer.status_code == 201
    assert answer.json()["held"] is True
    assert answer.json()["on_call_number"] == "555-0100"
    assert answer.json()["speed_m_s"] == pytest.approx(45 * 0.44704)  # 1 mph = 0.44704 m/s exactly
    assert story.held()


def test_play_at_the_frame_end_opens_a_line(story: Story) -> None:
    with at(0):
        story.complain()
        answer = story.inspect("complaint", code="play", method="dry_steer", play="1/8 in")
        ticket = story.ticket()
    assert answer.status_code == 201
    finding = answer.json()["findings"][0]
    assert finding["response"] == "hold"
    assert (finding["play_typed"], finding["play_m"]) == ("1/8 in", pytest.approx(0.003175))
    assert [line["action"] for line in ticket["lines"]] == ["replace_track_bar", "set_toe"]
    assert ticket["complaint"] is not None


def test_close_is_refused_naming_each_thing_that_is_missing(story: Story) -> None:
    with at(0):
        story.complain()
        story.inspect("complaint", code="play", method="dry_steer", play="1/8 in")
        answer = story.step(story.technician, "close", {})
        assert answer.status_code == 422
        missing = {p["field"] for p in answer.json()["problems"] if p["code"] == "missing"}
        assert {"torque", "tool", "left_rear", "left_front"} <= missing
        assert all(p["line"] for p in answer.json()["problems"] if p["code"] == "missing")
        assert "second_check_missing" in codes(answer)

        old = story.record("replace_track_bar", {**BAR, "torque": "125 lbf·ft", "tool": "OLD"})
        assert old.json()["line_state"] == "open"
        assert "tool_out_of_date" in codes(story.step(story.technician, "close", {}))
        assert story.held()


def test_who_did_a_line_makes_no_second_check(story: Story) -> None:
    with at(0):
        story.complain()
        story.inspect("complaint", code="play", method="dry_steer", play="1/8 in")
        story.repair()
        passed = {"passed": True, "dry_steer": True}
        answer = story.step(story.technician, "second-check", passed)
    assert answer.status_code == 422
    assert "same_person" in codes(answer)


def test_check_road_test_and_close_lift_the_hold_and_make_rechecks(story: Story) -> None:
    with at(0):
        story.complain()
        story.inspect("complaint", code="play", method="dry_steer", play="1/8 in")
        story.repair()
        assert story.held()
        answer = story.take_out()
        assert answer.status_code == 200
        assert answer.json()["state"] == "closed"
        assert not story.held()
        due = story.manager.get("due/", {"vehicle": "A-12", "kind": "retorque"}).json()["results"]
    assert {row["joint_kind"] for row in due} == {"track_bar_frame_end", "track_bar_axle_end"}
    assert {row["due_on"] for row in due} == {"2026-03-16"}
    assert all(row["falls_on"] <= "2026-03-16" for row in due)
    # 100 miles on from 48,000, in whole metres: 1 mi = 1,609.344 m exactly.
    assert {row["due_use_si"] - row["start_use_si"] for row in due} == {160_934}


def test_closing_twice_is_told_and_doubles_nothing(story: Story) -> None:
    with at(0):
        story.complain()
        story.inspect("complaint", code="play", method="dry_steer", play="1/8 in")
        story.repair()
        story.take_out()
        again = story.step(story.colleague, "close", {})
        assert again.status_code == 422
        assert codes(again) == {"ticket_over"}
        owed = story.manager.get("due/", {"vehicle": "A-12", "kind": "retorque"}).json()
    assert owed["count"] == 2


def test_a_stale_page_can_t_close(story: Story) -> None:
    with at(0):
        story.complain()
        story.inspect("complaint", code="play", method="dry_steer", play="1/8 in")
        before = story.ticket()
        story.repair()
        answer = story.technician.post(
            f"tickets/{before['id']}/close/", {}, match=before["version"]
        )
    assert answer.status_code == 412


def test_moved_and_moved_again_is_a_pattern_with_its_evidence(story: Story) -> None:
    moved = {"code": "moved", "method": "wrench", "torque": "125 lbf·ft", "tool": "GOOD",
             "degrees": "20", "thread_condition": "dry"}  # fmt: skip
    with at(0):
        story.complain()
        story.inspect("complaint", code="play", method="dry_steer", play="1/8 in")
    with at(0.2):
        story.repair()
        story.take_out()
    with at(6):
        first = story.inspect("recheck", **moved)
        assert first.status_code == 201
        owed = story.manager.get("due/", {"vehicle": "A-12", "kind": "retorque"}).json()["results"]
        frame = next(row for row in owed if row["joint_kind"] == "track_bar_frame_end")
        # Half of the seven days it had, never under two (own).
        assert frame["due_on"] <= "2026-03-19"
    with at(9):
        second = story.inspect("recheck", **moved)
        assert second.status_code == 201
        deliver(server_actor(), at=datetime.now(UTC))
        found = story.manager.get("patterns/", {"vehicle": "A-12"}).json()["results"]
    assert [row["kind"] for row in found] == ["repeat_loosening"]
    seen = {first.json()["findings"][0]["id"], second.json()["findings"][0]["id"]}
    assert seen <= set(found[0]["evidence"]["findings"])
    assert found[0]["next_look"][0] == "hole"

    with at(10):
        path = f"patterns/{found[0]['id']}/judge/"
        body = {"to": "looked_at", "text": "The hole at the frame end is oval."}
        assert story.technician.post(path, body, match=1).status_code == 403
        judged = story.manager.post(path, body, match=found[0]["version"])
        life = story.manager.get(f"joints/{story.frame_end.pk}/life/").json()
    assert judged.json()["state"] == "looked_at"
    assert len(life["findings"]) == 3
    assert life["parts"][0]["lot"] == "L-2231"
    assert life["patterns"][0]["cause"] == body["text"]
