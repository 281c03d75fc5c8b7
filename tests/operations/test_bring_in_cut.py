"""Half a file: cut after every byte, and never half taken nor taken for a whole one."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.conf import settings
from django.db import transaction

from fleet.operations.actor import Actor
from fleet.operations.bring_in import BroughtIn, import_readings, import_vehicles, question
from fleet.records.models import MeterReading, TrailEntry, Vehicle
from tests import build
from tests.operations.conftest import make_house

NOW = datetime(2026, 11, 25, 19, 0, tzinfo=UTC)
VEHICLES = (settings.BASE_DIR / "fixtures" / "samples" / "vehicles.csv").read_text()
READINGS = (settings.BASE_DIR / "fixtures" / "samples" / "meter-readings.csv").read_text()
IMPORTERS: dict[str, Callable[..., BroughtIn]] = {
    "vehicles": import_vehicles, "readings": import_readings,
}  # fmt: skip


@pytest.fixture
def boss(db: None) -> Actor:
    house = make_house()
    for name in ("Mesa Tank", "Cold Spring"):
        build.yard(name)
    return house.manager


@pytest.fixture
def fleet(boss: Actor) -> Actor:
    """With the vehicles whose readings the other sample brings."""
    assert import_vehicles(boss, VEHICLES.encode(), at=NOW, dry_run=False).written
    return boss


def rows() -> list[int]:
    return [model._default_manager.count() for model in (Vehicle, MeterReading, TrailEntry)]


def taken(kind: str, actor: Actor, data: bytes, **said: Any) -> tuple[BroughtIn, bool]:
    """What came of it, and whether anything was written; then all as it was before."""
    before, mark = rows(), transaction.savepoint()
    report = IMPORTERS[kind](actor, data, at=NOW, dry_run=False, **said)
    changed = rows() != before
    transaction.savepoint_rollback(mark)
    return report, changed


def cut_everywhere(kind: str, actor: Actor, data: bytes, line_ends: set[int]) -> None:
    """Not a byte short of the whole: only at a line end is it taken, and its rows are counted."""
    for cut in range(len(data) + 1):
        report, changed = taken(kind, actor, data[:cut])
        if cut not in line_ends:
            assert not report.written, cut
            assert not changed, cut
            assert report.problem_count >= 1, cut
            continue
        assert report.written, (cut, report.problems)
        assert report.rows == len([end for end in line_ends if end <= cut]) - 1


def line_ends_of(data: bytes, *marks: bytes) -> set[int]:
    """After which bytes a line is over; \\r\\n may be cut in its middle, for the line is whole."""
    return {at for at in range(1, len(data) + 1) if data[:at].endswith(marks)}


@pytest.mark.parametrize("kind", ["vehicles", "readings"])
def test_a_sample_cut_after_any_byte_is_never_half_taken(fleet: Actor, kind: str) -> None:
    data = {"vehicles": VEHICLES.replace("S-2", "S-4"), "readings": READINGS}[kind].encode()
    cut_everywhere(kind, fleet, data, line_ends_of(data, b"\n"))


@pytest.mark.parametrize(
    ("encoding", "line_end"),
    [("utf-8", "\r\n"), ("utf-8", "\r"), ("utf-8-sig", "\n"), ("utf-16", "\n"), ("cp1252", "\n")],
)
def test_in_every_encoding_with_every_line_end(fleet: Actor, encoding: str, line_end: str) -> None:
    text = "unit number,read on,meter,reason\nS-201,2025-11-17,34120,señal\n"
    data = text.replace("\n", line_end).encode(encoding)
    ends = line_ends_of(
        data,
        *(
            f"{end}".encode(encoding.removesuffix("-sig"))[-w:]
            for end in ("\n", "\r")
            for w in [2 if "16" in encoding else 1]
        ),
    )
    for cut in range(len(data) + 1):
        report, changed = taken("readings", fleet, data[:cut])
        assert report.written == (cut in ends), cut
        assert changed == (report.written and report.added > 0), cut


@pytest.mark.parametrize("kind", ["vehicles", "readings"])
def test_said_to_be_whole_it_is_taken_unless_it_can_only_be_half(fleet: Actor, kind: str) -> None:
    """The word stands for the last cell alone: too few cells or an open quotation mark stay."""
    text = {"vehicles": VEHICLES.replace("S-2", "S-4"), "readings": READINGS}[kind]
    data = "".join(text.splitlines(keepends=True)[:2]).encode()
    for cut in range(len(data)):
        unsaid, _changed = taken(kind, fleet, data[:cut])
        said, changed = taken(kind, fleet, data[:cut], whole=True)
        assert said.written == (unsaid.written or unsaid.in_doubt), cut
        assert said.written or not changed, cut


def test_a_dry_run_asks_and_names_the_row(fleet: Actor) -> None:
    report = import_readings(fleet, READINGS.encode()[:-1], at=NOW, dry_run=True)
    assert report.fine
    assert "its last row reads “S-204, 2025-11-05 06:15, 41,790, mi, , ”" in question(report)
    said = import_readings(fleet, READINGS.encode()[:-1], at=NOW, dry_run=True, whole=True)
    assert question(said) == ""


def test_what_is_refused_names_the_row_too(fleet: Actor) -> None:
    report, _changed = taken("readings", fleet, READINGS.encode()[:-1])
    assert [problem.row for problem in report.problems] == [7]
    assert "If this is the whole file, say so." in report.problems[0].message


def test_of_a_long_row_the_end_is_shown(fleet: Actor) -> None:
    data = f"unit number,read on,meter,reason\nS-201,2025-11-17,34120,{'a' * 300}z"
    asked = question(import_readings(fleet, data.encode(), at=NOW, dry_run=True))
    assert "“… aaa" in asked
    assert "aaz”" in asked


def test_an_empty_cell_under_no_title_shows_that_the_last_row_is_whole(fleet: Actor) -> None:
    """Some spreadsheets write one behind every row."""
    data = b"unit number,read on,meter,\nS-201,2025-11-17,34120,"
    report, changed = taken("readings", fleet, data)
    assert report.written
    assert changed
    assert not taken("readings", fleet, data[:-1])[1]


def test_a_character_that_ends_in_the_byte_of_a_line_end_is_none(fleet: Actor) -> None:
    """In UTF-16 little-endian the last byte of U+0A15 is that of a line feed."""
    text = "unit number,read on,meter,reason\nS-201,2025-11-17,34120,\u0a15"
    for data in (b"\xff\xfe" + text.encode("utf-16-le"), b"\xfe\xff" + text.encode("utf-16-be")):
        assert taken("readings", fleet, data)[0].in_doubt


def test_other_problems_come_first(fleet: Actor) -> None:
    report, _changed = taken("readings", fleet, READINGS.encode().replace(b"33,655", b"soon")[:-1])
    assert (report.in_doubt, report.problem_count) == (False, 1)
    assert report.problems[0].column == "meter"
