"""`manage.py bring_in`, and the sample files that come with the program."""

from datetime import UTC, datetime
from io import StringIO
from pathlib import Path

import pytest
import time_machine
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import transaction

from fleet.records.models import MeterReading, Vehicle
from tests import build
from tests.operations.conftest import make_house

SAMPLES: Path = settings.BASE_DIR / "fixtures" / "samples"
NOW = datetime(2026, 11, 25, 19, 0, tzinfo=UTC)


def run(*arguments: str) -> str:
    output = StringIO()
    with time_machine.travel(NOW, tick=False):
        call_command("bring_in", *arguments, stdout=output)
    return output.getvalue()


@pytest.fixture
def fleet(db: None) -> None:
    make_house()  # with a manager and a technician
    for name in ("Mesa Tank", "Cold Spring"):
        build.yard(name)


def test_the_samples_come_in_and_again_add_nothing(fleet: None) -> None:
    vehicles, readings = str(SAMPLES / "vehicles.csv"), str(SAMPLES / "meter-readings.csv")
    told = run("vehicles", vehicles, "--as", "manager", "--dry-run")
    assert told == "4 rows: 4 would come in, 0 already on file, 0 repeated\n"
    assert Vehicle.objects.count() == 1
    assert "4 came in" in run("vehicles", vehicles, "--as", "manager")
    assert "0 came in, 4 already on file" in run("vehicles", vehicles, "--as", "manager")
    assert "6 came in" in run("readings", readings, "--as", "manager")
    assert "0 came in, 6 already on file" in run("readings", readings, "--as", "manager")
    assert MeterReading.objects.filter(vehicle__unit_number="S-203").count() == 2


def test_the_sample_with_mistakes_has_each_named(
    fleet: None, capsys: pytest.CaptureFixture[str]
) -> None:
    output = StringIO()
    path = SAMPLES / "vehicles-with-mistakes.csv"
    with pytest.raises(CommandError, match="1 problems; nothing was written"):
        call_command("bring_in", "vehicles", path, "--as", "manager", stdout=output)
    assert output.getvalue().startswith("row 1, modle year: There is no such column. Did you mean")


def test_a_file_that_may_be_half_needs_the_word_that_it_is_whole(
    fleet: None, tmp_path: Path
) -> None:
    run("vehicles", str(SAMPLES / "vehicles.csv"), "--as", "manager")
    half, before = tmp_path / "half.csv", MeterReading.objects.count()
    half.write_bytes((SAMPLES / "meter-readings.csv").read_bytes()[:-1])
    arguments = ("readings", str(half), "--as", "manager")
    told = run(*arguments, "--dry-run")
    assert "its last row reads “S-204, 2025-11-05 06:15, 41,790, mi, , ”" in told
    assert "With --whole" in told
    with pytest.raises(CommandError, match="1 problems; nothing was written"):
        run(*arguments)
    assert MeterReading.objects.count() == before
    assert "6 came in" in run(*arguments, "--whole")


def test_a_file_cut_after_any_byte_is_never_half_taken(fleet: None, tmp_path: Path) -> None:
    run("vehicles", str(SAMPLES / "vehicles.csv"), "--as", "manager")
    whole = b"".join((SAMPLES / "meter-readings.csv").read_bytes().splitlines(keepends=True)[:3])
    half, before = tmp_path / "half.csv", MeterReading.objects.count()
    for cut in range(len(whole)):
        half.write_bytes(whole[:cut])
        mark = transaction.savepoint()
        if whole[:cut].endswith(b"\n"):
            rows = whole[:cut].count(b"\n") - 1
            assert f"{rows} rows: {rows} came in" in run("readings", str(half), "--as", "manager")
        else:
            with pytest.raises(CommandError, match="nothing was written"):
                run("readings", str(half), "--as", "manager")
            assert MeterReading.objects.count() == before, cut
        transaction.savepoint_rollback(mark)


def test_who_may_not_and_what_is_not_there(fleet: None, tmp_path: Path) -> None:
    file = str(SAMPLES / "vehicles.csv")
    for arguments, words in (
        (("vehicles", file, "--as", "nobody"), "nobody signs in"),
        (("vehicles", file, "--as", "technician"), "may not"),
        (("vehicles", str(tmp_path / "none.csv"), "--as", "manager"), "can't be read"),
        (("vehicles", str(tmp_path), "--as", "manager"), "can't be read"),
    ):
        with pytest.raises(CommandError, match=words):
            run(*arguments)
