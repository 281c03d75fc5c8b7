"""Leave at this door: to move a held vehicle to the yard, and to check one's own work again."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.records.models import Vehicle, YardMove
from tests import build, people
from tests.api.conftest import Client, codes, fields
from tests.build import NOW

pytestmark = pytest.mark.usefixtures("rules")


class TestYardMoves:
    BODY = {"vehicle": "A-12", "route": "County road 7", "speed_typed": "20 mph", "hours": 2}

    @pytest.fixture(autouse=True)
    def _held(self, driver: Client, truck: Vehicle) -> None:
        driver.post("holds/", {"vehicle": "A-12", "text": "Steering felt loose."})

    def shown(self, who: Client) -> Any:
        return who.get("vehicles/A-12/").json()

    def test_a_trained_person_decides_and_the_vehicle_stays_held(
        self, technician: Client, driver: Client
    ) -> None:
        answer = technician.post("yard-moves/", self.BODY, key="one")
        assert answer.status_code == 201
        made = answer.json()
        assert (made["standing"], made["by"]["name"], made["end"]) == ("stands", "Technician", None)
        # 1 mph = 0.44704 m/s exactly.
        assert made["speed_m_s"] == pytest.approx(20 * 0.44704)
        again = technician.post("yard-moves/", self.BODY, key="one")
        assert (again.json()["id"], again["Idempotency-Replayed"]) == (made["id"], "true")
        seen = self.shown(driver)
        assert (seen["held"], seen["yard_move"]) == (True, made["id"])
        assert driver.get(f"yard-moves/{made['id']}/").json()["route"] == "County road 7"

    def test_who_may_not_and_what_is_missing(
        self, technician: Client, manager: Client, driver: Client
    ) -> None:
        assert driver.post("yard-moves/", self.BODY).status_code == 403
        # Nobody is trained by being a manager.
        answer = manager.post("yard-moves/", self.BODY)
        assert (answer.status_code, codes(answer)) == (422, {"not_trained"})
        answer = technician.post("yard-moves/", {**self.BODY, "hours": 25, "speed_typed": "fast"})
        assert (answer.status_code, fields(answer)) == (422, {"hours", "speed_typed"})
        answer = technician.post("yard-moves/", {**self.BODY, "speed_typed": 20})
        assert (answer.status_code, fields(answer)) == (400, {"speed_typed"})

    def test_two_at_once_there_are_not(self, technician: Client, colleague: Client) -> None:
        technician.post("yard-moves/", self.BODY)
        answer = colleague.post("yard-moves/", self.BODY)
        assert (answer.status_code, codes(answer)) == (422, {"move_stands"})

    def test_after_an_oscillation_it_says_tow_it(self, technician: Client, driver: Client) -> None:
        driver.post("complaints/", {"vehicle": "A-12", "kind": "axle_oscillation"})
        answer = technician.post("yard-moves/", self.BODY)
        assert (answer.status_code, codes(answer)) == (422, {"tow_it"})
        assert "Tow it" in answer.json()["detail"]
        why = {"why_not_towed": "The ford is up until tomorrow", "tow_ruled_out": True}
        assert technician.post("yard-moves/", {**self.BODY, **why}).json()["after_oscillation"]

    def test_a_driver_ends_it_and_it_stands_no_more(
        self, technician: Client, driver: Client
    ) -> None:
        move = technician.post("yard-moves/", self.BODY).json()["id"]
        answer = driver.post(f"yard-moves/{move}/end/", {"how": "taken_back"})
        assert (answer.status_code, fields(answer)) == (422, {"note"})
        answer = driver.post(f"yard-moves/{move}/end/", {"how": "arrived"})
        assert (answer.status_code, answer.json()["how"]) == (201, "arrived")
        assert self.shown(driver)["yard_move"] is None
        assert technician.get(f"yard-moves/{move}/").json()["standing"] == "arrived"
        early = driver.post(
            f"yard-moves/{move}/end/", {"how": "arrived", "at": "2026-01-01T00:00:00Z"}
        )
        assert codes(early) == {"move_over"}

    def test_one_that_has_lapsed_is_no_leave(self, technician: Client, truck: Vehicle) -> None:
        build.yard_move(truck, technician.person, NOW - timedelta(days=2))
        assert self.shown(technician)["yard_move"] is None

    def test_a_stranger_sees_none(self, technician: Client, stranger: Client) -> None:
        move = technician.post("yard-moves/", self.BODY).json()["id"]
        assert stranger.get("yard-moves/").json()["count"] == 0
        assert stranger.get(f"yard-moves/{move}/").status_code == 404
        assert stranger.post(f"yard-moves/{move}/end/", {"how": "arrived"}).status_code == 404
        assert technician.get("yard-moves/", {"vehicle": "a-12"}).json()["count"] == 1


class TestSelfCheckLeaves:
    @pytest.fixture
    def ticket(self, technician: Client, truck: Vehicle) -> Any:
        return build.ticket(truck, technician.person)

    def body(self, who: Client, **changed: Any) -> dict[str, Any]:
        return {"person": who.person.pk, "reason": "Alone at the yard", **changed}

    def test_a_manager_allows_one_person_and_they_read_that_it_stands(
        self, ticket: Any, manager: Client, technician: Client
    ) -> None:
        path = f"tickets/{ticket.pk}/self-check-leaves/"
        answer = manager.post(path, self.body(technician), key="one")
        assert answer.status_code == 201
        assert (answer.json()["by"]["name"], answer.json()["stands"]) == ("Manager", True)
        assert manager.post(path, self.body(technician), key="one")["Idempotency-Replayed"]
        rows = technician.get(path).json()["results"]
        assert [(row["person"]["name"], row["stands"]) for row in rows] == [("Technician", True)]

    def test_who_may_not_and_what_is_missing(
        self, ticket: Any, manager: Client, technician: Client, driver: Client
    ) -> None:
        path = f"tickets/{ticket.pk}/self-check-leaves/"
        assert technician.post(path, self.body(technician)).status_code == 403
        answer = manager.post(path, self.body(manager))
        assert (answer.status_code, fields(answer)) == (422, {"person"})
        assert fields(manager.post(path, self.body(driver))) == {"person"}
        assert fields(manager.post(path, {"person": technician.person.pk})) == {"reason"}

    def test_it_is_refused_at_once_where_it_is_barred(
        self, ticket: Any, manager: Client, technician: Client, driver: Client
    ) -> None:
        driver.post("complaints/", {"vehicle": "A-12", "kind": "axle_oscillation"})
        path = f"tickets/{ticket.pk}/self-check-leaves/"
        answer = manager.post(path, self.body(technician))
        assert (answer.status_code, codes(answer)) == (422, {"self_check_barred"})

    def test_without_leave_a_self_re_check_is_refused_and_names_no_manager(
        self, ticket: Any, technician: Client, manager: Client
    ) -> None:
        path = f"tickets/{ticket.pk}/second-check/"
        check = {"passed": True, "dry_steer": True, "how": "self", "note": "by mirror"}
        answer = technician.post(path, check, match=ticket.version)
        assert "leave_missing" in codes(answer)
        named = {**check, "allowed_by": manager.person.pk}
        answer = technician.post(path, named, match=ticket.version)
        assert (answer.status_code, fields(answer)) == (400, {"allowed_by"})

    def test_it_is_taken_back_once(
        self, ticket: Any, manager: Client, technician: Client, stranger: Client
    ) -> None:
        made = f"tickets/{ticket.pk}/self-check-leaves/"
        leave = manager.post(made, self.body(technician)).json()["id"]
        path, why = f"self-check-leaves/{leave}/take-back/", {"reason": "Somebody is here"}
        assert technician.post(path, why).status_code == 403
        answer = manager.post(path, why)
        assert (answer.status_code, answer.json()["leave"]) == (201, leave)
        assert codes(manager.post(path, why)) == {"taken_back"}
        assert technician.get(made).json()["results"][0]["stands"] is False
        elsewhere = Client(people.person("Mesa", "manager", build.yard("Birch")))
        assert elsewhere.post(path, why).status_code == 404
        assert stranger.get(made).status_code == 404


def test_a_hold_is_not_lifted_on_a_self_re_check(
    driver: Client, manager: Client, truck: Vehicle
) -> None:
    made = driver.post("holds/", {"vehicle": "A-12", "text": "Loose."}).json()
    check = {"dry_steer": True, "note": "looked", "how": "self"}
    answer = manager.post(f"holds/{made['id']}/lift/", check)
    assert (answer.status_code, fields(answer)) == (422, {"how"})
    assert not YardMove.objects.exists()
