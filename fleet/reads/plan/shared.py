"""Yards that share people with a yard: worth planning together with it, and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fleet.reads.plan.people import Hand, hands_at
from fleet.records.models import Person, Yard, YardPlan


@dataclass(frozen=True)
class Sharing:
    """Another yard, and what ties it to the one that is planned."""

    yard: Yard
    crew_comes: bool
    crew_goes: bool
    # Who may be named at both, by name; of a crew that is sent, everybody may.
    people: Sequence[str]


def sharing(person: Person, yard: Yard) -> list[Sharing]:
    """Those in the reader's scope with hours on file, by name; four queries."""
    plans = {
        plan.yard_id: plan
        for plan in YardPlan.objects.filter(yard__in=Yard.visible_to(person)).select_related("yard")
        if any(plan.hours)
    }
    own = plans.pop(yard.pk, None)
    others = sorted(plans.values(), key=lambda plan: plan.yard.name)
    if own is None or not others:
        return []
    here, *elsewhere = hands_at([(yard, own), *((plan.yard, plan) for plan in others)])
    mine = _who(here)
    found = [_sharing(own, plan, mine, _who(hands))
             for plan, hands in zip(others, elsewhere, strict=True)]  # fmt: skip
    return [one for one in found if one.crew_comes or one.crew_goes or one.people]


def _who(hands: Sequence[Hand]) -> dict[int, str]:
    """Who gives time to front-end work there and may be named for it."""
    return {
        hand.person.pk: hand.person.name
        for hand in hands
        if hand.helps and hand.plan and any(hand.plan.minutes)
    }


def _sharing(
    own: YardPlan, other: YardPlan, mine: Mapping[int, str], theirs: Mapping[int, str]
) -> Sharing:
    comes, goes = other.crew_from_id == own.yard_id, own.crew_from_id == other.yard_id
    both = [name for pk, name in mine.items() if pk in theirs]
    return Sharing(other.yard, comes, goes, [] if comes or goes else both)
