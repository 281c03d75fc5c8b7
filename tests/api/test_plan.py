"""The plan over the API: read, moved by the version that was read, asked for and put in place."""

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine

from fleet.operations.actor import server_actor
from fleet.operations.plan_solve import work_plans
from fleet.records.models import LockedDay, PlanRun, Vehicle
from tests import people
from tests.api.conftest import Client, codes, fields
from tests.planned import FRIDAY, MONDAY, NOW, Ground, visit_of


@pytest.fixture
def ground(db: None) -> Iterator[Ground]:
    """At noon of a Wednesday."""
    with time_machine.travel(NOW, tick=False):
        yield Ground()


@pytest.fixture
def scheduler(ground: Ground) -> Client:
    return Client(ground.scheduler.person)


def test_a_visit_tells_its_day_people_and_work(ground: Ground, scheduler: Client) -> None:
    visit = ground.plan(ground.truck())
    [row] = scheduler.get("plan/visits/", {"yard": "alder", "day_from": str(FRIDAY)}).json()[
        "results"
    ]
    [work] = visit.works.all()
    assert (row["vehicle"], row["day"], row["minutes"]) == ("A-101", str(FRIDAY), 30)
    assert row["work"] == [
        {"recheck": work.recheck_id, "ticket": None, "minutes": 10, "people_at_once": 1}
    ]
    assert [one["minutes"] for one in row["people"]] == [30]
    assert scheduler.get(f"plan/visits/{visit.pk}/")["ETag"] == f'"{visit.version}"'


def test_a_move_wants_the_version_that_was_read_and_is_done_once(
    ground: Ground, scheduler: Client
) -> None:
    visit = ground.plan(ground.truck())
    path, body = f"plan/visits/{visit.pk}/move/", {"day": str(MONDAY)}
    assert scheduler.post(path, body).status_code == 428
    assert scheduler.post(path, body, match=99).status_code == 412
    done: Any = scheduler.post(path, body, key="k-1", match=visit.version)
    assert (done.status_code, done.json()["day"], done.json()["pinned"]) == (200, str(MONDAY), True)
    again = scheduler.post(path, body, key="k-1", match=visit.version)
    assert again["Idempotency-Replayed"] == "true"
    version = done.json()["version"]
    undone = scheduler.post(f"plan/visits/{visit.pk}/undo/", {}, match=version).json()
    assert (undone["day"], undone["can_undo"]) == (str(FRIDAY), False)
    pinned = scheduler.post(f"plan/visits/{visit.pk}/pin/", {"pinned": True},
                            match=undone["version"]).json()  # fmt: skip
    out = scheduler.post(f"plan/visits/{visit.pk}/take-out/", {}, match=pinned["version"])
    assert out.json()["state"] == "cancelled"


def test_what_is_wrong_with_a_day_is_told_by_its_field(ground: Ground, scheduler: Client) -> None:
    visit = ground.plan(ground.truck())
    path = f"plan/visits/{visit.pk}/move/"
    shut = scheduler.post(path, {"day": "2026-11-28"}, match=visit.version)
    assert (shut.status_code, codes(shut), fields(shut)) == (422, {"day_shut"}, {"day"})
    assert fields(scheduler.post(path, {"day": "soon"}, match=visit.version)) == {"day"}


def test_a_run_is_asked_for_watched_stopped_and_taken(ground: Ground, scheduler: Client) -> None:
    truck = ground.truck()
    asked = scheduler.post("plan/runs/", {"yard": "alder", "days": 7})
    assert (asked.status_code, asked.json()["state"]) == (201, "waiting")
    path = f"plan/runs/{asked.json()['id']}/"
    assert scheduler.post(f"{path}stop/", {}).json()["stop_wanted"] is True
    work_plans(server_actor(), at=ground.now, seconds=0.1)
    run = scheduler.get(path).json()
    assert (run["state"], run["proposal"]["visits"][0]["vehicle"]) == ("proposed", truck.pk)
    taken = scheduler.post(f"{path}take/", {}, match=run["version"]).json()
    assert (taken["state"], taken["taken"]["made"]) == ("taken", 1)
    assert visit_of(truck).state == "planned"
    again = scheduler.post(f"{path}leave/", {}, match=taken["version"])
    assert codes(again) == {"not_proposed"}


def test_days_tell_what_is_open_and_are_locked(ground: Ground, scheduler: Client) -> None:
    ground.plan(ground.truck())
    asked = {"first": str(FRIDAY), "days": 2}
    friday, saturday = scheduler.get("yards/alder/plan-days/", asked).json()["days"]
    assert (friday["bay_minutes"], friday["bay_minutes_open"], friday["locked"]) == (30, 480, False)
    assert (saturday["opens"], saturday["shut"]) == (None, "no working day")
    body = {"day": str(FRIDAY), "locked": True}
    assert scheduler.post("yards/alder/plan-days/", body).json()["days"][0]["locked"] is True
    assert LockedDay.objects.count() == 1


def test_a_technician_reads_their_own_visits_and_asks_for_nothing(ground: Ground) -> None:
    ground.plan(ground.truck("A-1"), people=[ground.technician.pk])
    ground.plan(ground.truck("A-2"), people=[ground.colleague.pk])
    technician = Client(ground.technician)
    rows = technician.get("plan/visits/").json()["results"]
    assert [row["vehicle"] for row in rows] == ["A-1"]
    assert technician.get(f"plan/visits/{rows[0]['id']}/").json() == rows[0]
    of_another = visit_of(Vehicle.objects.get(unit_number="A-2"))
    assert technician.get(f"plan/visits/{of_another.pk}/").status_code == 404
    assert technician.post("plan/runs/", {"yard": "alder"}).status_code == 403
    assert not PlanRun.objects.exists()


def test_several_yards_are_asked_for_by_their_slugs(ground: Ground, scheduler: Client) -> None:
    birch = ground.other("Birch", ground.technician)
    truck = ground.truck("B-1", at=birch)
    asked = scheduler.post("plan/runs/", {"yards": ["birch", "alder"], "days": 7}).json()
    assert (asked["yard"], asked["yards"]) == ("birch", ["alder", "birch"])
    again = scheduler.post("plan/runs/", {"yard": "alder"}).json()
    assert again["id"] == asked["id"]
    work_plans(server_actor(), at=ground.now, seconds=0.1)
    for slug in ("alder", "birch"):
        [row] = scheduler.get("plan/runs/", {"yard": slug}).json()["results"]
        assert row["id"] == asked["id"]
    run = scheduler.get(f"plan/runs/{asked['id']}/").json()
    [visit] = run["proposal"]["visits"]
    assert (visit["yard"], visit["vehicle"]) == (birch.pk, truck.pk)
    taken = scheduler.post(f"plan/runs/{asked['id']}/take/", {}, match=run["version"]).json()
    assert (taken["taken"]["made"], visit_of(truck).yard) == (1, birch)


def test_one_yard_and_others_is_the_same_as_all_of_them(ground: Ground, scheduler: Client) -> None:
    ground.other("Birch", ground.technician)
    asked = scheduler.post("plan/runs/", {"yard": "alder", "yards": ["birch", "alder"]}).json()
    assert (asked["yard"], asked["yards"]) == ("alder", ["alder", "birch"])


def test_which_yards_are_missing_or_wrong_is_told_by_the_field(
    ground: Ground, scheduler: Client
) -> None:
    ground.other("Birch", ground.technician)
    assert fields(scheduler.post("plan/runs/", {})) == {"yard"}
    assert "yards" in fields(scheduler.post("plan/runs/", {"yards": []})).pop()
    own = Client(people.person("Own", "scheduler", ground.yard))
    refused = own.post("plan/runs/", {"yard": "alder", "yards": ["birch"]})
    assert (refused.status_code, PlanRun.objects.count()) == (400, 0)
    asked = scheduler.post("plan/runs/", {"yards": ["alder", "birch"]}).json()
    assert own.get(f"plan/runs/{asked['id']}/").status_code == 404
    assert codes(own.post("plan/runs/", {"yard": "alder"})) == {"planned_elsewhere"}
