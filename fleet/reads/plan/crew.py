"""Who is named for a visit: one who inspects, and a second where something takes two."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.reads.plan.minutes import PAIR, Takes
from fleet.reads.plan.people import Hand


@dataclass(frozen=True)
class Needs:
    """What a visit asks of people: `minutes` of the first, `pair_minutes` of a second."""

    minutes: int
    pair_minutes: int = 0
    skill: str = ""

    @property
    def people(self) -> int:
        return PAIR if self.pair_minutes else 1


def needs_of(takes: Iterable[Takes], set_up: int) -> Needs:
    rows = list(takes)
    return Needs(
        set_up + sum(one.minutes for one in rows),
        sum(one.minutes for one in rows if one.people >= PAIR),
        next((one.skill for one in rows if one.skill), ""),
    )


def leads(hand: Hand, needs: Needs) -> bool:
    """May do the work itself."""
    return hand.inspects and (not needs.skill or needs.skill in hand.skills)


def choose(
    hands: Sequence[Hand], needs: Needs, day: date, used: Mapping[int, int],
    keep: Sequence[int] = (),
) -> list[tuple[Hand, int]]:  # fmt: skip
    """Those to name and the minutes of each; too few where too few are there.

    Whoever was named stays while they are there; else whoever has most minutes left.
    """
    there = [hand for hand in hands if hand.minutes(day)]
    order = sorted(
        there,
        key=lambda hand: (
            keep.index(hand.person.pk) if hand.person.pk in keep else len(keep),
            used.get(hand.person.pk, 0) - hand.minutes(day),
            hand.person.name,
        ),
    )
    lead = next((hand for hand in order if leads(hand, needs)), None)
    if lead is None:
        return []
    found = [(lead, needs.minutes)]
    if needs.people == PAIR:
        second = next((hand for hand in order if hand is not lead), None)
        found += [(second, needs.pair_minutes)] if second else []
    return found
