"""Several yards planned in one run: people whom they share are weighed between them."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.operations import holds, plan_runs, plan_visits
from fleet.operations.actor import Actor, server_actor
from fleet.operations.plan_days import lock_day
from fleet.operations.plan_solve import work_plans
from fleet.operations.plan_visits import Place
from fleet.reads.plan.facts import question
from fleet.reads.plan.run import run_story
from fleet.reads.plan.span import spans_of
from fleet.records.models import PlanRun, Vehicle, Visit, Yard, YardPlan
from tests import people
from tests.planned import FRIDAY, MONDAY, NOW, THURSDAY, Ground, visit_of


@pytest.fixture
def ground(db: None) -> Ground:
    """Alder, where one technician works."""
    ground = Ground()
    ground.days(ground.colleague, [0] * 7)
    return ground


@pytest.fixture
def birch(ground: Ground) -> Yard:
    """A yard where the same technician works too, and nobody else."""
    return ground.other("Birch", ground.technician)


def take(ground: Ground, run: PlanRun) -> PlanRun:
    return plan_runs.take_run(ground.scheduler, run.pk, **ground.at).row


def ask(ground: Ground, yard: Yard, *others: Yard, by: Actor | None = None) -> PlanRun:
    wanted = [each.pk for each in others]
    actor = by or ground.scheduler
    return plan_runs.ask_for_plan(actor, yard.pk, others=wanted, **ground.at).row


def two_days(ground: Ground, birch: Yard) -> tuple[Vehicle, Vehicle]:
    """Alder's truck may come on either of two days; Birch's is late on the second."""
    return ground.truck("A-1", due_in=2), ground.truck("B-1", due_in=1, at=birch)


def test_planned_yard_after_yard_the_first_takes_the_person(ground: Ground, birch: Yard) -> None:
    home, away = two_days(ground, birch)
    take(ground, ground.run(first=THURSDAY, days=2))
    take(ground, ground.run(first=THURSDAY, days=2, yard=birch))
    assert (visit_of(home).day, visit_of(away).day) == (THURSDAY, FRIDAY)


def test_planned_together_the_person_goes_where_it_is_later_otherwise(
    ground: Ground, birch: Yard
) -> None:
    home, away = two_days(ground, birch)
    run = ground.run(first=THURSDAY, days=2, others=[birch])
    assert (run.state, run.best) == ("proposed", 0)
    take(ground, run)
    assert (visit_of(away).day, visit_of(home).day) == (THURSDAY, FRIDAY)
    assert visit_of(away).yard == birch
    assert list(visit_of(away).people.all()) == [ground.technician]


def test_the_planner_chooses_the_day_of_the_drive_to_a_far_yard(ground: Ground) -> None:
    """Its crew has 480 minutes less 150 of the drive: 330 for eleven visits of 30, no twelfth."""
    mesa = ground.other("Mesa Tank", crew=ground.yard, drive=75, far=True)
    there = [ground.truck(f"M-{n}", due_in=2, at=mesa) for n in range(11)]
    home = ground.truck("A-1", due_in=1)
    take(ground, ground.run(first=THURSDAY, days=2, others=[mesa]))
    assert visit_of(home).day == THURSDAY
    assert {visit_of(truck).day for truck in there} == {FRIDAY}
    # Nothing begins there before they have come: 75 minutes, one way.
    assert (min(visit_of(truck).begins for truck in there), visit_of(home).begins) == (75, 0)
    ground.truck("M-99", due_in=2, at=mesa)
    run = ground.run(first=FRIDAY, days=1, others=[mesa])
    [left] = run_story(run, ground.scheduler.person).unplaced
    assert left.yard_id == mesa.pk


def test_everybody_is_at_home_where_they_are_posted_first(ground: Ground) -> None:
    birch = ground.other("Birch", ground.technician)
    boss = people.manager()
    ground.days(boss)
    run = ask(ground, birch, ground.yard)
    asked = question(server_actor().person, spans_of(run, ground.now))
    found = {one.key: (one.home, set(one.yards)) for one in asked.people}
    assert found[str(ground.technician.pk)] == ("alder", {"birch"})
    # Who has all yards and no posting is at home where the plan was asked for.
    assert found[str(boss.pk)] == ("birch", {"alder"})


def test_of_two_helpers_who_could_meet_one_is_offered_a_day(ground: Ground, birch: Yard) -> None:
    """So one of any two who do a dry steer is somebody who inspects."""
    far = ground.other("Cedar")
    for name, yards in (("Ann", [ground.yard, birch]), ("Ben", [birch]), ("Cy", [far])):
        ground.days(people.person(name, "driver", *yards), None, "wheel")
    run = ask(ground, ground.yard, birch, far)
    asked = question(server_actor().person, spans_of(run, ground.now))
    helpers = [one for one in asked.people if "inspect" not in one.skills]
    assert [one.home for one in helpers] == ["alder", "cedar"]


def test_each_yard_begins_on_its_own_day(ground: Ground) -> None:
    """At half past seven in Alder it is open; in Reno's zone it is half past six: today counts."""
    ground.now = datetime(2026, 11, 25, 14, 30, tzinfo=UTC)
    west = ground.other("Birch", time_zone="America/Los_Angeles")
    run = ask(ground, ground.yard, west)
    assert {one.yard: one.first for one in run.over.all()} == {
        ground.yard: THURSDAY, west: NOW.date()
    }  # fmt: skip
    assert (run.first, run.last) == (NOW.date(), THURSDAY + timedelta(days=13))
    asked = question(server_actor().person, spans_of(run, ground.now))
    opens = {yard.key: min(yard.opening) for yard in asked.yards}
    assert opens == {"alder": THURSDAY, "birch": NOW.date()}


def test_what_stands_outside_of_the_run_closes_those_days(ground: Ground, birch: Yard) -> None:
    cedar = ground.other("Cedar", ground.technician)
    elsewhere = ground.truck("C-1", at=cedar)
    ground.plan(elsewhere, THURSDAY, people=[ground.technician.pk])
    home, away = two_days(ground, birch)
    take(ground, ground.run(first=THURSDAY, days=5, others=[birch]))
    assert visit_of(elsewhere).day == THURSDAY
    assert THURSDAY not in {visit_of(home).day, visit_of(away).day}


def test_a_locked_day_of_one_yard_keeps_the_person_there(ground: Ground, birch: Yard) -> None:
    home, away = two_days(ground, birch)
    ground.plan(home, THURSDAY, people=[ground.technician.pk])
    lock_day(ground.scheduler, ground.yard.pk, THURSDAY, **ground.at)
    take(ground, ground.run(first=THURSDAY, days=2, others=[birch]))
    assert (visit_of(home).day, visit_of(away).day) == (THURSDAY, FRIDAY)


def test_taking_it_moves_the_plans_of_all_its_yards(ground: Ground, birch: Yard) -> None:
    two_days(ground, birch)
    run = ground.run(first=THURSDAY, days=2, others=[birch])
    before = dict(YardPlan.objects.values_list("yard", "version"))
    taken = take(ground, run)
    assert taken.taken["made"] == 2
    now = dict(YardPlan.objects.values_list("yard", "version"))
    assert {now[yard] - before[yard] for yard in now} == {1}


def test_what_one_yard_changed_meanwhile_keeps_its_person_from_the_other(
    ground: Ground, birch: Yard
) -> None:
    """Nobody is named in two yards on one day, whatever was changed under the proposal."""
    home, away = two_days(ground, birch)
    run = ground.run(first=THURSDAY, days=2, others=[birch])
    later = ground.truck("A-2", due_in=9)
    ground.plan(later, THURSDAY, people=[ground.technician.pk])
    taken = take(ground, run)
    assert [(one["yard"], one["vehicle"], one["why"]) for one in taken.taken["stale"]] == [
        (birch.pk, away.pk, "people")
    ]
    assert visit_of(home).day == FRIDAY
    story = run_story(taken, ground.scheduler.person)
    assert [(part.yard, len(part.left)) for part in story.parts] == [(ground.yard, 0), (birch, 1)]


def test_a_vehicle_held_meanwhile_keeps_its_people_where_they_stood(
    ground: Ground, birch: Yard
) -> None:
    home, away = two_days(ground, birch)
    ground.plan(home, THURSDAY, people=[ground.technician.pk])
    run = ground.run(first=THURSDAY, days=2, others=[birch])
    moment = ground.now + timedelta(minutes=1)
    holds.place_hold(Actor(ground.technician), home.pk, "Bent", at=moment)
    taken = take(ground, run)
    assert {one["why"] for one in taken.taken["stale"]} == {"held", "people"}
    assert visit_of(home).day == THURSDAY
    assert not Visit.objects.filter(vehicle=away).exists()


def test_a_truck_that_moved_between_them_is_planned_at_its_new_yard(
    ground: Ground, birch: Yard
) -> None:
    truck = ground.truck("A-1", due_in=3)
    old = ground.plan(truck, FRIDAY)
    Vehicle.objects.filter(pk=truck.pk).update(yard=birch)
    taken = take(ground, ground.run(first=THURSDAY, days=4, others=[birch]))
    old.refresh_from_db()
    assert (old.state, visit_of(truck).yard) == ("cancelled", birch)
    assert (taken.taken["made"], taken.taken["out"]) == (1, 1)


def test_a_truck_that_moved_from_where_it_is_pinned_comes_on_another_day(
    ground: Ground, birch: Yard
) -> None:
    """It stands in one place a day: its other work is not put beside the pin at its old yard."""
    truck = ground.truck("A-1", due_in=2)
    pinned = ground.plan(truck, FRIDAY, pinned=True)
    ground.owe(truck, 2, joint="track_bar_frame_end")
    Vehicle.objects.filter(pk=truck.pk).update(yard=birch)
    together = ground.run(first=FRIDAY, days=4, others=[birch])
    alone = ground.run(first=FRIDAY, days=4, yard=birch)
    for run in (together, alone):
        assert [one["day"] for one in run.proposal["visits"]] == [str(MONDAY)]
    take(ground, alone)
    assert set(Visit.objects.filter(vehicle=truck).values_list("day", "yard")) == {
        (FRIDAY, ground.yard.pk), (MONDAY, birch.pk)
    }  # fmt: skip
    assert pinned.works.get().live


def test_what_found_no_day_says_at_which_yard_and_why(ground: Ground, birch: Yard) -> None:
    truck = ground.truck("B-9", at=birch, kind="rack", methods=[])
    ground.truck("A-1")
    story = run_story(ground.run(others=[birch]), ground.scheduler.person)
    here, there = story.parts
    assert (here.yard, here.unplaced) == (ground.yard, [])
    [one] = there.unplaced
    assert (there.yard, one.vehicle) == (birch, truck)
    assert any("nobody who sets alignment on a rack is there" in why for why in one.reasons)


def test_when_the_person_is_at_the_other_yard_that_is_the_reason(
    ground: Ground, birch: Yard
) -> None:
    ground.truck("A-1", due_in=0, joint="track_bar_frame_end")
    ground.truck("B-1", due_in=0, at=birch)
    [left] = run_story(ground.run(first=THURSDAY, days=1, others=[birch]),
                       ground.scheduler.person).unplaced  # fmt: skip
    assert left.vehicle.unit_number == "B-1"
    assert list(left.reasons) == ["those who can do it are at another yard (Nov 26)"]


def test_a_clash_says_at_which_yard(ground: Ground, birch: Yard) -> None:
    for unit, yard in (("A-1", ground.yard), ("B-1", birch)):
        truck = ground.truck(unit, at=yard)
        Visit.objects.filter(pk=ground.plan(truck, FRIDAY).pk).update(pinned=True)
        if yard == ground.yard:
            visit_of(truck).people.clear()
    visit_of(Vehicle.objects.get(unit_number="A-1")).named.create(
        person=ground.technician, minutes=30
    )
    story = run_story(ground.run(first=THURSDAY, others=[birch]), ground.scheduler.person)
    [clash] = story.clashes
    assert "one person in two yards on one day" in clash.limits
    assert clash.yard_id in {ground.yard.pk, birch.pk}


def test_the_queries_of_a_run_do_not_grow_with_its_yards(ground: Ground) -> None:
    counts = set()
    for name in ("Birch", "Cedar", "Dune"):
        ground.plan(ground.truck(name, at=ground.other(name, ground.technician)), MONDAY)
        run = ask(ground, ground.yard, *Yard.objects.exclude(pk=ground.yard.pk))
        with CaptureQueriesContext(connection) as asking:
            question(server_actor().person, spans_of(run, ground.now))
        work_plans(server_actor(), at=ground.now, seconds=0.05)
        run.refresh_from_db()
        with CaptureQueriesContext(connection) as telling:
            run_story(run, ground.scheduler.person)
        counts.add((len(asking), len(telling)))
    assert len(counts) == 1


def test_a_proposal_is_left_for_all_of_its_yards(ground: Ground, birch: Yard) -> None:
    two_days(ground, birch)
    run = ground.run(others=[birch])
    plan_runs.leave_run(ground.scheduler, run.pk, **ground.at)
    run.refresh_from_db()
    assert (run.state, Visit.objects.count()) == ("left", 0)


def test_a_visit_moved_by_hand_at_the_second_yard_stays(ground: Ground, birch: Yard) -> None:
    _home, away = two_days(ground, birch)
    visit = ground.plan(away, FRIDAY)
    run = ground.run(first=THURSDAY, days=5, others=[birch])
    plan_visits.move_visit(ground.scheduler, visit.pk, Place(MONDAY), **ground.at)
    taken = take(ground, run)
    assert visit_of(away).day == MONDAY
    assert taken.state == "taken"
