"""Reports by the API: JSON, and the same files by `format` or by Accept."""

import csv
from datetime import timedelta
from io import BytesIO, StringIO
from typing import Any

import pytest
from pypdf import PdfReader

from fleet.records.models import TrailEntry, Yard
from tests import build, people
from tests.api.conftest import Client
from tests.build import NOW


@pytest.fixture
def truck(alder: Yard, manager: Client) -> Any:
    of = build.vehicle(alder, "A-12", vin="")
    build.meter(of, 10_000, manager.person)
    at = NOW - timedelta(days=60)
    build.part(build.joint(of), manager.person, at, number="=TB-1", lot="L7", use_si=1_609_344)
    build.recheck(of, state="done", done_at=NOW - timedelta(days=3))
    return of


def test_a_report_as_json_has_real_figures_and_units_in_its_headings(
    truck: Any, manager: Client
) -> None:
    answer = manager.get("reports/parts/", {"units": "metric"}).json()
    headings = {column["key"]: column["heading"] for column in answer["columns"]}
    assert headings["run"] == "Run in all, km"
    [row] = answer["rows"]
    assert (row["number"], row["fitted"], row["in_place"]) == ("=TB-1", 1, 1)
    assert row["run"] == pytest.approx(9_000 * 1.609344, abs=1)
    assert row["rate"] == "too little"
    assert "service information governs" in answer["governs"]


@pytest.mark.parametrize("path", ["parts", "fleet", "kept"])
@pytest.mark.parametrize(
    ("form", "media_type"),
    [
        ("csv", "text/csv"), ("pdf", "application/pdf"),
        ("xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    ],
)  # fmt: skip
def test_a_report_is_a_file_by_its_format_or_by_accept(
    path: str, form: str, media_type: str, truck: Any, manager: Client
) -> None:
    named = manager.get(f"reports/{path}/", {"format": form})
    accepted = manager.get(f"reports/{path}/", Accept=media_type)
    for answer in (named, accepted):
        assert answer.status_code == 200
        assert answer["Content-Type"].startswith(media_type)
        assert f'.{form}"' in answer["Content-Disposition"]


def test_csv_by_the_api_is_safe_too(truck: Any, manager: Client) -> None:
    text = manager.get("reports/parts/", {"format": "csv"}).content.decode("utf-8-sig")
    assert next(csv.DictReader(StringIO(text)))["Part number"] == "'=TB-1"


def test_a_vehicles_file_by_the_api(truck: Any, manager: Client) -> None:
    answer = manager.get("reports/vehicles/A-12/", {"until": "2026-10-01"}).json()
    assert answer["title"] == "Front-axle part of the maintenance file"
    assert "396.3(b)" in answer["what_it_is"]
    assert answer["as_it_stood"].startswith("As it was known at the end of Oct 1, 2026")
    assert answer["identification"]["Company number (unit)"] == "A-12"
    assert {section["key"] for section in answer["sections"]} >= {"owed", "findings", "torques"}
    made = manager.get("reports/vehicles/A-12/", {"format": "pdf"})
    assert len(PdfReader(BytesIO(made.content)).pages) >= 1
    taken = TrailEntry.objects.filter(verb="take_out").order_by("pk")
    assert [row.after["form"] for row in taken] == ["json", "pdf"]
    assert {row.door for row in taken} == {"api"}


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"since": "soon"}, "since"), ({"units": "cubits"}, "units"), ({"days": "3"}, "days"),
        ({"yard": "nowhere"}, "yard"), ({"since": "2026-02-01", "until": "2026-01-01"}, "until"),
    ],
)  # fmt: skip
def test_a_wrong_question_is_told(
    query: dict[str, str], field: str, truck: Any, manager: Client
) -> None:
    answer = manager.get("reports/kept/", query)
    assert answer.status_code in (400, 422)
    assert field in {problem["field"] for problem in answer.json()["problems"]}


def test_a_problem_stays_json_where_a_file_was_asked_for(truck: Any, manager: Client) -> None:
    answer = manager.get("reports/kept/", {"since": "soon", "format": "csv"})
    assert answer["Content-Type"].startswith("application/problem+json")
    assert answer.json()["problems"][0]["field"] == "since"


def test_another_yards_vehicle_has_no_file(truck: Any) -> None:
    stranger = Client(people.person("Foreman", "manager", build.yard("Mesa Tank")))
    assert stranger.get("reports/vehicles/A-12/").status_code == 404
    assert stranger.get("reports/fleet/").json()["rows"] == []
    assert not TrailEntry.objects.filter(verb="take_out").exists()
