"""What rechecks kept on time come to: the trend, the oldest debt, and why what is late is late."""

from datetime import date
from typing import Any

import pytest

from fleet.reads.reports.kept import KeptRow
from fleet.reads.reports.kept_story import YardKept, kept_plot, kept_story
from fleet.records.models import Person, Yard
from tests import build, people
from tests.build import NOW


@pytest.fixture
def alder(db: None) -> Yard:
    return build.yard("Alder")


@pytest.fixture
def manager(alder: Yard) -> Person:
    return people.manager()


def months(yard: Yard, *shares: tuple[int, int]) -> list[KeptRow]:
    """Months up to October, the last whole one: so many kept, so many missed in each."""
    first = 10 - len(shares) + 1
    return [
        KeptRow(yard, date(2026, first + place, 1), kept, 0, missed)
        for place, (kept, missed) in enumerate(shares)
    ]


def story(manager: Person, rows: list[KeptRow]) -> YardKept:
    [one] = kept_story(manager, list(Yard.objects.all()), rows, NOW)
    return one


@pytest.mark.parametrize(
    ("shares", "trend"),
    [
        ([(40, 10)] * 3 + [(41, 9)] * 3, "no clear change"),
        ([(20, 30)] * 3 + [(45, 5)] * 3, "better than before"),
        ([(45, 5)] * 3 + [(20, 30)] * 3, "worse than before"),
        ([(45, 5)] * 3, "too little to tell a trend"),
    ],
)
def test_a_trend_is_told_where_the_ranges_have_nothing_in_common(
    manager: Person, alder: Yard, shares: list[tuple[int, int]], trend: str
) -> None:
    assert story(manager, months(alder, *shares)).trend == trend


def test_the_month_that_runs_is_no_part_of_it(manager: Person, alder: Yard) -> None:
    running = KeptRow(alder, date(2026, 11, 1), 0, 0, 90)
    assert story(manager, [running]).kept == "nothing fell due in the last three months"


def test_the_oldest_debt_is_named_with_its_days(manager: Person, alder: Yard) -> None:
    old, young = build.vehicle(alder, "A-1"), build.vehicle(alder, "A-2")
    build.recheck(young, due_in=-3)
    build.recheck(old, build.joint(old), due_in=-12)
    build.recheck(old, ladder="x", state="dropped", due_in=-40)
    gone = build.vehicle(alder, "A-3", status="out")
    build.recheck(gone, due_in=-90)
    assert story(manager, []).owed_since == "A-1, Track bar, frame end: 12 days late"


def test_why_it_is_late_is_the_first_that_the_record_tells(manager: Person, alder: Yard) -> None:
    def late(unit: str, **more: Any) -> Any:
        return build.recheck(build.vehicle(alder, unit), due_in=-3, **more)

    held = late("A-1")
    build.hold(held.vehicle, manager)
    late("A-5", put_off_by=manager, put_off_reason="no bay", ruled_on=NOW.date())
    late("A-2", due_use_si=5_000_000)
    late("A-3")
    late("A-4", assigned_to=people.technician(alder))
    assert story(manager, []).reasons == [
        ("the vehicle is held", 1),
        ("put off before", 1),
        ("the meter is not read", 1),
        ("handed to nobody", 1),
        ("handed to somebody, and not made", 1),
    ]


def test_it_asks_as_often_for_many_as_for_few(
    manager: Person, alder: Yard, django_assert_num_queries: Any
) -> None:
    for size in (3, 30):
        for number in range(size):
            truck = build.vehicle(alder, f"{size}-{number}")
            build.recheck(truck, due_in=-number)
        with django_assert_num_queries(4):  # one for the yards
            story(manager, [])


def test_one_month_makes_no_picture(manager: Person, alder: Yard) -> None:
    assert kept_plot(months(alder, (4, 1))) is None
    plot = kept_plot(months(alder, (4, 1), (3, 1)))
    assert plot is not None
    [line] = plot.layers
    assert [share for _month, share in getattr(line, "points", [])] == [80.0, 75.0]
