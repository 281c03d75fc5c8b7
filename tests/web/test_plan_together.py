"""Yards that share people: offered when one plans again, told by yard, put in place as one."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations.actor import server_actor
from fleet.operations.plan_solve import work_plans
from fleet.records.models import PlanRun, Visit, Yard
from tests import people
from tests.planned import FRIDAY, NOW, THURSDAY, Ground, visit_of
from tests.web.conftest import Get, Send

PLAN = "/plan/at/alder/"
DAYS = {"first": str(THURSDAY), "days": "2"}


@pytest.fixture
def ground(db: None) -> Ground:
    return Ground()


@pytest.fixture
def birch(ground: Ground) -> Yard:
    return ground.other("Birch", ground.technician, ground.colleague)


def work_off(run: PlanRun) -> PlanRun:
    work_plans(server_actor(), at=NOW, seconds=0.1)
    run.refresh_from_db()
    return run


def main_of(page: Any) -> str:
    """The page without its head and its list of yards."""
    text = str(page.text)
    return text[text.index("<h1") : text.index("</main>")]


def test_yards_that_share_people_are_offered_and_ticked_each_with_why(
    ground: Ground, birch: Yard, get: Get
) -> None:
    ground.other("Mesa Tank", crew=ground.yard)
    ground.other("Cedar")
    page = get(ground.scheduler.person, f"{PLAN}ask/")
    for words in ("Birch: shares Colleague and Technician", "Mesa Tank: its crew comes from Alder"):
        assert words in page.text
    assert page.text.count("checked") == 2
    assert "Cedar" not in main_of(page)
    far = get(ground.scheduler.person, "/plan/at/mesa-tank/ask/")
    assert "Alder: its crew goes to Mesa Tank" in far.text


def test_of_a_long_list_of_people_three_are_named(ground: Ground, get: Get) -> None:
    crew = [people.person(f"Hand {n}", "technician", ground.yard) for n in range(4)]
    for who in crew:
        ground.days(who)
    ground.other("Birch", ground.technician, ground.colleague, *crew)
    page = get(ground.scheduler.person, f"{PLAN}ask/")
    assert "Birch: shares Colleague, Hand 0, Hand 1 and 3 others" in page.text


def test_a_yard_out_of_scope_without_hours_or_without_time_of_theirs_is_not_offered(
    ground: Ground, birch: Yard, get: Get
) -> None:
    own = people.person("Own", "scheduler", ground.yard)
    assert "Plan together with" not in get(own, f"{PLAN}ask/").text
    ground.days(ground.technician, [0] * 7)
    ground.days(ground.colleague, [0] * 7)
    assert "Plan together with" not in get(ground.scheduler.person, f"{PLAN}ask/").text


def test_all_that_are_ticked_are_planned_in_one_run(
    ground: Ground, birch: Yard, send: Send
) -> None:
    who = ground.scheduler.person
    send(who, f"{PLAN}ask/", **DAYS, others="birch")
    run = PlanRun.objects.get()
    assert {yard.slug for yard in run.yards.all()} == {"alder", "birch"}
    work_off(run)
    send(who, f"{PLAN}ask/", **DAYS)
    assert [yard.slug for yard in PlanRun.objects.latest("pk").yards.all()] == ["alder"]


def test_a_yard_that_shares_nobody_any_more_is_told_and_nothing_is_lost(
    ground: Ground, send: Send
) -> None:
    ground.other("Cedar")
    ground.other("Birch", ground.technician)
    page = send(ground.scheduler.person, f"{PLAN}ask/", status=400, first=str(FRIDAY), days="9",
                others="cedar")  # fmt: skip
    assert "no longer shares people with it" in page.text
    assert f'value="{FRIDAY}"' in page.text
    assert 'value="9"' in page.text
    assert not PlanRun.objects.exists()


def test_each_of_its_yards_shows_the_run_while_it_works_and_waits(
    ground: Ground, birch: Yard, get: Get, send: Send
) -> None:
    who = ground.scheduler.person
    ground.truck("B-1", at=birch)
    send(who, f"{PLAN}ask/", **DAYS, others="birch")
    run = PlanRun.objects.get()
    for slug, other in (("alder", "Birch"), ("birch", "Alder")):
        page = get(who, f"/plan/at/{slug}/")
        assert f"The planner is at work on this yard together with {other}." in page.text
        assert f"/plan/runs/{run.pk}/" in page.text
    again = send(who, "/plan/at/birch/ask/", **DAYS)
    assert (PlanRun.objects.count(), again.url) == (1, f"/plan/runs/{run.pk}/")
    work_off(run)
    assert (
        "A plan of this yard together with Alder was proposed" in get(who, "/plan/at/birch/").text
    )


def test_who_has_one_of_its_yards_reads_that_it_works_and_opens_nothing(
    ground: Ground, birch: Yard, get: Get, send: Send
) -> None:
    send(ground.scheduler.person, f"{PLAN}ask/", **DAYS, others="birch")
    run = PlanRun.objects.get()
    own = people.person("Own", "scheduler", birch)
    page = get(own, "/plan/at/birch/")
    assert "Whoever plans all of these yards can look at it." in page.text
    assert f"/plan/runs/{run.pk}/" not in page.text
    get(own, f"/plan/runs/{run.pk}/", status=404)
    refused = send(own, "/plan/at/birch/ask/", status=400, **DAYS)
    assert "together with one that is not yours" in refused.text


def test_asked_while_only_another_of_the_ticked_is_at_work_it_says_so(
    ground: Ground, birch: Yard, get: Get, send: Send
) -> None:
    send(ground.scheduler.person, "/plan/at/birch/ask/", **DAYS)
    send(ground.scheduler.person, f"{PLAN}ask/", **DAYS, others="birch")
    page = get(ground.scheduler.person, f"/plan/runs/{PlanRun.objects.get().pk}/")
    assert "The planner is still at work on Birch. Ask again when it is done." in page.text
    assert PlanRun.objects.count() == 1


def test_the_proposal_stands_by_yard_and_one_press_puts_all_in_place(
    ground: Ground, birch: Yard, get: Get, send: Send
) -> None:
    who = ground.scheduler.person
    trucks = [ground.truck("A-1", due_in=2), ground.truck("B-1", due_in=2, at=birch)]
    ground.truck("B-2", due_in=2, at=birch, kind="rack", methods=[])
    send(who, f"{PLAN}ask/", **DAYS, others="birch")
    run = work_off(PlanRun.objects.get())
    page = get(who, f"/plan/runs/{run.pk}/")
    main = main_of(page)
    assert "Alder and Birch, Nov 26, 2026 to Nov 27, 2026" in page.text
    alder, birchs = main.index('<h2 id="part-alder">Alder'), main.index('<h2 id="part-birch">Birch')
    assert alder < main.index("A-1") < birchs < main.index("B-1")
    assert '<h3 id="unplaced-birch">' in main
    assert "Each button is for all of these yards at once." in page.text
    send(who, f"/plan/runs/{run.pk}/take/", version=run.version)
    assert {visit_of(truck).yard for truck in trucks} == {ground.yard, birch}


def test_left_it_is_left_for_all(ground: Ground, birch: Yard, get: Get, send: Send) -> None:
    who = ground.scheduler.person
    ground.truck("B-1", at=birch)
    send(who, f"{PLAN}ask/", **DAYS, others="birch")
    run = work_off(PlanRun.objects.get())
    send(who, f"/plan/runs/{run.pk}/leave/", version=run.version)
    assert not Visit.objects.exists()
    assert "waits to be put in place" not in get(who, "/plan/at/birch/").text


def test_of_one_yard_no_heading_names_it(ground: Ground, get: Get, send: Send) -> None:
    ground.truck("A-1", due_in=2, kind="rack", methods=[])
    send(ground.scheduler.person, f"{PLAN}ask/", **DAYS)
    run = work_off(PlanRun.objects.get())
    main = main_of(get(ground.scheduler.person, f"/plan/runs/{run.pk}/"))
    assert "part-alder" not in main
    assert '<h2 id="unplaced-alder">' in main
    assert "Each button" not in main


def test_the_weighed_days_late_open_to_what_they_are_made_of(
    ground: Ground, birch: Yard, get: Get, send: Send
) -> None:
    """Half an hour a day in one bay: what may hold comes first, the rest a day later each."""
    ground.hours([("07:00", "07:30")] * 7)
    for unit in ("A-1", "A-2"):
        ground.truck(unit, due_in=1)
    ground.truck("A-3", due_in=1, joint="track_bar_frame_end")
    run = ground.run(first=THURSDAY, days=2, others=[birch])
    page = get(ground.scheduler.person, f"/plan/runs/{run.pk}/")
    # A-3 comes on Thursday, one of the others on Friday (1), the other on none: a week after
    # Friday, which is eight days after it fell due.
    assert run.best == 9
    for words in ("Weighed days late: 9.0", "What it is made of", "All other work: 9", "no day",
                  "each day that work comes after it falls due counts 1", "1 day late",
                  "Days before Nov 26, 2026 count nothing",
                  "a week after Nov 27, 2026"):  # fmt: skip
        assert words in page.text
    assert "May hold a vehicle:" not in page.text


def test_what_may_hold_a_vehicle_is_counted_apart(ground: Ground, get: Get) -> None:
    ground.hours([("07:00", "07:30")] * 7)
    for unit in ("A-1", "A-2"):
        ground.truck(unit, due_in=1, joint="track_bar_frame_end")
    early = ground.truck("A-3", due_in=9)
    early.rechecks.update(use_on_low=THURSDAY, falls_on=THURSDAY + timedelta(days=5))
    run = ground.run(first=THURSDAY, days=7)
    page = get(ground.scheduler.person, f"/plan/runs/{run.pk}/")
    # The second of those that hold comes a day late. The third comes on Monday, the fourth of the
    # days on which it may fall due: four quarters.
    assert run.best == 2
    for words in ("May hold a vehicle: 1", "All other work: 1", "from Nov 26, 2026 on"):
        assert words in page.text
    assert page.text.index("May hold a vehicle") < page.text.index("All other work")
