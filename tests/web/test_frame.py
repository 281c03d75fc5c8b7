"""The frame of every page: signing in, where one may go, language, units, errors, life."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from fleet.records.models import Person, Yard
from tests import build, people
from tests.web.conftest import Get

PAGES = ["/", "/vehicles/", "/due/", "/patterns/", "/specs/", "/reckoner/", "/trail/", "/settings/"]


@pytest.mark.parametrize("path", PAGES)
def test_somebody_not_signed_in_is_sent_to_sign_in_and_back(
    client: Client, db: None, path: str
) -> None:
    answer = client.get(path)
    assert answer.status_code == 302
    assert answer["Location"] == f"/accounts/login/?next={path}"


def test_signing_in_and_out(client: Client, manager: Person) -> None:
    page = client.get("/accounts/login/").content.decode()
    assert "Sign-in name" in page
    typed = {"login": "manager", "password": people.PASSWORD}
    assert client.post("/accounts/login/", typed)["Location"] == "/"
    assert client.get("/").status_code == 200
    client.post("/accounts/logout/")
    assert client.get("/").status_code == 302


def test_a_wrong_password_is_told_and_the_name_typed_is_kept(
    client: Client, manager: Person
) -> None:
    page = client.post("/accounts/login/", {"login": "manager", "password": "not it"})
    assert 'value="manager"' in page.content.decode()
    assert "thing to put right" in page.content.decode()


@pytest.fixture
def _forgotten() -> Iterator[None]:
    """Tries are counted for an address: the tests after this one begin with none."""
    yield
    cache.clear()


@pytest.mark.usefixtures("_forgotten")
def test_too_many_tries_are_answered_in_the_house_s_frame(client: Client, db: None) -> None:
    typed = {"login": "nobody", "password": "not it"}
    answers = [client.post("/accounts/login/", typed) for _ in range(40)]
    assert answers[-1].status_code == 429
    assert "Too many tries" in answers[-1].content.decode()


def test_one_s_own_password_is_asked_for_in_our_own_words(client: Client, manager: Person) -> None:
    client.force_login(manager)
    for path in ("/accounts/reauthenticate/", "/accounts/password/change/"):
        page = client.post(path, {}).content.decode()
        assert "Type the password." in page
        assert "placeholder" not in page


def test_whose_sign_in_has_ended_is_told_what_to_do(client: Client, db: None) -> None:
    page = client.get("/accounts/inactive/").content.decode()
    assert "ask your manager to take you back" in page


def test_nobody_signs_up(client: Client, db: None) -> None:
    answer = client.post("/accounts/signup/", {"username": "x", "password1": people.PASSWORD})
    assert "Accounts are made by a manager" in answer.content.decode()
    assert not Person.objects.exists()


def test_a_password_is_changed(client: Client, manager: Person) -> None:
    client.post("/accounts/login/", {"login": "manager", "password": people.PASSWORD})
    typed = {"oldpassword": people.PASSWORD, "password1": "another quiet road",
             "password2": "another quiet road"}  # fmt: skip
    assert client.post("/accounts/password/change/", typed).status_code == 302
    manager.refresh_from_db()
    assert manager.check_password("another quiet road")


@pytest.mark.parametrize(
    ("role", "sees"),
    [
        (
            "manager",
            {
                "Yard",
                "Vehicles",
                "Tickets",
                "Due",
                "Plan",
                "Patterns",
                "Specs",
                "Reckoner",
                "Reports",
                "Trail",
            },
        ),
        (
            "scheduler",
            {"Yard", "Vehicles", "Tickets", "Due", "Plan", "Patterns", "Specs", "Reckoner"},
        ),
        (
            "technician",
            {"Yard", "Vehicles", "Tickets", "Due", "Plan", "Patterns", "Specs", "Reckoner"},
        ),
        ("driver", {"Vehicles", "Reckoner"}),
        (
            "reader",
            {
                "Yard",
                "Vehicles",
                "Tickets",
                "Due",
                "Patterns",
                "Specs",
                "Reckoner",
                "Reports",
                "Trail",
            },
        ),
        ("integrator", {"Yard", "Vehicles", "Tickets", "Due", "Reckoner"}),
    ],
)
def test_the_navigation_shows_only_what_a_role_may_open(
    get: Get, alder: Yard, role: str, sees: set[str]
) -> None:
    page = get(people.person(role.title(), role, alder), "/")
    labels = {item.label for item in page.context["frame"].nav}
    assert {str(label) for label in labels} - {"Bring in"} == sees


@pytest.mark.parametrize(
    ("role", "path", "status"),
    [
        ("driver", "/due/", 403),
        ("driver", "/patterns/", 403),
        ("driver", "/specs/", 403),
        ("driver", "/trail/", 403),
        ("driver", "/yards/alder/", 403),
        ("technician", "/trail/", 403),
        ("scheduler", "/trail/", 403),
        ("integrator", "/patterns/", 403),
        ("reader", "/trail/", 200),
        ("integrator", "/due/", 200),
        ("driver", "/vehicles/", 200),
    ],
)
def test_a_role_that_may_not_is_told_so(
    get: Get, alder: Yard, role: str, path: str, status: int
) -> None:
    page = get(people.person(role.title(), role, alder), path, status)
    assert ("Not for this sign-in" in page.text) == (status == 403)


def test_language_and_units_are_the_readers_own(client: Client, get: Get, manager: Person) -> None:
    build.spec(manager)
    assert "114.3 to 135.7 lbf·ft" in get(manager, "/specs/").text
    answer = client.post("/settings/", {"language": "es", "units": "metric"})
    assert answer.status_code == 302
    manager.refresh_from_db()
    page = get(manager, "/specs/")
    assert '<html lang="es">' in page.text
    assert "155" in page.text
    assert "184 N·m" in page.text


def test_a_choice_there_is_not_is_refused_beside_its_field(client: Client, manager: Person) -> None:
    client.force_login(manager)
    answer = client.post("/settings/", {"language": "xx", "units": "us"})
    assert answer.status_code == 400
    assert 'id="id_language_error"' in answer.content.decode()
    assert 'aria-describedby="id_language_error"' in answer.content.decode()


def test_moments_are_shown_in_the_zone_of_the_readers_yard(
    get: Get, manager: Person, alder: Yard
) -> None:
    build.hold(build.vehicle(alder), manager)
    assert "Nov 25, 2026, 12:00" in get(manager, "/").text


def test_an_unknown_zone_does_not_lock_people_out(get: Get, db: None) -> None:
    yard = build.yard("Nowhere", time_zone="Nowhere/Nothing")
    get(people.technician(yard), "/")


def test_a_page_that_is_not_there(get: Get, manager: Person) -> None:
    assert "Nothing here" in get(manager, "/no-such-page/", 404).text


@pytest.mark.parametrize("path", [*PAGES, "/accounts/login/", "/no-such-page/"])
def test_no_page_needs_what_the_content_policy_forbids(
    get: Get, client: Client, manager: Person, path: str
) -> None:
    client.force_login(manager)
    page = client.get(path)
    text = page.content.decode()
    assert not re.search(r"\sstyle=|\son\w+=|<script(?![^>]*\ssrc=)|<style", text)
    assert "default-src 'none'" in page["Content-Security-Policy"]


def test_a_sign_of_life(client: Client, db: None) -> None:
    answer = client.get("/healthz")
    assert (answer.status_code, answer.json()) == (200, {"database": "ok"})


def test_a_broker_that_is_down_is_told(client: Client, db: None, settings: Any) -> None:
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    settings.CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": settings.REDIS_URL,
        }
    }
    answer = client.get("/healthz")
    assert answer.status_code == 503
    assert answer.json() == {"database": "ok", "broker": "down"}
