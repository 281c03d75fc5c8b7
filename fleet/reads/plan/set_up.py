"""What a yard's plan is made against, on one page: hours, closed days, people, days away."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet
from django.utils.dates import WEEKDAYS_ABBR

from fleet.reads.days import today_at
from fleet.reads.plan.people import Hand, hands_of
from fleet.reads.plan.week import plan_of
from fleet.reads.rule_shapes import Shape, times
from fleet.reads.rule_words import words_of
from fleet.records.models import AwayDay, ClosedDay, DayOff, Person, Skill, Yard, YardPlan


@dataclass(frozen=True)
class Weekday:
    """One day of the week: from when to when, or shut."""

    name: str
    said: str


@dataclass(frozen=True)
class HandRow:
    hand: Hand
    # The day's name, and the minutes.
    minutes: Sequence[tuple[str, int]]
    skills: str
    off: Sequence[DayOff]


@dataclass(frozen=True)
class PlanSetUp:
    yard: Yard
    plan: YardPlan | None
    week: Sequence[Weekday]
    closed: Sequence[ClosedDay]
    hands: Sequence[HandRow]
    away: Sequence[AwayDay]
    today: date
    # What each kind of work is reckoned to take.
    times: Sequence[tuple[Shape, str]]


def plan_set_up(yard: Yard, now: datetime) -> PlanSetUp:
    """What is still to come; days that are over are left out. Eight queries."""
    plan, today = plan_of(yard), today_at(yard, now)
    hours = plan.hours if plan else [None] * 7
    week = [
        Weekday(str(WEEKDAYS_ABBR[number]), " – ".join(day) if day else "")
        for number, day in enumerate(hours)
    ]
    away = AwayDay.objects.filter(vehicle__yard=yard, last__gte=today).select_related("vehicle")
    rows = [_row(hand, today) for hand in hands_of(yard, plan, all_may=True)]
    closed = ClosedDay.objects.filter(yard=yard, day__gte=today)
    return PlanSetUp(yard, plan, week, list(closed), rows, list(away), today, _times())


def _row(hand: Hand, today: date) -> HandRow:
    said = hand.plan.minutes if hand.plan else []
    minutes = [(str(WEEKDAYS_ABBR[day]), there) for day, there in enumerate(said)]
    names = [str(Skill(code).label) for code in sorted(hand.skills)]
    days: list[DayOff] = getattr(hand.person, "off_days", [])
    return HandRow(hand, minutes, ", ".join(names), [row for row in days if row.last >= today])


def _times() -> list[tuple[Shape, str]]:
    return [(one, words_of(one.now.data)) for one in times() if one.now]


def colleagues(person: Person) -> QuerySet[Person]:
    """Whose days one may set."""
    return Person.visible_to(person).filter(is_active=True).select_related("plan")


def days_off(person: Person) -> QuerySet[DayOff]:
    return DayOff.visible_to(person).select_related("person")


def days_away(person: Person) -> QuerySet[AwayDay]:
    return AwayDay.visible_to(person).select_related("vehicle__yard")


def closed_days(person: Person) -> QuerySet[ClosedDay]:
    return ClosedDay.visible_to(person).select_related("yard")
