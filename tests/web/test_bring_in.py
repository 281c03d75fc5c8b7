"""Bringing in a file on the page: looked over, said yes to, taken."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.utils.html import strip_tags

from fleet.records.models import MeterReading, Person, Vehicle, Yard
from fleet.web import bring_in, kept_files
from tests import build, people
from tests.web.conftest import Get, Send

READINGS = "unit number,read on,meter\nA-1,2026-11-20,100\nA-1,2026-11-21,140\n"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, settings: Any) -> Path:
    settings.DATA_DIR = tmp_path
    return tmp_path / "brought-in"


@pytest.fixture
def truck(alder: Yard) -> Vehicle:
    return build.vehicle(alder, "A-1")


def a_file(content: str | bytes, name: str = "meters.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content.encode() if isinstance(content, str) else content)


def token(page: Any) -> str:
    found = page.text.partition('name="token" value="')[2].partition('"')[0]
    assert found
    return str(found)


def test_the_page_says_which_columns_there_are(get: Get, manager: Person) -> None:
    page = get(manager, "/import/")
    for words in ("<strong>unit number</strong>", "read on", "steering wheel diameter", "200,000"):
        assert words in page.text
    assert "Bring in" in page.text


def test_looked_over_first_and_taken_on_a_yes(
    send: Send, get: Get, manager: Person, truck: Vehicle, folder: Path
) -> None:
    page = send(manager, "/import/", 200, kind="readings", file=a_file(READINGS))
    assert "2 rows are fine and would come in." in page.text
    assert not MeterReading.objects.exists()
    assert len(list(folder.iterdir())) == 1

    send(manager, "/import/", 302, token=token(page))
    assert MeterReading.objects.count() == 2
    assert list(folder.iterdir()) == []
    assert "2 rows came in." in get(manager, "/import/").text


def test_a_yes_given_twice_adds_nothing(
    send: Send, get: Get, manager: Person, truck: Vehicle
) -> None:
    page = send(manager, "/import/", 200, kind="readings", file=a_file(READINGS))
    for _ in range(2):
        send(manager, "/import/", 302, token=token(page))
    assert MeterReading.objects.count() == 2
    assert "no longer here" in get(manager, "/import/").text


def test_what_changed_between_look_and_yes_is_judged_again(
    send: Send, manager: Person, truck: Vehicle
) -> None:
    page = send(manager, "/import/", 200, kind="readings", file=a_file(READINGS))
    build.meter(truck, 90_000, manager, at=build.NOW.replace(day=10))
    again = send(manager, "/import/", 400, token=token(page))
    assert "2 things to put right" in again.text
    assert MeterReading.objects.count() == 1


def test_problems_are_listed_by_row_and_column_with_what_was_typed(
    send: Send, manager: Person, truck: Vehicle, folder: Path
) -> None:
    content = READINGS + "A-1,yesterday,<b>1</b>\n"
    page = send(manager, "/import/", 200, kind="readings", file=a_file(content))
    assert "1 thing to put right" in page.text
    assert "yesterday" in page.text
    assert "2026-11-25 14:30" in strip_tags(page.text)
    assert 'name="token"' not in page.text
    assert list(folder.iterdir()) == []


def test_what_was_typed_is_never_markup(send: Send, manager: Person, truck: Vehicle) -> None:
    content = READINGS + "A-1,2026-11-22,<script>alert(1)</script>\n"
    page = send(manager, "/import/", 200, kind="readings", file=a_file(content))
    assert "<script>alert" not in page.text
    assert "&lt;script&gt;" in page.text


def test_many_problems_are_cut_and_counted(send: Send, manager: Person, truck: Vehicle) -> None:
    content = READINGS + "A-1,soon,1\n" * 700
    page = send(manager, "/import/", 200, kind="readings", file=a_file(content))
    assert "700 things to put right" in page.text
    assert "The first 500 are listed." in page.text


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04....", b"\x00\x01\x02", b"\xff\xfe\x41"])
def test_a_file_that_is_none_is_answered_in_words(
    send: Send, manager: Person, content: bytes
) -> None:
    page = send(manager, "/import/", 200, kind="vehicles", file=a_file(content))
    assert "1 thing to put right" in page.text


def test_a_file_already_on_file_asks_for_no_yes(
    send: Send, manager: Person, truck: Vehicle
) -> None:
    page = send(manager, "/import/", 200, kind="readings", file=a_file(READINGS))
    send(manager, "/import/", 302, token=token(page))
    again = send(manager, "/import/", 200, kind="readings", file=a_file(READINGS))
    assert "All of it is on file already." in again.text
    assert 'name="token"' not in again.text


CUT = "unit number,read on,meter\nA-1,2026-11-20,100\nA-1,2026-11-21,1400"


def test_a_file_that_may_be_half_asks_for_a_word_and_takes_nothing_without_it(
    send: Send, get: Get, manager: Person, truck: Vehicle
) -> None:
    page = send(manager, "/import/", 200, kind="readings", file=a_file(CUT, "half <1>.csv"))
    assert "2 rows stand in the file." in page.text
    assert "its last row reads “A-1, 2026-11-21, 1400”" in page.text
    assert "This is the whole file" in page.text

    again = send(manager, "/import/", 400, token=token(page), name="half <1>.csv")
    assert "Say that this is the whole file, or choose the file again." in again.text
    assert "half &lt;1&gt;.csv</h1>" in again.text
    assert "2 rows are fine" in again.text
    assert not MeterReading.objects.exists()

    send(manager, "/import/", 302, token=token(again), whole="on")
    assert MeterReading.objects.count() == 2
    assert "2 rows came in." in get(manager, "/import/").text


def test_what_will_take_long_is_told_before_the_yes(
    send: Send, manager: Person, truck: Vehicle, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = send(manager, "/import/", 200, kind="readings", file=a_file(READINGS))
    assert "takes about" not in page.text
    monkeypatch.setattr(bring_in, "TAKES", {"readings": 1e9})
    page = send(manager, "/import/", 200, kind="readings", file=a_file(READINGS))
    assert re.search(r"Bringing them in takes about \d+ minutes\.", page.text)


def test_a_whole_file_asks_for_no_word(send: Send, manager: Person, truck: Vehicle) -> None:
    page = send(manager, "/import/", 200, kind="readings", file=a_file(READINGS))
    assert "This is the whole file" not in page.text


def test_a_file_cut_after_any_byte_is_never_half_taken(
    send: Send, manager: Person, truck: Vehicle
) -> None:
    """On the page the yes is given without the word, as somebody would who reads nothing."""
    for cut in range(len(CUT) + 1):
        mark = transaction.savepoint()
        page = send(manager, "/import/", 200, kind="readings", file=a_file(CUT[:cut]))
        line_end = CUT[:cut].endswith("\n")
        if 'name="token"' in page.text:
            send(manager, "/import/", 302 if line_end else 400, token=token(page))
        rows = CUT[:cut].count("\n") - 1
        assert MeterReading.objects.count() == (rows if line_end else 0), cut
        transaction.savepoint_rollback(mark)


def test_nothing_chosen_is_told_beside_the_field(send: Send, manager: Person) -> None:
    page = send(manager, "/import/", 400)
    assert "Choose a file." in page.text
    assert "Say what stands in the file." in page.text


def test_a_file_too_large_is_told_beside_the_field(
    send: Send, manager: Person, settings: Any
) -> None:
    settings.IMPORT_MAX_BYTES = 10
    page = send(manager, "/import/", 400, kind="readings", file=a_file(READINGS))
    assert "larger than" in page.text


def test_another_persons_file_is_not_there(send: Send, manager: Person, truck: Vehicle) -> None:
    page = send(manager, "/import/", 200, kind="readings", file=a_file(READINGS))
    other = people.person("Other manager", "manager", all_yards=True)
    send(other, "/import/", 302, token=token(page))
    send(other, "/import/", 302, token="made up")
    assert not MeterReading.objects.exists()


def test_kept_files_go_after_a_day(manager: Person, folder: Path, time_machine: Any) -> None:
    first = kept_files.keep(manager, "readings", a_file(READINGS))
    assert first.path.stat().st_mode & 0o077 == 0 or folder.stat().st_mode & 0o077 == 0
    assert kept_files.kept(manager, first.token) == first


def test_the_samples_can_be_brought_in(send: Send, get: Get, manager: Person) -> None:
    for kind in ("vehicles", "readings"):
        sample = get(manager, f"/import/{kind}.csv")
        assert sample["Content-Disposition"].startswith("attachment")
        assert sample.text.startswith("unit number,")
    get(manager, "/import/passwords.csv", 404)


def test_only_a_manager_gets_in(get: Get, send: Send, alder: Yard) -> None:
    for who in (people.technician(alder), people.reader()):
        get(who, "/import/", 403)
        send(who, "/import/", 403, token="x")
        get(who, "/import/vehicles.csv", 403)
