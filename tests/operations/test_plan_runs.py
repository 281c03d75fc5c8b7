"""The planner asked, watched, stopped, and its proposal put in place or left."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import holds, plan_days, plan_runs, plan_visits
from fleet.operations.actor import Actor, server_actor
from fleet.operations.errors import Refused
from fleet.operations.plan_hours import NewHours, set_hours
from fleet.operations.plan_solve import work_plans
from fleet.operations.plan_visits import Place
from fleet.reads.plan.run import run_story
from fleet.records.models import PlanRun, Recheck, Vehicle, Visit, VisitWork
from tests import build, people
from tests.planned import FRIDAY, MONDAY, NOW, THURSDAY, Ground, visit_of


@pytest.fixture
def ground(db: None) -> Ground:
    return Ground()


def take(ground: Ground, run: PlanRun, **more: Any) -> PlanRun:
    return plan_runs.take_run(ground.scheduler, run.pk, **ground.at, **more).row


def test_a_proposal_changes_nothing_until_it_is_put_in_place(ground: Ground) -> None:
    trucks = [ground.truck(f"A-{n}", due_in=2 + n) for n in range(3)]
    run = ground.run()
    assert (run.state, Visit.objects.count()) == ("proposed", 0)
    story = run_story(run, ground.scheduler.person)
    assert {row.vehicle for row in story.new} == set(trucks)
    taken = take(ground, run)
    assert (taken.state, taken.taken["made"]) == ("taken", 3)
    assert all(visit_of(truck).people.exists() for truck in trucks)
    assert all(visit_of(truck).day <= NOW.date() + timedelta(days=5) for truck in trucks)


def test_planning_the_same_again_changes_nothing(ground: Ground) -> None:
    for n in range(3):
        ground.truck(f"A-{n}")
    take(ground, ground.run())
    before = list(Visit.objects.order_by("id").values_list("pk", "day", "bay", "sequence"))
    run = ground.run()
    assert run_story(run, ground.scheduler.person).changes == 0
    take(ground, run)
    assert list(Visit.objects.order_by("id").values_list("pk", "day", "bay", "sequence")) == before


def test_pins_and_locked_days_stay(ground: Ground) -> None:
    pinned, locked = ground.truck("A-1", due_in=1), ground.truck("A-2", due_in=1)
    ground.plan(pinned, MONDAY, pinned=True)
    ground.plan(locked, MONDAY + timedelta(days=1))
    plan_days.lock_day(ground.scheduler, ground.yard.pk, MONDAY + timedelta(days=1), **ground.at)
    free = ground.truck("A-3", due_in=1)
    ground.plan(free, MONDAY)
    take(ground, ground.run())
    assert visit_of(pinned).day == MONDAY
    assert visit_of(pinned).pinned
    assert visit_of(locked).day == MONDAY + timedelta(days=1)
    # What stands free comes before its day is over, and keeps its identity as it moves.
    assert visit_of(free).day < MONDAY
    assert Visit.objects.filter(vehicle=free).count() == 1
    assert visit_of(free).sequence == 1


def test_what_may_hold_a_vehicle_outranks_what_does_not(ground: Ground) -> None:
    """One bay that has room for one visit a day: the joint that holds comes first."""
    ground.hours([("07:00", "07:45")] * 7)
    other = ground.truck("A-1", due_in=0)
    first = ground.truck("A-2", due_in=0, joint="track_bar_frame_end")
    take(ground, ground.run(first=THURSDAY, days=2))
    assert (visit_of(first).day, visit_of(other).day) == (THURSDAY, FRIDAY)


def test_a_dry_steer_has_two_at_once_and_one_of_them_inspects(ground: Ground) -> None:
    ground.days(ground.colleague, [0] * 7)
    truck = ground.truck(kind="dry_steer", methods=["dry_steer"])
    story = run_story(ground.run(), ground.scheduler.person)
    assert [one.vehicle for one in story.unplaced] == [truck]
    assert "it takes two at once, and fewer are there" in story.unplaced[0].reasons[0]
    for _each in range(2):
        name = f"Driver {_each}"
        ground.days(people.person(name, "driver", ground.yard), [480] * 7, "wheel")
    take(ground, ground.run())
    named = list(visit_of(truck).people.all())
    assert (len(named), ground.technician in named) == (2, True)


def test_why_something_found_no_day_is_said_in_words(ground: Ground) -> None:
    truck = ground.truck(kind="rack", methods=[])
    [one] = run_story(ground.run(), ground.scheduler.person).unplaced
    assert one.vehicle == truck
    assert any("nobody who sets alignment on a rack is there" in why for why in one.reasons)
    assert any("the yard is shut" in why for why in one.reasons)


def test_a_pin_that_can_t_stand_is_told_with_the_limits_that_clash(ground: Ground) -> None:
    ground.plan(ground.truck(), FRIDAY, pinned=True)
    ground.hours([("07:00", "07:10")] * 7)
    run = ground.run()
    [clash] = run_story(run, ground.scheduler.person).clashes
    assert (clash.day, list(clash.units)) == (FRIDAY, ["A-101"])
    assert clash.limits
    with pytest.raises(Refused) as caught:
        take(ground, run)
    assert caught.value.problems[0].code == "plan_clashes"


def pay(recheck: Recheck) -> None:
    Recheck.objects.filter(pk=recheck.pk).update(state="done", done_at=NOW)


def test_what_was_paid_or_held_meanwhile_falls_away_alone(ground: Ground) -> None:
    done, held, other = (ground.truck(f"A-{n}") for n in range(3))
    run = ground.run()
    pay(Recheck.objects.get(vehicle=done))
    later = ground.now + timedelta(minutes=1)
    holds.place_hold(Actor(ground.technician), held.pk, "Bent", at=later)
    taken = take(ground, run)
    assert {(one["vehicle"], one["why"]) for one in taken.taken["stale"]} == {
        (done.pk, "paid"), (held.pk, "held"),
    }  # fmt: skip
    assert list(Visit.objects.values_list("vehicle", flat=True)) == [other.pk]
    said = {left.unit: left.why for left in run_story(taken, ground.scheduler.person).left}
    assert said["A-0"] == "its work was done meanwhile"


def test_a_visit_that_somebody_moved_meanwhile_stays_where_they_put_it(ground: Ground) -> None:
    truck, other = ground.truck("A-1"), ground.truck("A-2")
    visit = ground.plan(truck, FRIDAY)
    run = ground.run()
    last = MONDAY + timedelta(days=1)
    plan_visits.move_visit(ground.scheduler, visit.pk, Place(last), **ground.at)
    take(ground, run)
    assert visit_of(truck).day == last
    assert VisitWork.objects.filter(recheck__vehicle=truck, live=True).count() == 1
    assert visit_of(other).people.exists()


def test_one_run_at_a_time_for_a_yard_and_a_new_one_leaves_the_old_proposal(
    ground: Ground,
) -> None:
    ground.truck()
    ask = plan_runs.ask_for_plan
    first = ask(ground.scheduler, ground.yard.pk, **ground.at).row
    assert ask(ground.scheduler, ground.yard.pk, **ground.at).row == first
    work_plans(server_actor(), at=ground.now, seconds=0.1)
    second = ask(ground.scheduler, ground.yard.pk, **ground.at).row
    first.refresh_from_db()
    assert (second.pk != first.pk, first.state) == (True, "left")
    with pytest.raises(Refused):
        take(ground, first)


def test_stopped_it_keeps_the_best_plan(ground: Ground) -> None:
    truck = ground.truck()
    run = plan_runs.ask_for_plan(ground.scheduler, ground.yard.pk, **ground.at).row
    plan_runs.stop_run(ground.scheduler, run.pk, **ground.at)
    work_plans(server_actor(), at=ground.now, seconds=60)
    run.refresh_from_db()
    assert (run.state, run.seconds is not None and run.seconds < 5) == ("proposed", True)
    assert [visit["vehicle"] for visit in run.proposal["visits"]] == [truck.pk]


def test_a_run_whose_worker_was_killed_is_taken_up_again(ground: Ground) -> None:
    ground.truck()
    run = plan_runs.ask_for_plan(ground.scheduler, ground.yard.pk, **ground.at).row
    PlanRun.objects.filter(pk=run.pk).update(state="running", tries=1, leased_until=ground.now)
    assert work_plans(server_actor(), at=ground.now, seconds=0.1) == 0
    later = ground.now + timedelta(minutes=6)
    assert work_plans(server_actor(), at=later, seconds=0.1) == 1
    run.refresh_from_db()
    assert run.state == "proposed"


def test_what_a_past_day_left_undone_is_planned_again(ground: Ground) -> None:
    truck = ground.truck()
    visit = ground.plan(truck, THURSDAY)
    ground.now += timedelta(days=2)
    take(ground, ground.run())
    visit.refresh_from_db()
    assert (visit.state, visit.day > THURSDAY, visit.sequence) == ("planned", True, 1)


def test_a_truck_that_moved_to_another_yard_leaves_this_plan(ground: Ground) -> None:
    truck = ground.truck()
    visit = ground.plan(truck)
    Vehicle.objects.filter(pk=truck.pk).update(yard=build.yard("Birch"))
    take(ground, ground.run())
    visit.refresh_from_db()
    assert visit.state == "cancelled"
    assert not VisitWork.objects.filter(live=True).exists()


def test_an_open_ticket_is_planned_like_what_is_owed(ground: Ground) -> None:
    truck = build.vehicle(ground.yard, "A-7")
    ticket = build.ticket(truck, ground.technician)
    build.line(ticket, build.joint(truck))
    take(ground, ground.run())
    [work] = visit_of(truck).works.all()
    assert (work.ticket, work.minutes) == (ticket, 60)


def test_a_far_yard_is_visited_by_a_crew_and_its_drive_counts(ground: Ground) -> None:
    far = build.yard("Mesa Tank", far=True)
    week = NewHours([("07:00", "17:00")] * 7, crew_from_id=ground.yard.pk, travel_minutes=75)
    set_hours(ground.scheduler, far.pk, week, **ground.at)
    truck = build.vehicle(far, "M-1")
    build.recheck(truck, build.joint(truck, "damper_frame_end"), 3, methods=["wrench"])
    run = plan_runs.ask_for_plan(ground.scheduler, far.pk, **ground.at).row
    work_plans(server_actor(), at=ground.now, seconds=0.1)
    plan_runs.take_run(ground.scheduler, run.pk, **ground.at)
    visit = visit_of(truck)
    [named] = visit.people.all()
    assert named in (ground.technician, ground.colleague)
    # Whoever is there is not planned at home that day.
    ground.truck("A-9", due_in=0)
    chosen = Place(visit.day, people=[named.pk])
    home = Vehicle.objects.get(unit_number="A-9")
    with pytest.raises(Refused):
        plan_visits.plan_visit(ground.scheduler, home.pk, chosen, **ground.at)
