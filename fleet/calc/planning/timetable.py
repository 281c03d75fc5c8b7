"""One yard on one day: in which bay, when, and by whom, so that nobody is in two places at once."""

from collections.abc import Iterator, Sequence
from itertools import permutations
from random import Random
from typing import NamedTuple

#: With so few visits every order is tried; with more, some good ones and some by chance.
ALL_ORDERS, ALL_ORDERS_THOROUGH = 3, 5
BY_CHANCE = 6


class Job(NamedTuple):
    """A piece in a visit: its number, minutes, hands at once, who can (places in the crew)."""

    piece: int
    minutes: int
    people: int
    can: tuple[int, ...]
    wished: int


class Slot(NamedTuple):
    """Where a job lies: bay from 0, minute at which hands begin, places in the crew."""

    piece: int
    bay: int
    start: int
    crew: tuple[int, ...]


class Room(NamedTuple):
    """Bays, minutes open, set-up minutes, and for each of the crew the minute they leave."""

    bays: int
    opening: int
    setup: int
    until: tuple[int, ...]


def fit(room: Room, visits: Sequence[tuple[Job, ...]], thorough: bool = False) -> list[Slot] | None:
    """Lay the visits out, or return None where no order tried fits.

    Notes
    -----
    Each order is laid without gaps looked back for: the next visit goes to the bay that is free
    first, each job of it to those who can begin first. A visit keeps its bay while it waits.
    """
    for order in _orders(visits, thorough):
        for snug in (True, False):
            slots = _lay(room, order, snug)
            if slots is not None:
                return slots
    return None


def _orders(
    visits: Sequence[tuple[Job, ...]], thorough: bool
) -> Iterator[Sequence[tuple[Job, ...]]]:
    pairs_first = [tuple(sorted(v, key=lambda j: (-j.people, len(j.can), j.piece))) for v in visits]
    by_pairs = sorted(pairs_first, key=lambda v: (-v[0].people, -_minutes(v)))
    yield by_pairs
    by_length = sorted(pairs_first, key=lambda v: -_minutes(v))
    if by_length != by_pairs:
        yield by_length
    singles_first = [tuple(reversed(v)) for v in pairs_first]
    if len(visits) <= (ALL_ORDERS_THOROUGH if thorough else ALL_ORDERS):
        yield from permutations(pairs_first)
        if thorough:
            yield from permutations(singles_first)
        return
    yield sorted(pairs_first, key=lambda v: (min(len(j.can) for j in v), -_minutes(v)))
    chance = Random(sum(j.piece * 31 + j.minutes for v in visits for j in v))  # noqa: S311 - orders
    for turn in range(BY_CHANCE * (20 if thorough else 1)):
        drawn = list(pairs_first if turn % 3 else singles_first)
        chance.shuffle(drawn)
        yield drawn


def _minutes(visit: tuple[Job, ...]) -> int:
    return sum(job.minutes for job in visit)


def _lay(room: Room, visits: Sequence[tuple[Job, ...]], snug: bool) -> list[Slot] | None:
    bays, free = [0] * room.bays, [0] * len(room.until)
    slots = []
    for visit in visits:
        bay = bays.index(min(bays))
        at, setup = bays[bay], room.setup
        for job in visit:
            took = _one(room, job, at, setup, free, snug) if job.people == 1 else _two(
                room, job, at, setup, free
            )  # fmt: skip
            if took is None:
                return None
            start, crew = took
            at = start + job.minutes
            for place in crew:
                free[place] = at
            slots.append(Slot(job.piece, bay, start, crew))
            setup = 0
        bays[bay] = at
    return slots


def _one(
    room: Room, job: Job, at: int, setup: int, free: list[int], snug: bool
) -> tuple[int, tuple[int, ...]] | None:
    """Who can begin first; of those, the wished, else (`snug`) the one who waits least for it."""
    best, found = (0, 0, 0), -1
    for place in job.can:
        ready = free[place]
        start = (ready if ready > at else at) + setup
        end = start + job.minutes
        if end > room.opening or end > room.until[place]:
            continue
        rank = (start, place != job.wished, -ready if snug else room.until[place] - ready)
        if found < 0 or rank < best:
            best, found = rank, place
    return None if found < 0 else (best[0], (found,))


def _two(
    room: Room, job: Job, at: int, setup: int, free: list[int]
) -> tuple[int, tuple[int, ...]] | None:
    """The two who can begin first; the first of them does the set-up."""
    best, found = (0, 0, 0), None
    for lead in job.can:
        ready = max(free[lead], at) + setup
        for second in job.can:
            if second == lead:
                continue
            start = max(ready, free[second])
            end = start + job.minutes
            if end > room.opening or end > room.until[lead] or end > room.until[second]:
                continue
            waits = 2 * start - free[lead] - free[second]
            rank = (start, waits, job.wished not in (lead, second))
            if found is None or rank < best:
                best, found = rank, (lead, second)
    return None if found is None else (best[0], found)
