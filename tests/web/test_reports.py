"""The screen Reports: what each role sees, choices, empty states, files, and the way to them."""

import csv
from datetime import date, timedelta
from io import BytesIO, StringIO
from typing import Any

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from fleet.operations import files
from fleet.operations.actor import Actor
from fleet.operations.holds import place_hold
from fleet.reads.reports import vehicle_record
from fleet.records.models import Person, TrailEntry
from tests import build, people
from tests.build import NOW
from tests.operations.conftest import RETORQUE, TRACK_BAR, House
from tests.papers.conftest import words_of
from tests.web.conftest import Get

RECORD = "/vehicles/A-101/record/"
REPORTS = ["/reports/parts/", "/reports/fleet/", "/reports/kept/"]


@pytest.fixture
def auditor(house: House) -> Person:
    return people.reader(house.yard)


@pytest.fixture
def lived(house: House) -> House:
    house.now = NOW - timedelta(days=30)
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    house.now = NOW
    return house


def taken() -> list[dict[str, Any]]:
    return [row.after for row in TrailEntry.objects.filter(verb="take_out").order_by("pk")]


def fetched(client: Any, who: Person, path: str, **query: str) -> Any:
    client.force_login(who)
    answer = client.get(path, query)
    assert answer.status_code == 200, answer.content[:300]
    return answer


def test_a_manager_finds_every_report_and_an_auditor_the_vehicles_file(
    get: Get, house: House, auditor: Person
) -> None:
    boss = get(house.manager.person, "/reports/").text
    assert all(f'href="{path}"' in boss for path in REPORTS)
    shown = get(auditor, "/reports/").text
    assert not any(path in shown for path in REPORTS)
    assert "49 CFR 396.3(b)" in shown
    for path in REPORTS:
        get(auditor, path, 403)
    get(auditor, RECORD)


def test_those_who_see_no_reports_are_not_led_there(get: Get, house: House) -> None:
    for who in (house.driver.person, house.technician.person):
        assert 'href="/reports/"' not in get(who, "/vehicles/A-101/").text
        assert RECORD not in get(who, "/vehicles/A-101/").text
        get(who, "/reports/", 403)
        get(who, RECORD, 403)


def test_a_vehicle_is_found_by_its_number_or_told_what_to_type(get: Get, house: House) -> None:
    boss = house.manager.person
    assert get(boss, "/reports/", 302, vehicle="a-101 ").url == RECORD
    wrong = get(boss, "/reports/", 400, vehicle="Z<9").text
    assert "Type its unit number." in wrong
    assert 'value="Z&lt;9"' in wrong


@pytest.mark.parametrize(
    ("path", "said"),
    [(REPORTS[0], "No part was fitted"), (REPORTS[2], "Nothing fell due in these days.")],
)
def test_an_empty_report_says_so(get: Get, house: House, path: str, said: str) -> None:
    page = get(house.manager.person, path, yard="alder", since="2020-01-01", until="2020-02-01")
    assert said in page.text
    assert "as=pdf" not in page.text


def test_a_wrong_choice_is_told_beside_its_field_and_kept(get: Get, house: House) -> None:
    page = get(house.manager.person, REPORTS[0], 400, since="2026-02-01", until="2026-01-01")
    assert page.context["form"].errors == {"until": ["The last day lies before the first."]}
    assert 'value="2026-02-01"' in page.text
    page = get(house.manager.person, REPORTS[2], 400, since="soon", **{"as": "pdf"})
    assert page.context["form"].errors["since"] == ["Type a day like 2026-11-25."]
    assert page.headers["Content-Type"].startswith("text/html")


def test_a_report_is_of_the_yards_that_are_chosen(get: Get, house: House) -> None:
    build.vehicle(build.yard("Mesa Tank"), "M-1")
    boss = house.manager.person
    assert {"A-101", "M-1"} == units(get(boss, REPORTS[1]))
    assert units(get(boss, REPORTS[1], yard="mesa-tank")) == {"M-1"}
    assert units(get(people.person("Foreman", "manager", house.yard), REPORTS[1])) == {"A-101"}


def units(page: Any) -> set[str]:
    return {row[1].text for row in page.context["rows"]}


def test_a_long_report_comes_in_pages_and_whole_as_a_file(
    get: Get, client: Any, house: House
) -> None:
    for number in range(52):
        build.vehicle(house.yard, f"N-{number:02d}")
    boss = house.manager.person
    page = get(boss, REPORTS[1])
    assert len(page.context["rows"]) == 50
    assert 'href="?page=2"' in page.text
    answer = fetched(client, boss, REPORTS[1], **{"as": "csv"})
    rows = list(csv.reader(StringIO(answer.content.decode("utf-8-sig"))))
    assert len(rows) == 1 + 53


def test_life_by_part_is_on_screen_and_in_each_file(get: Get, client: Any, lived: House) -> None:
    boss = lived.manager.person
    assert "TB-114" in get(boss, REPORTS[0]).text
    assert "too little" in get(boss, REPORTS[0]).text
    found = {form: fetched(client, boss, REPORTS[0], **{"as": form}) for form in
             ("csv", "xlsx", "pdf")}  # fmt: skip
    assert "TB-114" in found["csv"].content.decode("utf-8-sig")
    sheet = load_workbook(BytesIO(found["xlsx"].content)).worksheets[0]
    assert "TB-114" in [cell.value for cell in sheet[2]]
    words = words_of(found["pdf"].content)
    assert "TB-114" in words
    assert "Counts and exposure, not a ranking" in words
    assert found["csv"]["Content-Disposition"].startswith("attachment; filename=")
    assert found["pdf"]["Content-Disposition"].startswith("inline; filename=")
    assert {answer["Cache-Control"] for answer in found.values()} == {"private, no-store"}
    assert taken() == [], "no person is named in it"


def test_metric_readers_get_kilometres(get: Get, lived: House) -> None:
    boss = lived.manager.person
    assert "Run in all, mi" in get(boss, REPORTS[0]).text
    boss.units = "metric"
    boss.save()
    assert "Run in all, km" in get(boss, REPORTS[0]).text


def test_kept_on_time_opens_with_the_last_year(get: Get, house: House) -> None:
    page = get(house.manager.person, REPORTS[2])
    assert 'value="2025-11-01"' in page.text


def test_the_record_is_read_section_by_section(get: Get, lived: House) -> None:
    boss = lived.manager.person
    page = get(boss, RECORD)
    assert page.context["table"].key == "record"
    assert "Replace track bar" in page.text
    assert "Its file" in get(boss, "/vehicles/A-101/").text
    torques = get(boss, RECORD, section="torques")
    assert "At the fastener, lbf·ft" in torques.text
    assert get(boss, RECORD, section="nonsense").context["table"].key == "record"
    assert taken() == [], "looked at, not taken out"


def test_the_record_of_a_past_day_says_what_it_is(get: Get, lived: House) -> None:
    page = get(lived.manager.person, RECORD, until="2026-10-01")
    assert "As it was known at the end of Oct 1, 2026" in page.text
    assert "Replace track bar" not in page.text
    assert "Nothing is on record in these days." in page.text
    other = get(lived.manager.person, RECORD, until="2026-11-01", basis="happened")
    assert "What had happened by the end of Nov 1, 2026" in other.text
    assert "Replace track bar" in other.text


def test_a_day_to_come_is_told_and_no_file_is_made(get: Get, house: House) -> None:
    page = get(house.manager.person, RECORD, 400, until="2026-11-26", **{"as": "pdf"})
    assert "Nothing is on file of a day to come." in page.context["form"].errors["until"][0]
    assert taken() == []


def test_taking_the_file_out_stands_in_the_trail(
    get: Get, client: Any, lived: House, auditor: Person
) -> None:
    answer = fetched(client, auditor, RECORD, until="2026-11-01", **{"as": "pdf"})
    assert answer["Content-Type"] == "application/pdf"
    assert "TB-114" in words_of(answer.content)
    fetched(client, auditor, RECORD, **{"as": "xlsx"})
    assert taken() == [
        {"form": "pdf", "until": "2026-11-01", "basis": "known"}, {"form": "xlsx"}
    ]  # fmt: skip
    row = TrailEntry.objects.filter(verb="take_out").latest("pk")
    assert (row.actor_id, row.vehicle_id) == (auditor.pk, lived.vehicle.pk)
    assert "took a vehicle&#x27;s file out" in get(lived.manager.person, "/trail/").text


def test_a_request_gives_the_file_of_the_days_it_names(
    get: Get, client: Any, lived: House, auditor: Person
) -> None:
    ask = files.Ask(lived.vehicle.pk, "audit", NOW.date(), until=date(2026, 10, 1))
    asked = files.ask_for_file(Actor(auditor), ask, at=NOW).row
    assert f'href="/files/{asked.pk}/file.pdf"' in get(auditor, f"/files/{asked.pk}/").text
    words = words_of(fetched(client, auditor, f"/files/{asked.pk}/file.pdf").content)
    assert "As it was known at the end of Oct 1, 2026" in words
    assert "TB-114" not in words
    assert taken()[0]["request"] == asked.pk


def test_a_file_that_is_too_long_offers_dates(
    get: Get, lived: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(vehicle_record, "MOST_ROWS", 0)
    page = get(lived.manager.person, RECORD, 413)
    assert "Choose a first and a last day." in page.text


def test_the_papers_of_the_day_are_where_they_are_needed(get: Get, house: House) -> None:
    tech, vehicle = house.technician.person, get(house.technician.person, "/vehicles/A-101/").text
    assert 'href="/vehicles/A-101/sheet.pdf"' in vehicle
    assert "hold-tag.pdf" not in vehicle
    get(tech, "/vehicles/A-101/hold-tag.pdf", 404)
    place_hold(house.driver, house.vehicle.pk, "Bent", at=NOW)
    for who in (tech, house.driver.person):
        assert 'href="/vehicles/A-101/hold-tag.pdf"' in get(who, "/vehicles/A-101/").text
    assert 'href="/vehicles/A-101/sheet.pdf"' in get(tech, "/vehicles/A-101/inspect/").text


def test_a_ticket_on_paper_has_what_is_recorded_and_room_for_the_rest(
    client: Any, house: House
) -> None:
    house.now = NOW
    ticket = house.ticket(("retorque", "track_bar_frame_end"), ("grease", None))
    tech = house.technician.person
    empty = words_of(fetched(client, tech, f"/tickets/{ticket.pk}/ticket.pdf").content)
    assert "To be written in, where it applies" in empty
    assert "Torque tool" in empty
    house.record(house.line(ticket, "retorque"), RETORQUE)
    made = fetched(client, tech, f"/tickets/{ticket.pk}/ticket.pdf").content
    words = words_of(made)
    for fact in (f"Ticket {ticket.pk}: A-101", "Retorque: Track bar, frame end", "125 lbf·ft",
                 "within the figure", "115", "Foothill service manual, invented",
                 "Recorded by Technician", "Second check by", "wheels chocked"):  # fmt: skip
        assert fact in words, fact
    title = PdfReader(BytesIO(made)).metadata
    assert title is not None
    assert title.title == f"Ticket {ticket.pk}: Unit A-101, VIN none on file"
