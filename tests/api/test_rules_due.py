"""Rules, exceptions and what is owed over the API: previewed, changed, handed over, put off."""

from datetime import timedelta
from typing import Any

from django.utils import timezone

from fleet.records.models import Recheck, Rule, RuleException
from tests import build, people
from tests.api.conftest import Client, codes, fields
from tests.operations.conftest import House

RULE = "rules/ladder/link_bolts"
NEW: dict[str, Any] = {
    "steps": [{"distance": "800 km", "days": "40", "hours": "25"}], "reason": "By our record",
    "make_anew": True,
}  # fmt: skip


def owed(house: House, **extra: Any) -> Recheck:
    """By its rule, from two days before: 500 mi, 30 days."""
    return build.recheck(house.vehicle, house.joint(), due_in=28, ladder="link_bolts", **extra)


def test_a_rule_is_previewed_and_changed_by_the_version_that_was_read(house: House) -> None:
    boss, row = Client(house.manager.person), owed(house)
    told = boss.post(f"{RULE}/preview/", NEW).json()
    assert (told["owed"], told["moving"], told["later"]) == (1, 1, 1)
    assert told["first"][0]["recheck"] == row.pk
    assert told["first"][0]["would_fall_on"] > told["first"][0]["falls_on"]
    assert Rule.objects.get(key="link_bolts", is_current=True).version == 1
    assert boss.post(f"{RULE}/change/", NEW).status_code == 428
    assert boss.post(f"{RULE}/change/", NEW, match=7).status_code == 412
    done = boss.post(f"{RULE}/change/", NEW, match=1, key="k-1")
    assert (done.status_code, done.json()["version"], done["ETag"]) == (200, 2, '"2"')
    assert boss.post(f"{RULE}/change/", NEW, match=1, key="k-1")["Idempotency-Replayed"] == "true"
    row.refresh_from_db()
    assert row.state == "dropped"
    back = boss.post(f"{RULE}/change/", {"back_to": 1, "reason": "As it was"}, match=2)
    assert back.json()["version"] == 3
    versions = boss.get("rules/", {"kind": "ladder", "key": "link_bolts", "all_versions": "true"})
    assert [one["version"] for one in versions.json()["results"]] in ([3, 2, 1], [1, 2, 3])


def test_what_is_wrong_with_a_rule_is_told_by_its_field(house: House) -> None:
    wrong = NEW | {"steps": [{"distance": "soon", "days": "", "hours": "20"}]}
    answer = Client(house.manager.person).post(f"{RULE}/preview/", wrong)
    assert fields(answer) == {"steps.0.distance", "steps.0.days"}
    nowhere = Client(house.manager.person).post("rules/response/other/preview/", NEW)
    assert nowhere.status_code == 404
    assert Client(house.technician.person).post(f"{RULE}/preview/", NEW).status_code == 403


def test_an_exception_is_given_and_ended(house: House) -> None:
    boss = Client(house.manager.person)
    new = {
        "vehicle": house.vehicle.unit_number, "kind": "routine", "key": "routine",
        "steps": [{"distance": "5000 mi", "days": "150", "hours": "160"}],
        "ends_on": str(timezone.now().date() + timedelta(days=9)), "reason": "Stands by",
    }  # fmt: skip
    assert codes(boss.post("rule-exceptions/", new | {"key": "annual"})) == {"legal_date"}
    made = boss.post("rule-exceptions/", new)
    assert (made.status_code, made.json()["ladder"]) == (201, "routine")
    pk = RuleException.objects.get().pk
    assert boss.get("rule-exceptions/").json()["results"][0]["id"] == pk
    ended = boss.post(f"rule-exceptions/{pk}/end/", {"reason": "Back on the road"})
    assert ended.json()["ended_at"]


def test_many_are_handed_over_and_what_could_not_be_is_told(house: House) -> None:
    boss, row = Client(house.manager.person), owed(house)
    who = house.technician.person.pk
    answer = boss.post("due/hand-over/", {"rechecks": [row.pk, 987_654], "assigned_to": who})
    assert (answer.status_code, answer.json()["done"]) == (200, 1)
    assert [one["code"] for one in answer.json()["refused"]] == ["not_there"]
    mine = boss.get("due/", {"assigned_to": who, "when": "later"}).json()["results"]
    assert [one["id"] for one in mine] == [row.pk]


def test_one_is_put_off_and_taken_back(house: House) -> None:
    scheduler, row = Client(people.scheduler()), owed(house)
    path, later = f"due/{row.pk}/put-off/", str(row.falls_on + timedelta(days=3))
    assert fields(scheduler.post(path, {"until": later})) == {"reason"}
    told = {"until": later, "reason": "The shop is full"}
    assert scheduler.post(path, told | {"falls_on": "2026-01-01"}).status_code == 412
    done = scheduler.post(path, told | {"falls_on": str(row.falls_on)}).json()
    assert (done["falls_on"], done["put_off_by"]["name"]) == (later, "Scheduler")
    assert done["ruled_on"] == str(row.due_on)
    back = scheduler.post(f"{path}take-back/", {}).json()
    assert (back["falls_on"], back["put_off_by"]) == (str(row.falls_on), None)
