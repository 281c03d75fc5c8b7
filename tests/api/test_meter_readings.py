"""Meter readings over the API: taken, refused with the reason, accepted, withdrawn."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.records.models import MeterReading, Vehicle
from tests import build
from tests.api.conftest import Client, codes, fields

DAY = datetime(2026, 3, 9, 18, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _on_that_day(db: None) -> Any:
    with time_machine.travel(DAY, tick=False):
        yield


def test_a_reading_is_kept_as_typed_beside_its_si_value(driver: Client, truck: Vehicle) -> None:
    answer = driver.post("meter-readings/", {"vehicle": "A-12", "meter": "48,210"})
    assert answer.status_code == 201
    body = answer.json()
    assert (body["typed"], body["unit"]) == ("48,210", "mi")
    # 1 mi = 1,609.344 m exactly (international mile; NIST SP 811, from memory, unverified).
    assert body["use_si"] == round(48_210 * 1609.344)
    assert body["occurred_at"] == "2026-03-09T18:00:00Z"


def test_when_it_was_read_comes_with_its_offset(driver: Client, truck: Vehicle) -> None:
    body = {"vehicle": "A-12", "meter": "48,210", "at": "2026-03-09T07:00:00-07:00"}
    assert driver.post("meter-readings/", body).json()["occurred_at"] == "2026-03-09T14:00:00Z"


@pytest.mark.parametrize(
    "moment", ["2026-03-09T07:00:00", "2026-03-09", "yesterday", 5, None, "2026-13-01T00:00:00Z"]
)
def test_a_moment_nobody_can_place_is_refused(
    driver: Client, truck: Vehicle, moment: object
) -> None:
    answer = driver.post("meter-readings/", {"vehicle": "A-12", "meter": "1", "at": moment})
    assert answer.status_code == 400
    assert fields(answer) == {"at"}


def test_no_reading_is_of_tomorrow(driver: Client, truck: Vehicle) -> None:
    later = (DAY + timedelta(days=1)).isoformat()
    answer = driver.post("meter-readings/", {"vehicle": "A-12", "meter": "5", "at": later})
    assert answer.status_code in (201, 422)
    assert not MeterReading.objects.filter(occurred_at__gt=DAY).exists()


@pytest.mark.parametrize("meter", [48210, 48210.5, True, None, ["48,210"], {"mi": 1}])
def test_a_figure_is_sent_as_text(driver: Client, truck: Vehicle, meter: object) -> None:
    answer = driver.post("meter-readings/", {"vehicle": "A-12", "meter": meter})
    assert answer.status_code == 400
    assert fields(answer) == {"meter"}


@pytest.mark.parametrize("meter", ["1e400", "NaN", "inf", "-5", "48.210", "4 5/16", "twelve"])
def test_a_text_that_is_no_figure_is_refused_with_an_example(
    driver: Client, truck: Vehicle, meter: str
) -> None:
    answer = driver.post("meter-readings/", {"vehicle": "A-12", "meter": meter})
    assert answer.status_code == 422
    assert fields(answer) == {"meter"}
    assert answer.json()["problems"][0]["hint"]
    assert not MeterReading.objects.exists()


def test_a_meter_that_runs_backwards_is_refused_saying_what_it_read(
    driver: Client, truck: Vehicle
) -> None:
    build.meter(truck, 48_210, driver.person, DAY - timedelta(days=2))
    answer = driver.post("meter-readings/", {"vehicle": "A-12", "meter": "42,810"})
    assert answer.status_code == 422
    assert codes(answer) == {"meter_backwards"}
    assert "48210" in answer.json()["problems"][0]["message"]


def test_a_manager_takes_what_the_checks_refuse_and_says_why(
    driver: Client, manager: Client, truck: Vehicle
) -> None:
    build.meter(truck, 1_000, driver.person, DAY - timedelta(days=2))
    body = {"vehicle": "A-12", "meter": "48,210", "reason": "Read by two people."}
    assert codes(driver.post("meter-readings/", body)) == {"meter_too_fast"}
    taken = manager.post("meter-readings/", body)
    assert taken.status_code == 201
    assert taken.json()["reason"] == "Read by two people."


def test_a_wrong_reading_is_withdrawn_and_stays_on_file(
    driver: Client, manager: Client, truck: Vehicle
) -> None:
    wrong = driver.post("meter-readings/", {"vehicle": "A-12", "meter": "48,210"}).json()
    path = f"meter-readings/{wrong['id']}/withdraw/"
    assert driver.post(path, {"reason": "Typed twice."}).status_code == 403
    answer = manager.post(path, {"reason": "Typed twice."})
    assert answer.status_code == 201
    assert (answer.json()["kind"], answer.json()["withdraws"]) == ("withdraws", wrong["id"])
    assert manager.get("meter-readings/").json()["results"][-1]["id"] == wrong["id"]


def test_a_client_s_own_identity_is_kept_and_taken_once(driver: Client, truck: Vehicle) -> None:
    body = {"vehicle": "A-12", "meter": "48,210", "uid": "0197a3c2-5b1e-7c44-9f0a-2f6b1c0d9e11"}
    assert driver.post("meter-readings/", body).json()["uid"] == body["uid"]
    again = driver.post("meter-readings/", body)
    assert again.status_code == 409
    assert again.json()["type"].endswith("/clash/")
    assert MeterReading.objects.count() == 1


def test_lists_are_cut_by_vehicle_and_time(driver: Client, manager: Client, truck: Vehicle) -> None:
    other = build.vehicle(truck.yard, "B-7")
    for days in range(1, 4):
        build.meter(truck, 1_000 - days, driver.person, DAY - timedelta(days=days))
        build.meter(other, 1_000 - days, driver.person, DAY - timedelta(days=days))
    params = {"vehicle": "a-12", "since": "2026-03-07T18:00:00Z", "until": "2026-03-08T18:00:00Z"}
    found = manager.get("meter-readings/", params).json()["results"]
    assert [(row["vehicle"], row["typed"]) for row in found] == [("A-12", "998")]


class TestBulk:
    def _rows(self, count: int) -> list[dict[str, Any]]:
        """A mile an hour, the newest last."""
        return [
            {"vehicle": "A-12", "meter": f"{48_000 + number:,}",
             "at": (DAY - timedelta(hours=count - number)).isoformat()}
            for number in range(count)
        ]  # fmt: skip

    def test_all_are_taken(self, integrator: Client, truck: Vehicle) -> None:
        answer = integrator.post("meter-readings/bulk/", {"readings": self._rows(500)})
        assert answer.status_code == 201
        assert answer.json() == {"added": 500, "on_file": 0, "repeated": 0}
        assert integrator.get("vehicles/A-12/").json()["meter"]["typed"] == "48,499"

    def test_or_none_and_each_problem_by_its_index(
        self, integrator: Client, truck: Vehicle
    ) -> None:
        rows = self._rows(10)
        rows[3]["meter"], rows[7]["meter"] = "1e400", "12"
        answer = integrator.post("meter-readings/bulk/", {"readings": rows})
        assert answer.status_code == 422
        assert fields(answer) >= {"readings.3.meter", "readings.7.meter"}
        assert not MeterReading.objects.exists()

    def test_rows_are_strict_too(self, integrator: Client, truck: Vehicle, mesa: Any) -> None:
        rows: list[dict[str, Any]] = self._rows(4)
        rows[0]["metre"], rows[2]["meter"] = "1", 5
        answer = integrator.post("meter-readings/bulk/", {"readings": rows})
        assert answer.status_code == 400
        assert fields(answer) == {"readings.0.metre", "readings.2.meter"}

    def test_a_vehicle_out_of_sight_is_told_by_its_row(
        self, driver: Client, truck: Vehicle, mesa: Any
    ) -> None:
        build.vehicle(mesa, "M-3")
        rows = [{"vehicle": number, "meter": "5"} for number in ("A-12", "M-3", "none")]
        answer = driver.post("meter-readings/bulk/", {"readings": rows})
        assert answer.status_code == 400
        assert fields(answer) == {"readings.1.vehicle", "readings.2.vehicle"}

    def test_sent_again_it_is_done_once(self, integrator: Client, truck: Vehicle) -> None:
        body = {"readings": self._rows(5)}
        first = integrator.post("meter-readings/bulk/", body, key="k")
        again = integrator.post("meter-readings/bulk/", body, key="k")
        assert first.json() == again.json() == {"added": 5, "on_file": 0, "repeated": 0}
        assert again["Idempotency-Replayed"] == "true"
        other = integrator.post("meter-readings/bulk/", body)
        assert other.json() == {"added": 0, "on_file": 5, "repeated": 0}

    @pytest.mark.parametrize("count", [0, 5_001])
    def test_no_more_than_can_be_judged_at_once(
        self, integrator: Client, truck: Vehicle, count: int
    ) -> None:
        answer = integrator.post("meter-readings/bulk/", {"readings": self._rows(count)})
        assert answer.status_code == 400
        assert fields(answer) == {"readings"}

    @pytest.mark.parametrize("vehicles", [3, 30])
    def test_its_queries_do_not_grow_with_the_rows(
        self, integrator: Client, alder: Any, vehicles: int
    ) -> None:
        for number in range(vehicles):
            build.vehicle(alder, f"N-{number}")
        rows = [{"vehicle": f"N-{number}", "meter": "5"} for number in range(vehicles)]
        with CaptureQueriesContext(connection) as captured:
            answer = integrator.post("meter-readings/bulk/", {"readings": rows})
        assert answer.json()["added"] == vehicles
        # One trail entry a vehicle is the only cost that grows.
        assert len(captured) - vehicles <= 25
