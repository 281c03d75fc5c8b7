"""File requests: from the vehicle's page to the list, the answer, and the line on Yard."""

from datetime import date, timedelta
from typing import Any

import pytest

from fleet.operations import files
from fleet.operations.actor import Actor
from fleet.records.models import FileRequest, Person
from tests import build, people
from tests.build import NOW
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

NEW, LIST = "/vehicles/A-101/file/", "/files/"
TODAY = NOW.date()


@pytest.fixture
def auditor(house: House) -> Person:
    return people.reader(house.yard)


def ask(house: House, by: Person, in_days: int = 3, **more: Any) -> FileRequest:
    if by.role == "manager":
        more.setdefault("asker", "Ida Fennwick, county office")
    asked = files.Ask(house.vehicle.pk, "yearly audit", TODAY + timedelta(days=in_days), **more)
    return files.ask_for_file(Actor(by), asked, at=house.now).row


def test_a_reader_asks_from_the_vehicles_page(
    get: Get, send: Send, house: House, auditor: Person
) -> None:
    assert f'href="{NEW}">Ask for its file' in get(auditor, "/vehicles/A-101/").text
    page = send(auditor, NEW, 400, why="", wanted_by="")
    assert set(page.context["form"].errors) == {"why", "wanted_by"}
    page = send(auditor, NEW, 400, why="audit", wanted_by="2026-11-01")
    assert page.context["form"].errors["wanted_by"] == [
        "This day is past. Give today or a later day."
    ]
    assert 'value="audit"' in page.text
    send(auditor, NEW, why="audit", wanted_by="2026-11-28", until="2026-10-31")
    row = FileRequest.objects.get()
    assert (row.by, row.until) == (auditor, date(2026, 10, 31))
    shown = get(auditor, f"/files/{row.pk}/").text
    assert "as it stood on Oct 31, 2026" in shown
    assert 'href="/vehicles/A-101/?whole=1"' in shown


def test_a_manager_names_who_asks(send: Send, get: Get, house: House) -> None:
    boss = house.manager.person
    page = send(boss, NEW, 400, why="audit", wanted_by="2026-11-28")
    assert page.context["form"].errors["asker"] == ["Say who asks for it."]
    send(boss, NEW, why="audit", wanted_by="2026-11-28", asker="Ida Fennwick, county office")
    shown = get(boss, f"/files/{FileRequest.objects.get().pk}/").text
    assert "Ida Fennwick, county office" in shown
    assert "written down by Manager" in shown


def test_open_ones_stand_first_the_soonest_wanted_on_top(
    get: Get, house: House, auditor: Person
) -> None:
    boss = house.manager
    late, soon, over = (ask(house, auditor, days) for days in (9, 2, 1))
    files.answer_file(boss, over.pk, "Printed, 9 pages", at=house.now)
    page = get(auditor, LIST)
    assert list(page.context["page"]) == [soon, late, over]
    assert "Answered" in page.text
    assert list(get(auditor, LIST, state="open").context["page"]) == [soon, late]
    assert list(get(auditor, LIST, state="answered").context["page"]) == [over]
    assert "No request fits these choices." in get(auditor, LIST, vehicle="none").text


def test_a_long_list_comes_in_pages(get: Get, house: House) -> None:
    rows = [
        FileRequest(vehicle=house.vehicle, by=house.manager.person, occurred_at=NOW, why="audit",
                    wanted_by=TODAY + timedelta(days=number))
        for number in range(51)
    ]  # fmt: skip
    FileRequest.objects.bulk_create(rows)
    page = get(house.manager.person, LIST)
    assert len(page.context["page"]) == 50
    assert 'href="?page=2"' in page.text


def test_nobody_has_asked_yet(get: Get, house: House) -> None:
    assert "Nobody has asked for a vehicle" in get(house.manager.person, LIST).text


def test_what_was_wanted_by_a_day_that_is_past_is_late(get: Get, house: House) -> None:
    boss = house.manager.person
    row = FileRequest.objects.create(
        vehicle=house.vehicle, by=boss, occurred_at=NOW, why="audit", asker="A county office",
        wanted_by=TODAY - timedelta(days=1),
    )  # fmt: skip
    assert '<span class="act">Late</span>' in get(boss, LIST).text
    assert '<span class="act">late</span>' in get(boss, f"/files/{row.pk}/").text


def test_it_is_answered_and_withdrawn_on_its_page(
    get: Get, send: Send, house: House, auditor: Person
) -> None:
    boss, row = house.manager.person, ask(house, auditor)
    path = f"/files/{row.pk}/"
    assert "answer/" not in get(auditor, path).text
    assert f'action="{path}answer/"' in get(boss, path).text
    page = send(boss, f"{path}answer/", 400, text="")
    assert page.context["form"].errors["text"] == ["Say what was handed over, and how."]
    send(boss, f"{path}answer/", text="Printed, 9 pages, at the office")
    shown = get(boss, path).text
    assert "Printed, 9 pages, at the office" in shown
    assert "answer/" not in shown
    assert "withdraw/" not in shown
    other = ask(house, auditor)
    send(auditor, f"/files/{other.pk}/withdraw/", reason="asked twice")
    assert "Withdrawn: asked twice" in get(auditor, f"/files/{other.pk}/").text


def test_yard_says_how_many_files_are_asked_for_and_by_when(
    get: Get, house: House, auditor: Person
) -> None:
    boss = house.manager.person
    assert "file is asked for." in get(boss, "/").text
    ask(house, auditor, 3)
    assert "1 file asked for, wanted by Nov 28, 2026." in get(boss, "/").text
    ask(house, auditor, 1)
    assert "2 files asked for, the first wanted by Nov 26, 2026." in get(auditor, "/").text
    assert "Files asked for" not in get(house.technician.person, "/").text


def test_the_file_to_print_tells_all_that_happened(get: Get, house: House, auditor: Person) -> None:
    for hours in range(30):
        build.inspection(house.vehicle, auditor, NOW - timedelta(hours=hours))
    short, whole = get(auditor, "/vehicles/A-101/"), get(auditor, "/vehicles/A-101/", whole="1")
    assert len(short.context["events"]) == 25
    assert "This is page 1 of 2." in short.text
    assert len(whole.context["events"]) == 30
    assert "This is page" not in whole.text


def test_elsewhere_there_is_nothing(get: Get, house: House, auditor: Person) -> None:
    row = ask(house, auditor)
    stranger = people.person("Elsewhere", "reader", build.yard("Mesa Tank"))
    assert list(get(stranger, LIST).context["page"]) == []
    get(stranger, f"/files/{row.pk}/", 404)
    get(stranger, NEW, 404)
