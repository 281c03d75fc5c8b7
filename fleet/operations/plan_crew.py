"""Naming people and a bay for a visit, within what is planned there already."""

from collections import Counter
from collections.abc import Sequence
from datetime import date

from django.db import models
from django.db.models import Sum
from django.utils.translation import gettext as _

from fleet.operations.errors import Refused, refuse
from fleet.operations.plan_lock import said_day
from fleet.reads.plan.crew import Needs, choose, leads
from fleet.reads.plan.hours import MINUTE, open_days
from fleet.reads.plan.people import Hand, hands_of
from fleet.reads.plan.visits import PLANNED, Names, lines_of_day, with_all_told
from fleet.reads.plan.week import named_elsewhere
from fleet.records.models import Visit, VisitPerson, YardPlan

Crew = list[tuple[Hand, int]]


def crew_for(
    plan: YardPlan, needs: Needs, day: date, keep: Sequence[int], but: Visit | None = None
) -> Crew:
    """Who is named where nobody was chosen: those named before, else those with most time."""
    hands = _there(plan, day)
    return choose(hands, needs, day, minutes_used(plan, day, but), keep)


def crew_chosen(plan: YardPlan, needs: Needs, day: date, chosen: Sequence[int]) -> Crew:
    """The people that a scheduler chose, the first of them leading. Raises Refused."""
    by_id = {hand.person.pk: hand for hand in hands_of(plan.yard, plan)}
    if any(person not in by_id for person in chosen):
        message = _("Choose people of this yard who inspect or help.")
        raise refuse("people_wrong", message, field="people")
    hands = [by_id[person] for person in dict.fromkeys(chosen)]
    _refuse_absent(plan, hands, day)
    lead = next((hand for hand in hands if leads(hand, needs)), None)
    if lead is None:
        raise _no_lead(needs)
    if len(hands) < needs.people:
        message = _("Its dry steer takes two at once: choose a second person.")
        raise refuse("pair_missing", message, field="people")
    seconds = [(hand, needs.pair_minutes or needs.minutes) for hand in hands if hand is not lead]
    return [(lead, needs.minutes), *seconds]


def _there(plan: YardPlan, day: date) -> list[Hand]:
    hands = hands_of(plan.yard, plan)
    elsewhere = named_elsewhere(plan.yard, hands, [day])
    return [hand for hand in hands if (hand.person.pk, day) not in elsewhere]


def _refuse_absent(plan: YardPlan, hands: Sequence[Hand], day: date) -> None:
    elsewhere = named_elsewhere(plan.yard, hands, [day])
    for hand in hands:
        who = {"who": hand.person.name, "day": said_day(day)}
        other = elsewhere.get((hand.person.pk, day))
        if other:
            message = _("%(who)s is at %(yard)s on %(day)s.") % {**who, "yard": other}
            raise refuse("person_elsewhere", message, field="people")
        if not hand.minutes(day):
            message = _("%(who)s is not there on %(day)s.") % who
            raise refuse("person_off", message, field="people")


def refuse_elsewhere(plan: YardPlan, day: date, people: Sequence[int]) -> None:
    """Raise Refused where somebody is named at another yard that day by now."""
    named = VisitPerson.objects.filter(person__in=people, visit__day=day, visit__state=PLANNED)
    if named.exclude(visit__yard=plan.yard).exists():
        message = _("Its people are named at another yard on that day by now.")
        raise refuse("person_elsewhere", message)


def _no_lead(needs: Needs) -> Refused:
    if needs.skill:
        message = _("Choose somebody who sets alignment on a rack: it is part of this work.")
    else:
        message = _("Choose somebody who makes inspections; a helper alone can't.")
    return refuse("people_wrong", message, field="people")


def minutes_used(plan: YardPlan, day: date, but: Visit | None = None) -> dict[int, int]:
    """Minutes that people are named for at the yard on a day, one visit left out."""
    rows = VisitPerson.objects.filter(visit__yard=plan.yard, visit__day=day,
                                      visit__state=PLANNED)  # fmt: skip
    rows = rows.exclude(visit=but) if but is not None else rows
    return dict(rows.order_by().values_list("person").annotate(Sum("minutes")))


def bay_for(plan: YardPlan, day: date, wanted: int | None, but: Visit | None = None) -> int:
    """The bay asked for, else the one with most room. Raises Refused for one there is not."""
    bays = plan.yard.bays
    if wanted is not None:
        if not 1 <= wanted <= bays:
            message = _("%(yard)s has bays 1 to %(bays)s.")
            said = message % {"yard": plan.yard.name, "bays": bays}
            raise refuse("bay_wrong", said, field="bay")
        return wanted
    rows = _planned(plan, day, but)
    used = Counter(dict(rows.values_list("bay").annotate(Sum("minutes"))))
    return min(range(1, bays + 1), key=lambda bay: (used[bay], bay))


def free_from(plan: YardPlan, day: date, crew: Crew, but: Visit | None = None) -> int:
    """Minutes after the opening at which those named are all there, done with other visits."""
    here = list(with_all_told(_planned(plan, day, but)))
    [open_] = open_days(plan.yard, plan, {}, [day])
    ids = {hand.person.pk for hand, _minutes in crew}
    far = any(hand.far for hand, _minutes in crew)
    found = [plan.travel_minutes if far else 0]
    for lines in lines_of_day(open_, here, Names({}, {})).values():
        for line in lines:
            if line.ends and open_.opens and ids & {one.person_id for one in line.crew}:
                found.append(round((line.ends - open_.opens) / MINUTE))
    return max(found)


def last_place(plan: YardPlan, day: date, bay: int, but: Visit | None = None) -> int:
    """After whatever stands in the bay that day."""
    places = _planned(plan, day, but).filter(bay=bay).values_list("place", flat=True)
    return max(places, default=0) + 1


def _planned(plan: YardPlan, day: date, but: Visit | None) -> "models.QuerySet[Visit]":
    rows = Visit.objects.filter(yard=plan.yard, day=day, state=PLANNED).order_by()
    return rows.exclude(pk=but.pk) if but is not None else rows


def name_people(visit: Visit, crew: Crew) -> None:
    VisitPerson.objects.filter(visit=visit).delete()
    VisitPerson.objects.bulk_create(
        VisitPerson(visit=visit, person=hand.person, minutes=minutes) for hand, minutes in crew
    )
