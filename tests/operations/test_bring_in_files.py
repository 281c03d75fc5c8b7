"""Files as they come: encodings, delimiters, titles, half files, files that are none."""

import random
import tracemalloc
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleet.operations.actor import Actor
from fleet.operations.bring_in import BroughtIn, import_readings, import_vehicles, readings
from fleet.records.models import MeterReading, Person, Vehicle
from tests import build, people

NOW = datetime(2026, 11, 25, 19, 0, tzinfo=UTC)
TITLES = "unit number,read on,meter\n"
GOOD = 'unit number,read on,meter,reason\nA-1,2026-11-20,"48,210",señal\n'

Bring = Callable[..., BroughtIn]


@pytest.fixture
def bring(db: None) -> Bring:
    yard = build.yard()
    build.vehicle(yard, "A-1")
    build.vehicle(yard, "A-2")
    boss = Actor(people.manager())

    def bring_in(content: bytes | str, *, dry_run: bool = True) -> BroughtIn:
        data = content.encode() if isinstance(content, str) else content
        return import_readings(boss, data, at=NOW, dry_run=dry_run)

    return bring_in


def said(report: BroughtIn) -> list[str]:
    return [str(problem.message) for problem in report.problems]


@pytest.mark.parametrize(
    ("encoding", "mark"),
    [
        ("utf-8", b""),
        ("utf-8", b"\xef\xbb\xbf"),
        ("utf-16-le", b"\xff\xfe"),
        ("utf-16-be", b"\xfe\xff"),
        ("cp1252", b""),
    ],
)
def test_each_encoding_that_spreadsheets_write_is_read(
    bring: Bring, encoding: str, mark: bytes
) -> None:
    report = bring(mark + GOOD.encode(encoding), dry_run=False)
    assert said(report) == []
    assert MeterReading.objects.get().reason == "señal"


def test_a_guess_at_the_encoding_is_told(bring: Bring) -> None:
    assert "Windows-1252" in bring(GOOD.encode("cp1252")).notes[0]
    assert bring(GOOD).notes == []


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"PK\x03\x04" + bytes(40), "xlsx"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "xls"),
        (b"%PDF-1.7", "PDF"),
        (b"\xff\xfe\x00\x00a\x00\x00\x00", "UTF-32"),
        (GOOD.encode("utf-16-le"), "NUL bytes"),
        (GOOD.encode() + b"\x00", "NUL bytes"),
        (GOOD.encode() + b"\x01\x02", "not plain text"),
        (GOOD.encode() + b"A-1,2026-11-21,1,caf\xe9 x\n", "mixes encodings"),
        (b"\xef\xbb\xbf" + GOOD.encode("cp1252"), "mixes encodings"),
        (GOOD.encode("cp1252") + b"A-2,2026-11-21,1,\x81\n", "encoding of the file is not known"),
        (b"\xff\xfe" + GOOD.encode("utf-16-le")[:-1], "damaged"),
        (GOOD.encode()[: GOOD.encode().index(b"\xb1")], "cut short"),
    ],
)
def test_what_is_no_text_is_refused_with_what_to_do(
    bring: Bring, content: bytes, words: str
) -> None:
    report = bring(content)
    assert report.problem_count == 1
    assert words in said(report)[0]
    assert report.problems[0].row is None


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_the_delimiter_is_found(bring: Bring, mark: str) -> None:
    report = bring(mark.join(["unit number", "read on", "meter"]) + "\n"
                   + mark.join(["A-1", "2026-11-20", '"48,210"']) + "\n")  # fmt: skip
    assert (report.added, said(report)) == (1, [])


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_each_line_end_will_do_and_blank_rows_are_passed_over(bring: Bring, line_end: str) -> None:
    lines = ["Unit_Number,READ ON,meter,", "A-1,2026-11-20,100,", ",,,", "", "A-1,2026-11-21,120,"]
    report = bring(line_end.join([*lines, ""]))
    assert (report.rows, report.added, said(report)) == (2, 2, [])


def test_wrong_titles_are_named_with_the_nearest_right_one(bring: Bring) -> None:
    report = bring("unit numbr,read on,odo,meter,meter\nA-1,2026-11-20,1,1,1\n")
    by_column = {problem.column: problem.message for problem in report.problems}
    assert "Did you mean “unit number”?" in by_column["unit numbr"]
    assert "call it one of: unit number, read on, meter" in by_column["odo"]
    assert "twice" in by_column["meter"]
    assert "missing" in by_column["unit number"]
    assert {problem.row for problem in report.problems} == {1}
    assert report.rows == 0


@pytest.mark.parametrize(
    ("cut", "words"),
    [
        ("A-2,2026-11-20", "ends in the middle of row 3"),
        ("A-2,2026-11-20,100,\"a wor", "ends inside a quoted cell that began in row 3"),
        ("A-2,2026-11-20,100,\"a\"b", "Row 3 can't be read"),
    ],
)  # fmt: skip
def test_half_a_file_is_refused(bring: Bring, cut: str, words: str) -> None:
    report = bring(GOOD + cut, dry_run=False)
    assert words in said(report)[-1]
    assert not report.written
    assert not MeterReading.objects.exists()


def test_a_last_line_without_end_is_told_of(bring: Bring) -> None:
    report = bring(GOOD.rstrip("\n"))
    assert report.fine
    assert "no line end" in report.notes[0]


def test_a_row_with_too_many_cells_is_named_and_the_rest_are_read(bring: Bring) -> None:
    report = bring(GOOD + "A-1,2026-11-21,48,300,\nA-2,2026-11-21,300\nA-2,soon,300,\n")
    assert [(problem.row, problem.column) for problem in report.problems] == [
        (3, ""), (4, ""), (5, "read on"),
    ]  # fmt: skip
    assert "5 cells; the first row has 4" in said(report)[0]


@pytest.mark.parametrize("formula", ["=1+1", "+A1", "-2", "@SUM(A1)", '=HYPERLINK("x")'])
def test_formulas_are_text(bring: Bring, formula: str) -> None:
    quoted = formula.replace('"', '""')
    assert bring(f"unit number,read on,meter,reason\nA-1,2026-11-20,100,\"{quoted}\"\n",
                 dry_run=False).written  # fmt: skip
    assert MeterReading.objects.get().reason == formula


def test_a_million_rows_are_refused_at_once(bring: Bring) -> None:
    report = bring(TITLES + "A-1,2026-11-20,100\n" * 1_000_000)
    assert "more than 200,000 rows" in said(report)[0]
    assert report.rows == 0


def test_what_is_too_long_is_refused_in_little_memory(bring: Bring) -> None:
    """Counted, not read: what it takes does not grow with the file."""
    content = (TITLES + "A-1,2026-11-20,100\n" * 500_000).encode()
    tracemalloc.start()
    try:
        assert "more than 200,000 rows" in said(bring(content))[0]
        assert tracemalloc.get_traced_memory()[1] < len(content) / 2
    finally:
        tracemalloc.stop()


def test_what_a_row_takes_in_memory_is_bounded(bring: Bring) -> None:
    """Of the most rows that are taken, 200,000, that makes half a gigabyte at the worst."""
    days = [f"{NOW - timedelta(hours=4_001 - n):%Y-%m-%d %H:%M}Z" for n in range(4_000)]
    content = TITLES + "".join(f"A-1,{day},{n}\n" for n, day in enumerate(days))
    tracemalloc.start()
    try:
        assert bring(content, dry_run=False).added == len(days)
        assert tracemalloc.get_traced_memory()[1] / len(days) < 2_500
    finally:
        tracemalloc.stop()


def test_one_row_too_many_is_refused(bring: Bring, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(readings, "MOST_ROWS", 3)
    rows = "A-1,2026-11-20,100\n\n"
    assert bring(TITLES + rows * 3).fine
    report = bring(TITLES + rows * 4)
    assert "more than 3 rows" in said(report)[-1]
    assert not report.added


def test_a_file_larger_than_the_limit_is_refused(bring: Bring, settings: object) -> None:
    settings.IMPORT_MAX_BYTES = 10  # type: ignore[attr-defined]  # pytest-django's settings
    assert "larger than" in said(bring(GOOD))[0]


PIECES = st.sampled_from(
    [b"unit number", b"read on", b"meter", b",", b";", b"\t", b"\n", b"\r", b'"', b"A-1", b"=1",
     b"2026-11-20", b"1e400", b"\xff", b"\x00", b"\xc3", b"\xef\xbb\xbf", b"9" * 40, b"48,210",
     "½".encode(), b"\xe2\x80\xae"]
)  # fmt: skip


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=st.one_of(st.binary(max_size=200), st.lists(PIECES, max_size=30).map(b"".join)))
def test_whatever_comes_there_is_an_answer(bring: Bring, content: bytes) -> None:
    report = bring(content)
    assert report.problem_count >= len(report.problems)
    if not report.rows:
        assert not report.added


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    rows=st.lists(
        st.lists(st.text(max_size=30).map(lambda t: t.replace("\0", "")), min_size=6, max_size=6),
        max_size=5,
    )
)
def test_whatever_stands_in_the_cells_of_vehicles_there_is_an_answer(
    bring: Bring, rows: list[list[str]]
) -> None:
    titles = "unit number,VIN,design,yard,lift,in fleet since,duty,meter unit,meter\n"
    lines = [",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows]
    data = titles + "".join(f"{line},gravel,mi,1\n" for line in lines)
    report = import_vehicles(
        Actor(Person.objects.get(username="manager")),
        data.encode("utf-8", "surrogatepass"),
        at=NOW,
        dry_run=False,
    )
    assert not report.written or not rows
    assert Vehicle.objects.count() == 2


def test_random_bytes_after_good_rows_never_leave_half_a_file(bring: Bring) -> None:
    seeded = random.Random(7)
    for _ in range(60):
        tail = seeded.randbytes(seeded.randint(1, 40))
        report = bring(GOOD.encode() + b'A-2,2026-11-20,5,"' + tail, dry_run=False)
        assert not report.fine
    assert not MeterReading.objects.exists()
