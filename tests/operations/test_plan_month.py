"""A month, day by day: planned each morning, done each day, some of it not. Nothing that is owed is
lost, nothing is planned twice, and what is done leaves the plan."""

from datetime import timedelta

from fleet.operations import plan_runs
from fleet.operations.actor import Actor
from fleet.operations.plan_settle import left_the_plan
from fleet.operations.work import Work
from fleet.reads.plan.hours import WEEK
from fleet.reads.plan.week import to_plan
from fleet.records.models import Recheck, Visit, VisitWork
from tests.planned import Ground

TRUCKS, DAYS = 4, 30
# Each truck is owed the same again so many days after it was done.
AGAIN = 9
# Every so many visits nobody comes to it, and it is planned anew.
LEFT_UNDONE = 4


def test_a_month_of_days_loses_nothing_and_doubles_nothing(db: None) -> None:
    ground = Ground()
    for number in range(TRUCKS):
        ground.truck(f"A-{number}", due_in=number)
    done = came = 0
    for _day in range(DAYS):
        ground.now += timedelta(days=1)
        run = ground.run(days=WEEK, seconds=0.02)
        plan_runs.take_run(ground.scheduler, run.pk, **ground.at)
        today = ground.now.date()
        for visit in Visit.objects.filter(state="planned", day=today).order_by("id"):
            came += 1
            if came % LEFT_UNDONE:
                done += do(ground, visit)
        owed = Recheck.objects.filter(state__in=Recheck.LIVE)
        assert owed.count() == TRUCKS
        on_plan = set(VisitWork.objects.filter(live=True).values_list("recheck", flat=True))
        waiting = set(to_plan(ground.yard, today, 400).values_list("pk", flat=True))
        assert on_plan | waiting == set(owed.values_list("pk", flat=True))
        assert not on_plan & waiting
    assert Recheck.objects.filter(state="done").count() == done
    assert done > 2 * TRUCKS
    assert VisitWork.objects.filter(recheck__state="done", live=True).count() == 0
    assert Visit.objects.filter(state="done").count() == done


def do(ground: Ground, visit: Visit) -> int:
    """The recheck is paid, and the next one is owed; returns how many were paid."""
    works = [work.recheck for work in visit.works.filter(live=True).select_related("recheck")]
    for recheck in filter(None, works):
        recheck.state, recheck.done_at = "done", ground.now
        recheck.save()
        left_the_plan(Work(Actor(ground.technician), ground.now), visit.vehicle, [recheck])
        due = ground.now.date() + timedelta(days=AGAIN)
        ground.owe(visit.vehicle, due_on=due, falls_on=due, started_at=ground.now)
    return len(works)
