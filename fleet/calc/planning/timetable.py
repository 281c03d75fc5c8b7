"""One yard on one day: in which bay, when, and by whom, so that nobody is in two places at once."""

from collections import Counter
from collections.abc import Iterator, Sequence
from random import Random
from typing import NamedTuple

#: Orders by chance that are tried after the good ones; with patience so many times more.
BY_CHANCE, PATIENCE = 2, 40


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


Visit = tuple[Job, ...]
#: A visit with the crew of each job, and the minute at which it is meant to begin.
Meant = tuple[int, list[tuple[Job, tuple[int, ...]]]]
#: A visit that one person can do: how many can, who, minutes with its set-up.
Alone = tuple[int, set[int], int, Visit]


def fit(room: Room, visits: Sequence[Visit], patient: bool = False) -> list[Slot] | None:
    """Lay the visits out, or return None where no way tried fits.

    Notes
    -----
    Work for two is shared out first, on two who are free together; the rest person by person, each
    filled as full as can be, or longest first to who has the least room left. Then all is laid out
    by the clock with the bays. The people of the first work of a visit do its set-up.
    """
    for order in _orders(room, visits, patient):
        for share in (_longest_first, _person_by_person):
            meant = share(room, order)
            slots = meant and _lay(room, meant)
            if slots:
                return slots
    return [] if not visits else None


def _orders(room: Room, visits: Sequence[Visit], patient: bool) -> Iterator[list[Visit]]:
    pairs_first = [tuple(sorted(v, key=lambda j: (-j.people, len(j.can), j.piece))) for v in visits]
    yield sorted(pairs_first, key=lambda v: (-v[0].people, len(v[0].can) - _minutes(v) / 1000))
    yield sorted(pairs_first, key=lambda v: (-v[0].people, -_minutes(v)))
    singles_first = [tuple(reversed(v)) for v in pairs_first]
    mixed = any(v[0].people != v[-1].people for v in visits)
    chance = Random(sum(j.piece * 31 + j.minutes for v in visits for j in v))  # noqa: S311 - orders
    for turn in range(BY_CHANCE * (PATIENCE if patient else 1)):
        drawn = list(singles_first if mixed and not turn % 2 else pairs_first)
        chance.shuffle(drawn)
        yield sorted(drawn, key=lambda v: -v[0].people) if turn % 4 < 2 else drawn  # noqa: PLR2004


def _minutes(visit: Visit) -> int:
    return sum(job.minutes for job in visit)


def _longest_first(room: Room, order: list[Visit]) -> list[Meant] | None:
    """In this order, each to who has the least room left for it."""
    free, meant = [0] * len(room.until), []
    for visit in order:
        one = _shared(room, visit, free)
        if one is None:
            return None
        meant.append(one)
    return meant


def _person_by_person(room: Room, order: list[Visit]) -> list[Meant] | None:
    """What takes several people first; then each person filled with what adds up to most."""
    free, meant = [0] * len(room.until), []
    alone: list[Alone] = []
    for visit in order:
        able = set(visit[0].can).intersection(*(job.can for job in visit[1:]))
        if able and all(job.people == 1 for job in visit):
            alone.append((len(able), able, room.setup + _minutes(visit), visit))
            continue
        one = _shared(room, visit, free)
        if one is None:
            return None
        meant.append(one)
    alone.sort(key=lambda one: one[0])
    asked = Counter(place for _, able, _, _ in alone for place in able)
    for place in sorted(range(len(free)), key=lambda p: (asked[p], p)):
        for one_alone in _fullest(room, alone, place, free[place]):
            alone.remove(one_alone)
            meant.append((free[place], [(job, (place,)) for job in one_alone[3]]))
            free[place] += one_alone[2]
    return None if alone else meant


def _fullest(room: Room, alone: list[Alone], place: int, free: int) -> list[Alone]:
    """The visits that fill a person's minutes most; those that few can do are counted in first."""
    left = min(room.until[place], room.opening) - free
    sums: dict[int, list[Alone]] = {0: []}
    for one in alone:
        if place in one[1]:
            for total, chosen in list(sums.items()):
                more = total + one[2]
                if more <= left and more not in sums:
                    sums[more] = [*chosen, one]
            if left in sums:
                break
    return sums[max(sums)]


def _shared(room: Room, visit: Visit, free: list[int]) -> Meant | None:
    """Give each job of a visit its people; `free` is moved on to when they are free again."""
    at, setup, begin = 0, room.setup, -1
    last: tuple[int, ...] = ()
    crews: list[tuple[Job, tuple[int, ...]]] = []
    for job in visit:
        ready = free if at == 0 else [minute if minute > at else at for minute in free]
        choose = _pair if job.people > 1 else _single
        crew = choose(room, job, ready, setup, last)
        if crew is None:
            return None
        start = max(ready[place] for place in crew)
        begin = start if begin < 0 else begin
        at = start + setup + job.minutes
        for place in crew:
            free[place] = at
        crews.append((job, crew))
        setup, last = 0, crew
    return begin, crews


def _single(
    room: Room, job: Job, ready: list[int], setup: int, last: tuple[int, ...]
) -> tuple[int, ...] | None:
    """The wished if there is room, else who did the job before, else who has the least room."""
    need, best, found = setup + job.minutes, (0, 0, 0), -1
    for place in job.can:
        left = min(room.until[place], room.opening) - ready[place]
        if left >= need:
            rank = (place == job.wished, place in last, -left)
            if found < 0 or rank > best:
                best, found = rank, place
    return None if found < 0 else (found,)


def _pair(
    room: Room, job: Job, ready: list[int], setup: int, last: tuple[int, ...]
) -> tuple[int, ...] | None:
    """The two who wait least for each other; among equals those who are free last."""
    need, best, found = setup + job.minutes, (0, 0), None
    for nth, one in enumerate(job.can):
        for two in job.can[nth + 1 :]:
            start = max(ready[one], ready[two])
            if start + need > min(room.until[one], room.until[two], room.opening):
                continue
            wished = room.opening if job.wished in (one, two) else 0
            rank = (abs(ready[one] - ready[two]) - wished, -start)
            if found is None or rank < best:
                best, found = rank, (one, two)
    return found


def _lay(room: Room, meant: list[Meant]) -> list[Slot] | None:
    """By the clock: each visit to the bay that is free first, its people as they are free."""
    bays, free, slots = [0] * room.bays, [0] * len(room.until), []
    for _, jobs in sorted(meant, key=lambda one: one[0]):
        bay = bays.index(min(bays))
        at, setup = bays[bay], room.setup
        for job, crew in jobs:
            for place in crew:
                at = max(at, free[place])
            start = at + setup
            at, setup = start + job.minutes, 0
            if at > room.opening:
                return None
            for place in crew:
                if at > room.until[place]:
                    return None
                free[place] = at
            slots.append(Slot(job.piece, bay, start, crew))
        bays[bay] = at
    return slots
