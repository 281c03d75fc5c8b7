"""Whose yards one sees, and what one's role may do. A stranger is told 'not there', never 'not
yours' (OWASP ASVS 5.0.0: 8.2.1 function-level, 8.2.2 object-level, 8.4.1 cross-tenant)."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from rest_framework.test import APIClient

from api.base import Door
from api.permissions import BY_TABLET, SIGNED_IN
from api.urls import urlpatterns
from api.vehicles import Vehicles
from fleet.records.models import Complaint, Hold, MeterReading, Ticket, Vehicle
from fleet.records.roles import ABILITIES
from tests import build, people
from tests.api.conftest import V1, Client, fields


@dataclass
class Filled:
    """One row of everything at one yard."""

    paths: dict[str, str]


@pytest.fixture
def filled(truck: Vehicle, technician: Client) -> Filled:
    who = technician.person
    joint = build.joint(truck)
    found = build.finding(joint, who)
    complaint = build.complaint(truck, who)
    ticket = build.ticket(truck, who)
    line = build.line(ticket, joint)
    hold = build.hold(truck, who)
    recheck = build.recheck(truck, joint)
    tool = build.tool(truck.yard, "T-1")
    pattern = build.pattern(joint, [found])
    build.meter(truck, 48_000, who)
    build.trail(who, truck)
    return Filled({
        "yards": f"yards/{truck.yard.slug}/",
        "vehicles": "vehicles/A-12/",
        "vehicles/A-12/joints": f"joints/{joint.pk}/",
        "life": f"joints/{joint.pk}/life/",
        "meter-readings": "",
        "complaints": f"complaints/{complaint.pk}/",
        "inspections": f"inspections/{found.inspection_id}/",
        "findings": f"findings/{found.pk}/",
        "tickets": f"tickets/{ticket.pk}/",
        "line": f"lines/{line.pk}/",
        "holds": f"holds/{hold.pk}/",
        "due": f"due/{recheck.pk}/",
        "tools": f"tools/{tool.code}/",
        "patterns": f"patterns/{pattern.pk}/",
        "trail": "",
    })  # fmt: skip


LISTS = ["vehicles", "vehicles/A-12/joints", "meter-readings", "complaints", "inspections",
         "findings", "tickets", "holds", "due", "tools", "patterns"]  # fmt: skip
ONES = ["yards", "vehicles", "vehicles/A-12/joints", "life", "complaints", "inspections",
        "findings", "tickets", "holds", "due", "tools", "patterns"]  # fmt: skip


@pytest.mark.parametrize("noun", LISTS)
def test_a_colleague_of_the_yard_sees_the_list(
    filled: Filled, colleague: Client, noun: str
) -> None:
    assert colleague.get(f"{noun}/").json()["results"]


@pytest.mark.parametrize("noun", LISTS)
def test_a_stranger_sees_an_empty_list(filled: Filled, stranger: Client, noun: str) -> None:
    answer = stranger.get(f"{noun}/")
    if noun == "vehicles/A-12/joints":
        assert answer.status_code == 404
    else:
        assert answer.json()["results"] == []


@pytest.mark.parametrize("noun", ONES)
def test_one_of_them(filled: Filled, colleague: Client, stranger: Client, noun: str) -> None:
    path = filled.paths[noun]
    assert colleague.get(path).status_code == 200
    assert stranger.get(path).status_code == 404


def test_the_trail_is_for_managers_and_readers_of_the_yard(
    filled: Filled, technician: Client, mesa: Any
) -> None:
    assert technician.get("trail/").status_code == 403
    other = Client(people.reader(mesa, all_yards=False))
    assert other.get("trail/").json()["results"] == []
    assert Client(people.manager()).get("trail/").json()["results"]


def test_a_yard_of_others_is_no_choice_of_a_filter(
    filled: Filled, stranger: Client, technician: Client
) -> None:
    assert stranger.get("vehicles/", {"yard": "alder"}).status_code == 400
    assert technician.get("vehicles/", {"yard": "alder"}).json()["count"] == 1


def _routes() -> list[tuple[str, type[Door], str]]:
    callbacks: list[tuple[str, Any]] = [(str(p.name), p.callback) for p in urlpatterns]
    return [
        (name, callback.cls, action)
        for name, callback in callbacks
        for action in getattr(callback, "actions", {}).values()
    ]


@pytest.mark.parametrize("route", _routes(), ids=lambda route: f"{route[0]}-{route[2]}")
def test_every_action_of_every_address_names_an_ability(
    route: tuple[str, type[Door], str],
) -> None:
    name, door, action = route
    if (name, action) == ("api-token", "create"):
        return
    assert door.ability[action] in {*ABILITIES, SIGNED_IN, BY_TABLET}


def test_an_action_that_names_none_is_refused_to_everybody(
    manager: Client, truck: Vehicle, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Vehicles, "ability", {"retrieve": "view_vehicle"})
    assert manager.get("vehicles/A-12/").status_code == 200
    assert manager.get("vehicles/").status_code == 403


POSTS: list[tuple[str, Callable[[Filled], str], dict[str, Any]]] = [
    ("cancel", lambda f: f.paths["tickets"] + "cancel/", {"reason": "x"}),
    ("close", lambda f: f.paths["tickets"] + "close/", {}),
    ("add line", lambda f: f.paths["tickets"] + "lines/", {"action": "grease"}),
    ("check", lambda f: f.paths["tickets"] + "second-check/", {"passed": True, "dry_steer": True}),
    ("release", lambda f: f.paths["tickets"] + "release/", {"driver": "d", "place": "p"}),
    ("road test", lambda f: f.paths["tickets"] + "road-test/", {"passed": True}),
    ("entry", lambda f: f.paths["line"] + "entries/", {"figures": {}}),
    ("drop", lambda f: f.paths["line"] + "drop/", {"reason": "x"}),
]


@pytest.mark.parametrize("post", POSTS, ids=lambda post: post[0])
def test_a_stranger_s_post_finds_nothing_there(
    filled: Filled, stranger: Client, post: tuple[str, Callable[[Filled], str], dict[str, Any]]
) -> None:
    _name, path, body = post
    assert stranger.post(path(filled), body, match=1).status_code == 404


def test_a_vehicle_of_another_yard_can_t_be_named_in_a_body(
    truck: Vehicle, stranger: Client
) -> None:
    bodies: dict[str, dict[str, Any]] = {
        "complaints/": {"vehicle": "A-12", "kind": "wander"},
        "meter-readings/": {"vehicle": "A-12", "meter": "5"},
        "holds/": {"vehicle": "A-12", "text": "x"},
        "tickets/": {"vehicle": "A-12"},
        "inspections/": {"vehicle": "A-12", "kind": "routine",
                         "findings": [{"joint": 1, "code": "tight"}]},
    }  # fmt: skip
    for path, body in bodies.items():
        answer = stranger.post(path, body)
        assert answer.status_code == 400, path
        assert fields(answer) == {"vehicle"}
        unknown = stranger.post(path, {**body, "vehicle": "no such"})
        assert [p["message"] for p in unknown.json()["problems"]] == [
            p["message"] for p in answer.json()["problems"]
        ]
    for model in (Complaint, MeterReading, Hold, Ticket):
        assert not model.objects.exists()


def test_a_driver_reports_and_holds_and_does_nothing_else(
    driver: Client, filled: Filled, rules: None
) -> None:
    assert driver.post("complaints/", {"vehicle": "A-12", "kind": "clunk"}).status_code == 201
    assert driver.post("holds/", {"vehicle": "A-12", "text": "x"}).status_code == 201
    assert driver.get("vehicles/").status_code == 200
    for path in ("tickets/", "findings/", "due/", "patterns/", "specs/", "trail/", "people/"):
        assert driver.get(path).status_code == 403, path
    assert driver.post("tickets/", {"vehicle": "A-12"}).status_code == 403


def test_a_reader_reads_everything_and_writes_nothing(reader: Client, filled: Filled) -> None:
    for noun in (*LISTS, "trail", "rules", "specs"):
        assert reader.get(f"{noun}/").status_code == 200, noun
    for path in ("complaints/", "meter-readings/", "holds/", "tickets/", "inspections/"):
        assert reader.post(path, {}).status_code == 403, path
    assert reader.post(filled.paths["tickets"] + "close/", {}, match=1).status_code == 403


def test_an_integrator_pushes_readings_and_reads_what_is_due(
    integrator: Client, filled: Filled, rules: None
) -> None:
    with time_machine.travel(build.NOW + timedelta(days=1)):
        answer = integrator.post("meter-readings/", {"vehicle": "A-12", "meter": "48,010"})
    assert answer.status_code == 201
    assert integrator.get("due/").status_code == 200
    assert integrator.get("patterns/").status_code == 403
    life = integrator.get(filled.paths["life"]).json()
    assert (life["patterns"], life["specs"]) == ([], [])


def test_a_manager_of_one_yard_can_t_move_a_vehicle_out_of_it(
    truck: Vehicle, mesa: Any, alder: Any, rules: None
) -> None:
    of_one_yard = Client(people.manager(alder, all_yards=False))
    answer = of_one_yard.patch("vehicles/A-12/", {"yard": "mesa-tank"}, match=0)
    assert answer.status_code == 400
    truck.refresh_from_db()
    assert truck.yard == alder


def test_people_are_shown_without_how_to_reach_or_be_them(
    technician: Client, colleague: Client, stranger: Client
) -> None:
    shown = technician.get("people/").json()["results"]
    assert {person["name"] for person in shown} == {"Technician", "Colleague"}
    assert not {"username", "email", "phone", "password"} & set(shown[0])


def test_me_says_who_and_what_one_may(driver: Client) -> None:
    me = driver.get("me/").json()
    assert (me["role"], me["yards"]) == ("driver", ["alder"])
    assert me["may"] == [
        "end_move", "place_hold", "reckon", "record_meter", "report_complaint", "view_vehicle",
    ]  # fmt: skip


class TestToken:
    def test_a_name_and_a_password_give_a_token(self, technician: Client) -> None:
        nobody = APIClient()
        body = {"username": "technician", "password": people.PASSWORD}
        answer = nobody.post(V1 + "token/", body, format="json")
        assert answer.status_code == 200
        nobody.credentials(HTTP_AUTHORIZATION=f"Token {answer.json()['token']}")
        assert nobody.get(V1 + "me/").json()["name"] == "Technician"

    def test_a_wrong_password_is_401_and_says_no_more(self, technician: Client) -> None:
        answers = [
            APIClient().post(V1 + "token/", {"username": name, "password": "x"}, format="json")
            for name in ("technician", "nobody")
        ]
        assert [answer.status_code for answer in answers] == [401, 401]
        assert answers[0].json()["detail"] == answers[1].json()["detail"]

    def test_who_has_left_gets_none(self, technician: Client) -> None:
        technician.person.is_active = False
        technician.person.save()
        body = {"username": "technician", "password": people.PASSWORD}
        assert APIClient().post(V1 + "token/", body, format="json").status_code == 401
        assert technician.get("me/").status_code == 401

    def test_guessing_is_slowed(self, technician: Client) -> None:
        body = {"username": "technician", "password": "guess"}
        answers = [APIClient().post(V1 + "token/", body, format="json") for _ in range(11)]
        assert [answer.status_code for answer in answers[:10]] == [401] * 10
        assert answers[10].status_code == 429
        assert int(answers[10]["Retry-After"]) > 0

    def test_a_broken_token_does_not_bar_from_asking(self, technician: Client) -> None:
        technician.http.credentials(HTTP_AUTHORIZATION="Token nonsense")
        body = {"username": "technician", "password": people.PASSWORD}
        assert technician.http.post(V1 + "token/", body, format="json").status_code == 200

    def test_given_up_it_signs_nobody_in(self, technician: Client) -> None:
        assert technician.http.delete(V1 + "token/").status_code == 204
        assert technician.get("me/").status_code == 401


class TestSession:
    def test_a_signed_in_browser_reads(self, technician: Client) -> None:
        browser = APIClient()
        browser.force_login(technician.person)
        assert browser.get(V1 + "me/").status_code == 200

    def test_and_writes_only_with_its_csrf_token(self, driver: Client, truck: Vehicle) -> None:
        browser = APIClient(enforce_csrf_checks=True)
        browser.force_login(driver.person)
        answer = browser.post(
            V1 + "holds/", {"vehicle": "A-12", "text": "x"}, format="json",
            headers={"Idempotency-Key": "k"},
        )  # fmt: skip
        assert answer.status_code == 403
        assert not Hold.objects.exists()
