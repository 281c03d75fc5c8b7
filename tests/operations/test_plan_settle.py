"""What is paid or no longer owed leaves the plan by itself."""

from datetime import date, timedelta
from typing import Any

from fleet.operations import plan_hours, plan_people, plan_visits, repair
from fleet.operations.actor import Actor
from fleet.operations.plan_visits import Place
from fleet.records.models import Recheck, TrailEntry, Visit, VisitWork
from tests import people
from tests.operations.conftest import RETORQUE, TRACK_BAR, House

WEEK = [("07:00", "15:00")] * 7


def planned(house: House, day: date, **more: Any) -> Visit:
    """The truck's owed work on one day; its technician has time."""
    by = Actor(people.scheduler())
    plan_hours.set_hours(by, house.yard.pk, plan_hours.NewHours(WEEK), at=house.now)
    days = plan_people.NewDays([480] * 7)
    plan_people.set_days(by, house.technician.person.pk, days, at=house.now)
    return plan_visits.plan_visit(by, house.vehicle.pk, Place(day, **more), at=house.now).row


def retorques(house: House) -> None:
    """A track bar replaced: both its ends are owed a retorque within days."""
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))


def today(house: House) -> date:
    return house.now.date()


def test_work_paid_on_its_day_ends_the_visit_as_done(house: House) -> None:
    retorques(house)
    house.later(days=6)
    visit = planned(house, today(house))
    owed = visit.works.count()
    house.tight("track_bar_frame_end")
    visit.refresh_from_db()
    assert (visit.state, visit.works.filter(live=True).count()) == ("planned", owed - 1)
    left = visit.works.filter(live=True).values_list("minutes", flat=True)
    assert visit.minutes == 20 + sum(left)
    live = VisitWork.objects.filter(visit=visit, live=True)
    Recheck.objects.filter(planned__in=live.exclude(recheck__ladder="track_bar")).update(
        state="dropped", drop_reason="not for this test"
    )
    live.exclude(recheck__ladder="track_bar").update(live=False)
    house.tight("track_bar_axle_end")
    visit.refresh_from_db()
    assert (visit.state, visit.works.filter(live=True).count()) == ("done", 0)


def test_work_paid_before_its_day_takes_the_visit_out_and_says_so(house: House) -> None:
    retorques(house)
    house.later(days=6)
    visit = planned(house, today(house) + timedelta(days=1))
    others = visit.works.exclude(recheck__joint=house.joint())
    others.update(live=False)
    sequence = visit.sequence
    house.tight("track_bar_frame_end")
    visit.refresh_from_db()
    assert (visit.state, visit.sequence) == ("cancelled", sequence + 1)
    assert TrailEntry.objects.filter(verb="visit_over", subject_id=visit.pk).exists()


def test_a_closed_or_cancelled_ticket_leaves_the_plan(house: House) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    retorque = planned_ticket(house, ticket)
    house.record(house.line(ticket, "retorque"), RETORQUE)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    retorque.refresh_from_db()
    assert retorque.state == "done"
    again = house.ticket(("retorque", "track_bar_axle_end"))
    visit = planned_ticket(house, again, days=2)
    repair.cancel_ticket(house.technician, again.pk, "typed twice", at=house.now)
    visit.refresh_from_db()
    assert visit.state == "cancelled"


def planned_ticket(house: House, ticket: Any, days: int = 0) -> Visit:
    visit = Visit.objects.create(
        vehicle=house.vehicle, yard=house.yard, day=today(house) + timedelta(days=days), bay=1,
        minutes=80, changed_at=house.now,
    )  # fmt: skip
    VisitWork.objects.create(visit=visit, ticket=ticket, minutes=60)
    return visit
