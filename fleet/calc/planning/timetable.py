"""One yard on one day: in which bay, when, and by whom, so that nobody is in two places at once."""

from collections import Counter
from collections.abc import Iterator, Sequence

from fleet.calc.planning.dispatch import run
from fleet.calc.planning.slots import Job, Room, Slot, Visit, chance_of
from fleet.calc.planning.teams import around_pairs

#: Orders by chance that are tried last; more where more than so many people are there, as then the
#: ways around the work for two take too long; with patience so many.
BY_CHANCE, MANY, BY_CHANCE_OF_MANY, PATIENT = 1, 4, 8, 96
#: Ways to fill one person's minutes that are gone into.
MOST_CHOICES = 6


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
    by the clock with the bays. Or the day is run as it comes. Where a first order of these does not
    fit, ways around the work for two are gone through (`teams.py`), then other orders. The people
    of the first work of a visit do its set-up.
    """
    for nth, order in enumerate(_orders(room, visits, patient)):
        if nth == 1 and len(room.until) <= MANY:
            found = around_pairs(room, visits, patient)
            if found is not None:
                return found
        for share in (_longest_first, _person_by_person):
            meant = share(room, order)
            slots = meant and _lay(room, meant)
            if slots:
                return slots
        ran = run(room, order)
        if ran is not None:
            return ran
    return [] if not visits else None


def _orders(room: Room, visits: Sequence[Visit], patient: bool) -> Iterator[list[Visit]]:
    pairs_first = [tuple(sorted(v, key=lambda j: (-j.people, len(j.can), j.piece))) for v in visits]
    # Pairs go from one vehicle to the next; where one stays on alone, it comes last of these.
    yield sorted(pairs_first, key=lambda v: (_kind(v), len(v[0].can) - _minutes(v) / 1000))
    yield sorted(pairs_first, key=lambda v: (_kind(v), -_minutes(v)))
    singles_first = [tuple(reversed(v)) for v in pairs_first]
    mixed = any(v[0].people != v[-1].people for v in visits)
    chance = chance_of(visits)
    by_chance = BY_CHANCE_OF_MANY if len(room.until) > MANY else BY_CHANCE
    for turn in range(PATIENT if patient else by_chance):
        drawn = list(singles_first if mixed and not turn % 2 else pairs_first)
        chance.shuffle(drawn)
        yield sorted(drawn, key=_kind) if turn % 4 else drawn


def _kind(visit: Visit) -> int:
    """0: all for two, 1: some, 2: all for one."""
    paired = sum(1 for job in visit if job.people > 1)
    return 2 if not paired else int(paired < len(visit))


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
    alone.sort(key=lambda one: -one[2])
    asked = Counter(place for _, able, _, _ in alone for place in able)
    places = sorted(range(len(free)), key=lambda p: (asked[p], p))
    left = {place: min(room.until[place], room.opening) - free[place] for place in places}
    shares = _filled(places, left, alone)
    if shares is None:
        return None
    for place, visits in shares:
        for _, _, own, visit in visits:
            meant.append((free[place], [(job, (place,)) for job in visit]))
            free[place] += own
    return meant


def _filled(
    places: list[int], left: dict[int, int], alone: list[Alone]
) -> list[tuple[int, list[Alone]]] | None:
    """Share visits out so that each person's minutes hold theirs: the fullest first, then others.

    Minutes that may stay empty are known, so that only shares that leave no more are looked at.
    """
    if not places:
        return None if alone else []
    spare = sum(left[place] for place in places) - sum(one[2] for one in alone)
    if spare < 0:
        return None
    place, others = places[0], places[1:]
    mine = [n for n, one in enumerate(alone) if place in one[1]]
    must = [n for n in mine if alone[n][1].isdisjoint(others)]
    for chosen in _sums(alone, mine, must, left[place] - spare, left[place]):
        rest = [one for n, one in enumerate(alone) if n not in chosen]
        shares = _filled(others, left, rest)
        if shares is not None:
            return [(place, [alone[n] for n in sorted(chosen)]), *shares]
    return None


def _sums(
    alone: list[Alone], mine: list[int], must: list[int], least: int, most: int
) -> list[frozenset[int]]:
    """A few choices of visits that add up to between least and most, with what must be in it."""
    base = sum(alone[n][2] for n in must)
    free = [n for n in mine if n not in must]
    after = [0] * (len(free) + 1)
    for nth in range(len(free) - 1, -1, -1):
        after[nth] = after[nth + 1] + alone[free[nth]][2]
    found: list[tuple[int, frozenset[int]]] = []
    stack = [(0, base, frozenset(must))]
    while stack and len(found) < MOST_CHOICES:
        nth, total, chosen = stack.pop()
        if total > most or total + after[nth] < least:
            continue
        if nth == len(free):
            found.append((total, chosen))
            continue
        stack.append((nth + 1, total, chosen))
        stack.append((nth + 1, total + alone[free[nth]][2], chosen | {free[nth]}))
    return [chosen for _, chosen in sorted(found, key=lambda one: -one[0])]


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
