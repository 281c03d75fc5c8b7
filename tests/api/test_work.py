"""Vehicles, complaints, inspections, tickets and holds, each by its own address."""

from typing import Any

import pytest
import time_machine

from fleet.records.models import (
    Design,
    Finding,
    Hold,
    Inspection,
    Layout,
    Ticket,
    TicketLine,
    Vehicle,
)
from tests import build
from tests.api.conftest import Client, codes, fields

pytestmark = pytest.mark.usefixtures("rules")


class TestVehicles:
    NEW = {"unit_number": "A-31", "design": "Foothill 3/4", "yard": "alder", "duty": "gravel",
           "meter_unit": "mi"}  # fmt: skip

    @pytest.fixture(autouse=True)
    def _design(self, alder: Any, rules: None) -> None:
        """A design of the reference layouts alone: the common ones are on every vehicle."""
        axes = {"axle": "leaf", "linkage": "fore_aft", "knuckle": "kingpin", "hub": "unit_hub"}
        layouts = {axis: Layout.objects.get(code=code) for axis, code in axes.items()}
        Design.objects.create(name="Foothill 3/4", make="Foothill", **layouts)

    def test_it_comes_in_with_its_joints(self, manager: Client) -> None:
        answer = manager.post("vehicles/", {**self.NEW, "meter": "12", "lift_m": 0.05})
        assert answer.status_code == 201
        assert answer["ETag"]
        assert answer.json()["meter"]["typed"] == "12"
        assert manager.get("vehicles/A-31/joints/").json()["count"] > 0

    def test_a_vin_that_can_t_be_one_is_refused(self, manager: Client) -> None:
        answer = manager.post("vehicles/", {**self.NEW, "vin": "1OQ"})
        assert answer.status_code == 422
        assert fields(answer) == {"vin"}

    def test_two_vehicles_have_not_one_number(self, manager: Client) -> None:
        manager.post("vehicles/", self.NEW)
        answer = manager.post("vehicles/", {**self.NEW, "unit_number": "a-31"})
        assert (answer.status_code, fields(answer)) == (422, {"unit_number"})

    @pytest.mark.parametrize("number", ["A/31", "A?31", "A#31"])
    def test_a_number_stands_in_addresses(self, manager: Client, number: str) -> None:
        answer = manager.post("vehicles/", {**self.NEW, "unit_number": number})
        assert (answer.status_code, fields(answer)) == (400, {"unit_number"})

    @pytest.mark.parametrize(
        ("name", "value"),
        [("lift_m", "0.05"), ("lift_m", True), ("lift_m", 1e300), ("model_year", 2025.0),
         ("model_year", "2025"), ("model_year", 10**30), ("power_steering", "yes"),
         ("drag_link_degrees", 91), ("tyre_size", 37), ("meter_unit", "ft")],
    )  # fmt: skip
    def test_kinds_of_values_are_not_guessed(
        self, manager: Client, name: str, value: object
    ) -> None:
        answer = manager.post("vehicles/", {**self.NEW, name: value})
        assert (answer.status_code, fields(answer)) == (400, {name})

    def test_what_stays_can_t_be_changed(self, manager: Client, truck: Vehicle) -> None:
        answer = manager.patch("vehicles/A-12/", {"meter_unit": "h"}, match=0)
        assert (answer.status_code, fields(answer)) == (400, {"meter_unit"})

    def test_a_technician_changes_none(self, technician: Client, truck: Vehicle) -> None:
        assert technician.patch("vehicles/A-12/", {"duty": "plough"}, match=0).status_code == 403


class TestComplaints:
    def test_a_driver_gets_an_answer_back(
        self, driver: Client, technician: Client, truck: Vehicle
    ) -> None:
        made = driver.post("complaints/", {"vehicle": "A-12", "kind": "clunk"}).json()
        assert made["held"] is False
        text = "The bolt was loose. It is renewed."
        answer = technician.post(f"complaints/{made['id']}/answers/", {"text": text})
        assert answer.status_code == 201
        shown = technician.get(f"complaints/{made['id']}/").json()
        assert [row["text"] for row in shown["answers"]] == [text]

    def test_a_speed_no_unit_fits_is_refused_by_field(self, driver: Client, truck: Vehicle) -> None:
        body = {"vehicle": "A-12", "kind": "wander", "speed_typed": "45 knots"}
        answer = driver.post("complaints/", body)
        assert (answer.status_code, fields(answer)) == (422, {"speed_typed"})


class TestHolds:
    def test_whoever_placed_it_does_not_lift_it(
        self, driver: Client, manager: Client, truck: Vehicle
    ) -> None:
        check = {"dry_steer": True, "note": "Every stud watched."}
        own = manager.post("holds/", {"vehicle": "A-12", "text": "Loose."}).json()
        refused = manager.post(f"holds/{own['id']}/lift/", check)
        assert (refused.status_code, codes(refused)) == (422, {"same_person"})

        other = driver.post("holds/", {"vehicle": "A-12", "text": "Loose."}).json()
        assert driver.post(f"holds/{other['id']}/lift/", check).status_code == 403
        lifted = manager.post(f"holds/{other['id']}/lift/", check, key="lift")
        assert lifted.status_code == 200
        assert lifted.json()["lifted_by"]["name"] == "Manager"
        again = manager.post(f"holds/{other['id']}/lift/", check, key="lift")
        assert (again.status_code, again["Idempotency-Replayed"]) == (200, "true")
        assert manager.get("holds/", {"open": "true"}).json()["count"] == 1

    def test_lifting_needs_the_check(self, driver: Client, manager: Client, truck: Vehicle) -> None:
        made = driver.post("holds/", {"vehicle": "A-12", "text": "Loose."}).json()
        answer = manager.post(f"holds/{made['id']}/lift/", {"dry_steer": False, "note": "x"})
        assert fields(answer) == {"dry_steer"}
        assert Hold.objects.get().lifted_at is None


class TestInspections:
    def test_a_sheet_is_taken_whole_or_not_at_all(self, technician: Client, truck: Vehicle) -> None:
        frame, axle = (build.joint(truck, f"track_bar_{end}_end") for end in ("frame", "axle"))
        sheet = {"vehicle": "A-12", "kind": "routine", "at_wheel": "the driver", "findings": [
            {"joint": frame.pk, "code": "no_play", "method": "dry_steer"},
            {"joint": axle.pk, "code": "tight", "method": "dry_steer"},
        ]}  # fmt: skip
        answer = technician.post("inspections/", sheet)
        assert answer.status_code == 422
        assert fields(answer) == {"findings.1.method"}
        assert answer.json()["problems"][0]["joint"]
        assert not Inspection.objects.exists()
        assert not Finding.objects.exists()

    def test_a_joint_that_the_vehicle_has_not(self, technician: Client, truck: Vehicle) -> None:
        other = build.joint(build.vehicle(truck.yard))
        for joint in (other.pk, 2**31 - 1):
            sheet = {"vehicle": "A-12", "kind": "routine",
                     "findings": [{"joint": joint, "code": "bent"}]}  # fmt: skip
            answer = technician.post("inspections/", sheet)
            assert (answer.status_code, codes(answer)) == (422, {"joint_not_on_vehicle"})

    @pytest.mark.parametrize("torque", ["1e400 lbf·ft", "125 psi", "nan", "12345678901234 N·m"])
    def test_a_torque_that_is_none(self, technician: Client, truck: Vehicle, torque: str) -> None:
        build.tool(truck.yard, "T-1")
        sheet = {"vehicle": "A-12", "kind": "retorque", "findings": [
            {"joint": build.joint(truck).pk, "code": "tight", "method": "wrench",
             "torque": torque, "tool": "T-1"},
        ]}  # fmt: skip
        answer = technician.post("inspections/", sheet)
        assert (answer.status_code, fields(answer)) == (422, {"findings.0.torque"})

    def test_a_tool_of_another_yard_is_no_tool_here(
        self, technician: Client, truck: Vehicle, mesa: Any
    ) -> None:
        build.tool(mesa, "M-1")
        sheet = {"vehicle": "A-12", "kind": "retorque", "findings": [
            {"joint": build.joint(truck).pk, "code": "tight", "method": "wrench",
             "torque": "125 lbf·ft", "tool": "M-1"},
        ]}  # fmt: skip
        answer = technician.post("inspections/", sheet)
        assert (answer.status_code, fields(answer)) == (422, {"findings.0.tool"})

    def test_one_shows_its_findings_and_the_list_does_not(
        self, technician: Client, truck: Vehicle
    ) -> None:
        build.finding(build.joint(truck), technician.person)
        listed = technician.get("inspections/").json()["results"][0]
        assert "findings" not in listed
        shown = technician.get(f"inspections/{listed['id']}/").json()
        assert shown["findings"][0]["kind"] == "track_bar_frame_end"


class TestTickets:
    @pytest.fixture
    def ticket(self, technician: Client, truck: Vehicle) -> Any:
        joint = build.joint(truck)
        body = {"vehicle": "A-12", "title": "Loose", "lines": [
            {"action": "retorque", "joint": joint.pk},
        ]}  # fmt: skip
        answer = technician.post("tickets/", body)
        assert answer.status_code == 201
        return answer

    def test_it_opens_with_its_lines_and_version(self, ticket: Any) -> None:
        assert ticket["ETag"] == f'"{ticket.json()["version"]}"'
        line = ticket.json()["lines"][0]
        assert (line["action"], line["joint_kind"]) == ("retorque", "track_bar_frame_end")

    def test_a_vehicle_has_one_at_a_time(self, ticket: Any, technician: Client) -> None:
        answer = technician.post("tickets/", {"vehicle": "A-12"})
        assert (answer.status_code, codes(answer)) == (422, {"ticket_open"})

    def test_what_was_typed_is_kept_beside_its_si_value(
        self, ticket: Any, technician: Client, truck: Vehicle
    ) -> None:
        build.tool(truck.yard, "T-1")
        line = ticket.json()["lines"][0]["id"]
        figures = {"torque": "60 lbf·ft", "tool": "T-1", "turned": "no", "thread_condition": "dry"}
        answer = technician.post(f"lines/{line}/entries/", {"figures": figures})
        assert answer.status_code == 201
        kept = answer.json()["figures"]["torque"]
        # 1 lbf·ft = 1.3558179483314004 N·m (computed from 0.3048 m, 0.45359237 kg, 9.80665 m/s²).
        assert (kept["typed"], kept["unit"]) == ("60 lbf·ft", "lbf·ft")
        assert kept["si"] == pytest.approx(81.349076899884)
        assert answer.json()["torques"][0]["torque_nm"] == pytest.approx(81.349076899884)

    def test_figures_no_line_knows_and_figures_that_are_none(
        self, ticket: Any, technician: Client
    ) -> None:
        path = f"lines/{ticket.json()['lines'][0]['id']}/entries/"
        answer = technician.post(path, {"figures": {"torqe": "60 lbf·ft"}})
        assert (answer.status_code, fields(answer)) == (422, {"torqe"})
        answer = technician.post(path, {"figures": {"torque": "60 psi"}})
        assert (answer.status_code, fields(answer)) == (422, {"torque"})
        assert answer.json()["problems"][0]["line"]
        answer = technician.post(path, {"figures": {"torque": 60}})
        assert (answer.status_code, fields(answer)) == (400, {"figures.torque"})

    def test_a_line_is_added_and_dropped(self, ticket: Any, technician: Client) -> None:
        path = f"tickets/{ticket.json()['id']}/lines/"
        added = technician.post(path, {"action": "set_toe"})
        assert (added.status_code, added.json()["action"]) == (201, "set_toe")
        twice = technician.post(path, {"action": "set_toe"})
        assert (twice.status_code, codes(twice)) == (422, {"line_twice"})
        line = f"lines/{added.json()['id']}/drop/"
        assert technician.post(line, {"reason": "Not needed."}).json()["state"] == "dropped"

    def test_a_line_heeds_the_version_where_one_is_sent(
        self, ticket: Any, technician: Client
    ) -> None:
        path, version = f"tickets/{ticket.json()['id']}/lines/", ticket.json()["version"]
        first = technician.post(path, {"action": "set_toe"}, match=version)
        assert first.status_code == 201
        stale = technician.post(path, {"action": "full_alignment"}, match=version)
        assert stale.status_code == 412
        assert TicketLine.objects.filter(action="full_alignment").count() == 0

    def test_an_empty_one_is_cancelled(self, ticket: Any, technician: Client) -> None:
        path, version = f"tickets/{ticket.json()['id']}/cancel/", ticket.json()["version"]
        answer = technician.post(path, {"reason": "Wrong truck."}, match=version)
        assert answer.status_code == 200
        assert answer.json()["state"] == "cancelled"
        assert Ticket.objects.get().outcome == "Wrong truck."


class TestDue:
    @pytest.fixture
    def path(self, truck: Vehicle) -> str:
        return f"due/{build.recheck(truck, build.joint(truck)).pk}/"

    def test_it_is_handed_to_somebody_of_the_yard(
        self, path: str, manager: Client, technician: Client
    ) -> None:
        answer = manager.patch(path, {"assigned_to": technician.person.pk})
        assert answer.status_code == 200
        assert answer.json()["assigned_to"]["name"] == "Technician"
        mine = technician.get("due/", {"assigned_to": str(technician.person.pk)}).json()
        assert mine["count"] == 1
        assert manager.patch(path, {"assigned_to": None}).json()["assigned_to"] is None

    def test_and_to_nobody_else(
        self, path: str, manager: Client, stranger: Client, driver: Client
    ) -> None:
        for person in (stranger.person.pk, driver.person.pk, 2**31 - 1):
            answer = manager.patch(path, {"assigned_to": person})
            assert (answer.status_code, fields(answer)) == (422, {"assigned_to"})

    def test_a_technician_hands_out_nothing(self, path: str, technician: Client) -> None:
        assert technician.patch(path, {"assigned_to": None}).status_code == 403

    def test_late_is_judged_at_the_yard_s_date(self, manager: Client, truck: Vehicle) -> None:
        joint = build.joint(truck)
        build.recheck(truck, joint, due_in=-1, ladder="a")
        build.recheck(truck, joint, due_in=0, ladder="b")
        # 05:00 UTC on the 26th is still the 25th in Denver.
        with time_machine.travel(build.NOW.replace(day=26, hour=5), tick=False):
            shown = manager.get("due/").json()["results"]
        assert [(row["ladder"], row["late"], row["today"]) for row in shown] == [
            ("a", True, "2026-11-25"),
            ("b", False, "2026-11-25"),
        ]
