"""The Reckoner's page: an answer with an address, errors beside their field, nothing kept."""

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from fleet.reads.reckoning import CALCULATORS
from fleet.records.models import Person, TrailEntry
from tests import people
from tests.reads.reckoned import WHOLE
from tests.web.conftest import Get

HTMX = {"HX-Request": "true"}
TOE = {"calculator": "toe", "found_rear_1": "46 5/16", "found_front_1": "46 1/4", "span": "29 in"}
TYPED = [name for name in CALCULATORS if name != "vibration"]


@pytest.fixture
def typing(client: Client, manager: Person) -> Any:
    """Ask as htmx does while somebody types."""
    client.force_login(manager)

    def ask(**typed: str) -> Any:
        answer = client.get("/reckoner/", typed, headers=HTMX)
        answer.text = answer.content.decode()
        return answer

    return ask


def answered(page: Any) -> Any:
    return next(one for one in page.context["sections"] if one.answer)


def test_every_calculator_has_its_section_with_caution_and_way(get: Get, manager: Person) -> None:
    page = get(manager, "/reckoner/").text
    for name, calculator in CALCULATORS.items():
        assert f'id="{name}"' in page
        assert f'href="#{name}"' in page
        assert str(calculator.title) in page
    assert page.count("How: ") == len(CALCULATORS)
    assert "service information governs" in page
    assert "nothing typed here is kept" in page


@pytest.mark.parametrize("name", TYPED)
def test_an_answer_can_be_read_at_its_address(get: Get, manager: Person, name: str) -> None:
    page = get(manager, "/reckoner/", calculator=name, **WHOLE[name])
    assert page.text.count('class="reckoned"') == 1
    section = answered(page)
    assert section.name == name
    again = answered(get(manager, f"/reckoner/?{section.query}"))
    assert (again.answer.verdict, again.answer.figures) == (
        section.answer.verdict,
        section.answer.figures,
    )


def test_a_due_date_seen_from_a_day_stays_what_it_was(get: Get, manager: Person) -> None:
    section = answered(get(manager, "/reckoner/", calculator="due-date", **WHOLE["due-date"]))
    assert "as_of=2026-11-25" in section.query


def test_what_was_typed_stands_in_the_fields_and_beside_it_what_it_was_read_as(
    get: Get, manager: Person
) -> None:
    page = get(manager, "/reckoner/", **TOE).text
    assert 'id="toe-found_rear_1" value="46 5/16"' in page
    assert re.search(r'id="toe-found_rear_1-read">46 5/16 in = 1,176.3 mm<', page)
    assert "As found: 1/16 in (1.6 mm) toe-in" in page


def test_an_error_stands_beside_its_field_with_an_example(get: Get, manager: Person) -> None:
    typed = TOE | {"found_rear_1": "465/16", "ask": "1"}
    page = get(manager, "/reckoner/", status=400, **typed).text
    assert 'value="465/16"' in page
    error = re.search(r'id="toe-found_rear_1-error"><p>(.*?)</p>', page)
    assert error is not None
    assert "leave a space after the whole number" in error.group(1)
    assert "46 5/16" in error.group(1)
    assert "1 thing to put right beside its field." in page
    assert 'class="reckoned"' not in page


def test_the_button_tells_what_is_missing_and_typing_only_what_is_still_to_come(
    get: Get, manager: Person, typing: Any
) -> None:
    asked = get(manager, "/reckoner/", status=400, calculator="toe", found_rear_1="46", ask="1")
    assert "Type this, like 46 1/4." in asked.text
    typed = typing(calculator="toe", found_rear_1="46")
    assert typed.status_code == 200
    assert "Still to type: In front, 1." in typed.text
    assert "Type this" not in typed.text


def test_while_somebody_types_the_answer_alone_comes_back(typing: Any) -> None:
    answer = typing(**TOE)
    assert "<html" not in answer.text
    assert 'id="toe-said" hx-swap-oob="innerHTML"' in answer.text
    assert 'id="toe-found_rear_1-read" hx-swap-oob="innerHTML">46 5/16 in' in answer.text
    assert "HX-Request" in answer["Vary"]
    address = answer["HX-Replace-Url"]
    assert address.startswith("/reckoner/?calculator=toe&units=us&found_rear_1=46+5%2F16")
    assert address.endswith("#toe")
    # What was left empty is no part of the address.
    assert "left_rear_1" not in address


def test_an_answer_to_other_figures_is_not_left_standing(typing: Any) -> None:
    answer = typing(**(TOE | {"found_front_1": "46 1/4 x"}))
    assert 'class="reckoned"' not in answer.text
    assert 'id="toe-found_front_1-error" hx-swap-oob="innerHTML"><p>' in answer.text


def test_somebody_signed_out_meanwhile_is_sent_to_sign_in_as_a_whole_page(
    client: Client, db: None
) -> None:
    answer = client.get("/reckoner/", TOE, headers=HTMX)
    assert answer.status_code == 200
    assert answer["HX-Redirect"].startswith("/accounts/login/?next=/reckoner/")
    assert answer.content == b""


def test_a_bare_figure_is_in_the_readers_units_and_the_address_says_which(
    client: Client, get: Get, manager: Person
) -> None:
    manager.units = "metric"
    manager.save()
    typed = {"calculator": "toe", "found_rear_1": "1176", "found_front_1": "1174.5"}
    page = get(manager, "/reckoner/", **typed)
    assert "1.5 mm" in page.text
    section = answered(page)
    assert "units=metric" in section.query
    # Somebody who thinks in inches reads the same answer at the same address.
    manager.units = "us"
    manager.save()
    assert "1.5 mm" in get(manager, f"/reckoner/?{section.query}").text


def test_a_refusal_says_why_and_shows_no_figure(get: Get, manager: Person) -> None:
    page = get(manager, "/reckoner/", calculator="clamp-load", held_by="tapered_shaft").text
    assert "Refused: the nut of a Pitman arm or a draw key draws a taper home" in page
    assert 'class="reckoned"' not in page


def test_a_record_is_looked_at_drawn_and_not_kept(client: Client, manager: Person) -> None:
    client.force_login(manager)
    typed = {"calculator": "vibration", "circumference": "2400 mm"}
    file = SimpleUploadedFile("road.csv", WHOLE["vibration"]["record"].encode(), "text/csv")
    page = client.post("/reckoner/", typed | {"record": file}).content.decode()
    assert "Follows wheel speed, 1.00 times a turn: balance or run-out first." in page
    assert "Never a clearance to drive." in page
    assert page.count('class="trace trace--wide"') == 2
    assert page.count('class="trace trace--narrow"') == 2
    assert "The picture in figures" in page
    assert not TrailEntry.objects.exists()
    alone = client.post(
        "/reckoner/", typed | {"record": SimpleUploadedFile("x.csv", b"time,ax\n0,1\n")},
        headers=HTMX,
    )  # fmt: skip
    assert "HX-Replace-Url" not in alone
    assert "fewer than two samples" in alone.content.decode()


def test_a_record_too_large_or_no_text_is_refused_beside_its_field(
    client: Client, manager: Person, settings: Any
) -> None:
    client.force_login(manager)
    settings.RECORD_MAX_BYTES = 1_000
    for content, words in (
        (b"x" * 1_001, "The record is larger than"),
        (b"\xff\xfe\x00", "no text"),
    ):
        typed = {"calculator": "vibration", "record": SimpleUploadedFile("road.csv", content)}
        answer = client.post("/reckoner/", typed)
        assert answer.status_code == 400
        error = re.search(r'id="vibration-record-error"><p>(.*?)</p>', answer.content.decode())
        assert error is not None
        assert words in error.group(1)


def test_a_calculator_there_is_not(get: Get, manager: Person) -> None:
    get(manager, "/reckoner/", status=404, calculator="gearbox")


def test_no_words_typed_are_taken_for_markup(get: Get, manager: Person) -> None:
    page = get(manager, "/reckoner/", status=400, calculator="vin", vin="<script>x", ask="1").text
    assert "<script>x" not in page


@pytest.mark.parametrize("role", ["driver", "technician", "reader", "integrator", "scheduler"])
def test_everybody_signed_in_may_reckon(get: Get, alder: Any, role: str) -> None:
    assert "Reckoner" in get(people.person(role.title(), role, alder), "/reckoner/").text


def test_the_page_is_light_on_the_wire(client: Client, manager: Person) -> None:
    client.force_login(manager)
    answer = client.get("/reckoner/", headers={"Accept-Encoding": "gzip"})
    assert answer["Content-Encoding"] == "gzip"
    assert len(answer.content) < 15_000
