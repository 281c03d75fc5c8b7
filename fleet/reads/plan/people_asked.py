"""The people that the planner is offered: where each is at home, and where they may be sent."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from fleet.calc import planning as calc
from fleet.reads.plan.people import WHEEL, Hand

INSPECT = "inspect"
# Where people are at home whose first yard is not of this run: no yard of this plan.
ELSEWHERE = "elsewhere"

# By yard: somebody as they may be named there.
Posts = Mapping[str, Hand]


def people_asked(
    hands: Mapping[str, Sequence[Hand]], days: Sequence[date],
    elsewhere: set[tuple[int, date]], asked_from: str,
) -> list[calc.Person]:  # fmt: skip
    """Each person once, with all of these yards that may name them.

    Of those who only help, one a day among the yards of one of them: so one of any two who work
    together is somebody who inspects.
    """
    helped: dict[date, set[str]] = defaultdict(set)
    found = []
    for posts in _by_person(hands):
        hand = next(iter(posts.values()))
        free = {
            day: there
            for day in days
            if (hand.person.pk, day) not in elsewhere and (there := hand.minutes(day))
        }
        if not hand.inspects:
            free = {day: there for day, there in free.items() if not helped[day] & set(posts)}
            for day in free:
                helped[day] |= set(posts)
        if free:
            found.append(_person(posts, free, asked_from))
    return found


def _by_person(hands: Mapping[str, Sequence[Hand]]) -> list[Posts]:
    """Those who inspect first, then by name."""
    found: dict[int, dict[str, Hand]] = defaultdict(dict)
    for yard, those in hands.items():
        for hand in those:
            found[hand.person.pk][yard] = hand
    return sorted(found.values(), key=_order)


def _order(posts: Posts) -> tuple[bool, str, int]:
    hand = next(iter(posts.values()))
    return not hand.inspects, hand.person.name, hand.person.pk


def _person(posts: Posts, free: dict[date, int], asked_from: str) -> calc.Person:
    hand = next(iter(posts.values()))
    skills = hand.skills | ({INSPECT, WHEEL} if hand.inspects else {WHEEL})
    home = _home(posts, asked_from)
    sent = frozenset(posts) - {home}
    return calc.Person(str(hand.person.pk), home, free, frozenset(skills), sent)


def _home(posts: Posts, asked_from: str) -> str:
    """The first posting. Who has all yards and no posting among these is at home in the yard that
    was asked from: it is counted as no drive, as if it were planned alone."""
    first = next((yard for yard, hand in posts.items() if hand.posted_first), None)
    if first is not None:
        return first
    anywhere = any(hand.person.all_yards for hand in posts.values())
    return asked_from if anywhere else ELSEWHERE
