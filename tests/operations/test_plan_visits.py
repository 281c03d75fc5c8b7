"""A visit put on a day, moved, pinned, undone and taken out by hand."""

from datetime import timedelta

import pytest

from fleet.operations import plan_days, plan_hours, plan_people, plan_visits
from fleet.operations.errors import Conflict, Refused
from fleet.operations.plan_visits import Place
from fleet.reads.trail import trail_rows
from fleet.records.models import TrailEntry, VisitWork
from tests import build, people
from tests.planned import FRIDAY, MONDAY, NOW, SATURDAY, THURSDAY, Ground, visit_of


@pytest.fixture
def ground(db: None) -> Ground:
    return Ground()


def refused(call: object, *args: object, **named: object) -> str:
    with pytest.raises(Refused) as caught:
        call(*args, **named)  # type: ignore[operator]
    return caught.value.problems[0].code


def test_all_that_a_truck_owes_soon_goes_on_one_visit(ground: Ground) -> None:
    truck = ground.truck()
    ground.owe(truck, 10, "track_bar_frame_end", ladder="other")
    visit = ground.plan(truck)
    # 20 in and out of the bay, and twice the 10 of a retorque (fixtures/rules/minutes.json, own).
    assert (visit.day, visit.bay, visit.minutes) == (FRIDAY, 1, 40)
    assert VisitWork.objects.filter(visit=visit, live=True).count() == 2
    assert visit.people.count() == 1


def test_a_dry_steer_names_two_and_one_of_them_inspects(ground: Ground) -> None:
    helper = people.driver(ground.yard)
    ground.days(helper, [480] * 7, "wheel")
    ground.days(ground.colleague, [0] * 7)
    visit = ground.plan(ground.truck(kind="dry_steer", methods=["dry_steer"]))
    named = {one.person: one.minutes for one in visit.named.select_related("person")}
    # The second is there for the dry steer alone.
    assert named == {ground.technician: 40, helper: 20}


def test_where_nobody_can_do_it_nobody_is_named_and_a_choice_is_refused(ground: Ground) -> None:
    truck = ground.truck(kind="rack", methods=[])
    assert ground.plan(truck).people.count() == 0
    chosen = Place(FRIDAY, people=[ground.technician.pk])
    move = plan_visits.move_visit
    visit = visit_of(truck)
    assert refused(move, ground.scheduler, visit.pk, chosen, **ground.at) == "people_wrong"
    ground.days(ground.technician, None, "rack")
    move(ground.scheduler, visit.pk, chosen, **ground.at)
    assert list(visit.people.all()) == [ground.technician]


def test_moving_pins_and_can_be_undone_until_something_else_comes(ground: Ground) -> None:
    visit = ground.plan(ground.truck())
    moved = plan_visits.move_visit(
        ground.scheduler, visit.pk, Place(MONDAY), expected_version=visit.version, **ground.at
    ).row
    assert (moved.day, moved.pinned, moved.sequence) == (MONDAY, True, visit.sequence + 1)
    back = plan_visits.undo_move(
        ground.scheduler, visit.pk, expected_version=moved.version, **ground.at
    ).row
    assert (back.day, back.pinned, back.moved_from) == (FRIDAY, False, None)
    assert back.sequence == moved.sequence + 1
    nothing = refused(plan_visits.undo_move, ground.scheduler, visit.pk, **ground.at)
    assert nothing == "nothing_to_undo"


def test_the_second_of_two_schedulers_is_told_of_the_first(ground: Ground) -> None:
    visit = ground.plan(ground.truck())
    read = visit.version
    plan_visits.move_visit(ground.scheduler, visit.pk, Place(MONDAY), expected_version=read,
                           **ground.at)  # fmt: skip
    with pytest.raises(Conflict):
        plan_visits.move_visit(ground.scheduler, visit.pk, Place(THURSDAY),
                               expected_version=read, **ground.at)  # fmt: skip
    visit.refresh_from_db()
    assert visit.day == MONDAY


def test_days_on_which_nothing_can_stand_are_refused_with_why(ground: Ground) -> None:
    truck = ground.truck()
    visit = ground.plan(truck)
    plan_hours.close_day(ground.scheduler, ground.yard.pk, MONDAY, "Basin Day", **ground.at)
    tuesday, wednesday = MONDAY + timedelta(days=1), MONDAY + timedelta(days=2)
    plan_people.add_away(ground.scheduler, truck.pk, tuesday, tuesday, **ground.at)
    plan_days.lock_day(ground.scheduler, ground.yard.pk, wednesday, **ground.at)
    why = {
        NOW.date() - timedelta(days=1): "day_past", SATURDAY: "day_shut", MONDAY: "day_shut",
        tuesday: "vehicle_away", wednesday: "day_locked",
        NOW.date() + timedelta(days=3660): "day_too_far",
    }  # fmt: skip
    found = {
        day: refused(plan_visits.move_visit, ground.scheduler, visit.pk, Place(day), **ground.at)
        for day in why
    }
    assert found == why


def test_nothing_leaves_a_locked_day_by_hand_until_it_is_unlocked(ground: Ground) -> None:
    visit = ground.plan(ground.truck())
    plan_days.lock_day(ground.scheduler, ground.yard.pk, FRIDAY, **ground.at)
    move = plan_visits.move_visit
    for call, args in ((move, (Place(MONDAY),)), (plan_visits.take_out_visit, ())):
        assert refused(call, ground.scheduler, visit.pk, *args, **ground.at) == "day_locked"
    plan_days.unlock_day(ground.scheduler, ground.yard.pk, FRIDAY, **ground.at)
    assert move(ground.scheduler, visit.pk, Place(MONDAY), **ground.at).row.day == MONDAY


def test_a_person_is_at_one_yard_a_day(ground: Ground) -> None:
    ground.days(ground.colleague, [0] * 7)
    ground.plan(ground.truck())
    other = build.yard("Birch")
    plan_hours.set_hours(
        ground.scheduler, other.pk, plan_hours.NewHours([("07:00", "15:00")] * 7), **ground.at
    )
    ground.technician.postings.create(yard=other)
    there = build.vehicle(other, "B-1")
    build.recheck(there, build.joint(there), 3)
    chosen = Place(FRIDAY, people=[ground.technician.pk])
    code = refused(plan_visits.plan_visit, ground.scheduler, there.pk, chosen, **ground.at)
    assert code == "person_elsewhere"
    # Where nobody was chosen, nobody is named rather than somebody twice.
    free = plan_visits.plan_visit(ground.scheduler, there.pk, Place(FRIDAY), **ground.at).row
    assert free.people.count() == 0


def test_people_who_are_not_there_are_not_named(ground: Ground) -> None:
    visit = ground.plan(ground.truck())
    [named] = visit.people.all()
    plan_people.add_day_off(ground.scheduler, named.pk, MONDAY, MONDAY, **ground.at)
    moved = plan_visits.move_visit(ground.scheduler, visit.pk, Place(MONDAY), **ground.at).row
    [other] = moved.people.all()
    assert other != named
    chosen = Place(MONDAY, people=[named.pk])
    code = refused(plan_visits.move_visit, ground.scheduler, visit.pk, chosen, **ground.at)
    assert code == "person_off"


def test_what_is_taken_out_stays_owed_and_can_be_planned_again(ground: Ground) -> None:
    truck = ground.truck()
    visit = ground.plan(truck)
    plan_visits.take_out_visit(ground.scheduler, visit.pk, **ground.at)
    visit.refresh_from_db()
    assert visit.state == "cancelled"
    assert ground.plan(truck, MONDAY).pk != visit.pk


def test_a_truck_is_planned_once_a_day_and_more_work_joins_its_visit(ground: Ground) -> None:
    truck = ground.truck()
    visit = ground.plan(truck)
    ground.owe(truck, 4, "track_bar_axle_end", ladder="other")
    again = ground.plan(truck)
    assert (again.pk, again.minutes) == (visit.pk, visit.minutes + 10)
    ground.owe(truck, 5, "track_bar_frame_end", ladder="third")
    later = ground.plan(truck, MONDAY)
    code = refused(plan_visits.move_visit, ground.scheduler, later.pk, Place(FRIDAY), **ground.at)
    assert code == "planned_that_day"


def test_each_step_stands_in_the_trail(ground: Ground) -> None:
    visit = ground.plan(ground.truck())
    plan_visits.move_visit(ground.scheduler, visit.pk, Place(MONDAY), **ground.at)
    plan_visits.undo_move(ground.scheduler, visit.pk, **ground.at)
    plan_visits.pin_visit(ground.scheduler, visit.pk, pinned=True, **ground.at)
    plan_visits.take_out_visit(ground.scheduler, visit.pk, **ground.at)
    rows = TrailEntry.objects.filter(subject="visit").order_by("id")
    assert [row.verb for row in rows] == [
        "plan_visit", "move_visit", "undo_move", "pin_visit", "take_out_visit",
    ]  # fmt: skip
    assert rows[1].before == {"day": str(FRIDAY), "pinned": False}
    assert rows[1].after == {"day": str(MONDAY), "pinned": True}


def test_nobody_is_at_two_bays_at_once(db: None) -> None:
    """One technician, two bays: the second visit begins when the first has ended."""
    ground = Ground(bays=2)
    ground.days(ground.colleague, [0] * 7)
    first, second = (ground.plan(ground.truck(unit)) for unit in ("A-1", "A-2"))
    assert (first.bay, second.bay) == (1, 2)
    assert (first.begins, second.begins) == (0, first.minutes)


def test_a_crew_from_another_yard_begins_after_its_drive(ground: Ground) -> None:
    far = build.yard("Mesa Tank", far=True)
    hours = plan_hours.NewHours([("07:00", "17:00")] * 7, ground.yard.pk, 75)
    plan_hours.set_hours(ground.scheduler, far.pk, hours, **ground.at)
    truck = build.vehicle(far, "M-1")
    build.recheck(truck, build.joint(truck), 3)
    where = Place(FRIDAY, people=[ground.technician.pk])
    assert plan_visits.plan_visit(ground.scheduler, truck.pk, where, **ground.at).row.begins == 75


def test_a_move_is_not_undone_where_its_people_are_elsewhere_by_now(ground: Ground) -> None:
    visit = ground.plan(ground.truck(), people=[ground.technician.pk])
    plan_visits.move_visit(ground.scheduler, visit.pk, Place(MONDAY), **ground.at)
    other = build.yard("Birch")
    hours = plan_hours.NewHours([("07:00", "15:00")] * 7)
    plan_hours.set_hours(ground.scheduler, other.pk, hours, **ground.at)
    ground.technician.postings.create(yard=other)
    there = build.vehicle(other, "B-1")
    build.recheck(there, build.joint(there), 3)
    where = Place(FRIDAY, people=[ground.technician.pk])
    plan_visits.plan_visit(ground.scheduler, there.pk, where, **ground.at)
    code = refused(plan_visits.undo_move, ground.scheduler, visit.pk, **ground.at)
    assert code == "person_elsewhere"


def test_the_trail_names_who_was_named(ground: Ground) -> None:
    visit = ground.plan(ground.truck(), people=[ground.technician.pk])
    [row] = trail_rows(TrailEntry.objects.filter(verb="plan_visit", subject_id=visit.pk))
    assert ("people", None, ground.technician.name) in row.changes
