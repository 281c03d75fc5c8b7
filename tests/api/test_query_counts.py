"""Queries of each list: committed numbers, the same for 3, 30 and 300 rows."""

from collections.abc import Callable
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from fleet.records.base import new_uid
from fleet.records.models import Joint, Person, Yard
from tests import build, people
from tests.api.conftest import Client
from tests.web import more_rows

# One query signs the reader in; a page of rows costs a count and the rows, a cursor the rows.
PAGE, CURSOR = 3, 2


def _more(row: Any, rows: int, vary: Callable[[int], dict[str, Any]] = lambda _: {}) -> list[Any]:
    """The row, and copies of it up to so many, stored at once; `vary` tells them apart."""
    model = type(row)
    columns = {f.attname: getattr(row, f.attname) for f in model._meta.concrete_fields}
    del columns[model._meta.pk.attname]
    copies = [
        model(**{**columns, **({"uid": new_uid()} if "uid" in columns else {}), **vary(number)})
        for number in range(1, rows)
    ]
    return [row, *model.objects.bulk_create(copies)]


def _vehicles(yard: Yard, who: Person, rows: int) -> None:
    of = build.vehicle(yard)
    build.hold(of, who)
    vehicles = _more(of, rows, lambda number: {"unit_number": f"N-{number}"})
    build.meter(of, 1_000, who)
    _more(of.use, rows, lambda number: {"vehicle_id": vehicles[number].pk})


def _holds(yard: Yard, who: Person, rows: int) -> None:
    _more(build.hold(build.vehicle(yard), who), rows)


def _readings(yard: Yard, who: Person, rows: int) -> None:
    _more(build.meter(build.vehicle(yard), 1_000, who), rows)


def _complaints(yard: Yard, who: Person, rows: int) -> None:
    _more(build.complaint(build.vehicle(yard), who), rows)


def _findings(yard: Yard, who: Person, rows: int) -> None:
    _looks(build.joint(build.vehicle(yard)), yard, who, rows)


def _looks(joint: Joint, yard: Yard, who: Person, rows: int) -> None:
    """Inspections of one joint, each with its finding and its torque."""
    found = build.finding(joint, who, "tight")
    torque = build.torque(joint, who, build.tool(yard), found)
    sheets = _more(found.inspection, rows)
    findings = _more(found, rows, lambda number: {"inspection_id": sheets[number].pk})
    _more(torque, rows, lambda number: {"finding_id": findings[number].pk})


def _tickets(yard: Yard, who: Person, rows: int) -> None:
    over: dict[str, Any] = {"state": "closed", "closed_at": build.NOW, "closed_by": who}
    _more(build.ticket(build.vehicle(yard), who, **over), rows)


def _rechecks(yard: Yard, who: Person, rows: int) -> None:
    of = build.vehicle(yard)
    build.meter(of, 1_000, who)
    owed = build.recheck(of, build.joint(of), assigned_to=who)
    _more(owed, rows, lambda number: {"ladder": f"ladder_{number}"})


def _patterns(yard: Yard, who: Person, rows: int) -> None:
    joint = build.joint(build.vehicle(yard))
    pattern = build.pattern(joint, [build.finding(joint, who)])
    _more(pattern, rows, lambda number: {"key": f"joint:{number}x"})


def _tools(yard: Yard, who: Person, rows: int) -> None:
    _more(build.tool(yard), rows, lambda number: {"code": f"N-{number}"})


def _people(yard: Yard, who: Person, rows: int) -> None:
    crew = _more(people.driver(yard), rows, lambda number: {"username": f"driver-{number}"})
    _more(crew[0].postings.get(), rows, lambda number: {"person_id": crew[number].pk})


def _trail(yard: Yard, who: Person, rows: int) -> None:
    _more(build.trail(who, build.vehicle(yard)), rows)


def _rules(yard: Yard, who: Person, rows: int) -> None:
    rule = build.rule("action", "action_0", {}, who)
    _more(rule, rows, lambda number: {"key": f"action_{number}"})


def _intervals(yard: Yard, who: Person, rows: int) -> None:
    more_rows.intervals(build.joint(build.vehicle(yard)), rows, rows)


COUNTS: dict[str, tuple[Callable[[Yard, Person, int], None], int]] = {
    "vehicles/": (_vehicles, PAGE),
    "meter-readings/": (_readings, CURSOR),
    "complaints/": (_complaints, CURSOR + 1),
    "inspections/": (_findings, CURSOR),
    "findings/": (_findings, CURSOR),
    "tickets/": (_tickets, PAGE),
    "holds/": (_holds, PAGE),
    # The rules that judge a page of them: ladders, routine, settings.
    "due/": (_rechecks, PAGE + 6),
    "patterns/": (_patterns, PAGE),
    "intervals/": (_intervals, PAGE),
    "tools/": (_tools, PAGE),
    # Postings, and their yards in the same query.
    "people/": (_people, PAGE + 1),
    "trail/": (_trail, CURSOR),
    "rules/": (_rules, PAGE),
}


@pytest.mark.parametrize("rows", [3, 30, 300])
@pytest.mark.parametrize("path", COUNTS)
def test_a_list_costs_the_same_however_long(
    path: str, rows: int, alder: Yard, manager: Client,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:  # fmt: skip
    fill, queries = COUNTS[path]
    fill(alder, manager.person, rows)
    with django_assert_num_queries(queries):
        answer = manager.get(path, {"page_size": "200"})
    assert len(answer.json()["results"]) >= min(rows, 200)


def test_the_joints_of_a_vehicle(
    alder: Yard, manager: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    of = build.vehicle(alder, "A-12")
    tool = build.tool(alder)
    for joint in Joint.objects.filter(vehicle=of):
        build.torque(joint, manager.person, tool)
        build.recheck(of, joint)
    with django_assert_num_queries(PAGE + 1):
        answer = manager.get("vehicles/A-12/joints/")
    assert answer.json()["count"] == of.joints.count()


@pytest.mark.parametrize("rows", [3, 30])
def test_one_ticket_with_all_its_lines(
    rows: int, alder: Yard, manager: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    of = build.vehicle(alder)
    ticket, tool, joint = build.ticket(of, manager.person), build.tool(alder), build.joint(of)
    for number in range(rows):
        line = build.line(ticket, joint, action=f"action_{number}")
        entry = build.entry(line, manager.person, {})
        build.torque(joint, manager.person, tool, line_entry=entry)
        build.toe(of, manager.person, line_entry=entry)
    with django_assert_num_queries(10):
        answer = manager.get(f"tickets/{ticket.pk}/")
    assert len(answer.json()["lines"]) == rows
    assert answer.json()["lines"][-1]["entry"]["torques"][0]["torque_nm"] == 169.48


@pytest.mark.parametrize("rows", [3, 30, 300])
def test_one_joint_s_whole_life(
    rows: int, alder: Yard, manager: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    joint = build.joint(build.vehicle(alder))
    _looks(joint, alder, manager.person, rows)
    with django_assert_num_queries(14):
        answer = manager.get(f"joints/{joint.pk}/life/")
    assert len(answer.json()["findings"]) == rows
