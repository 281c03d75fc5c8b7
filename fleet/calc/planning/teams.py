"""A day laid out around its work for two: one pair does it in one go, the rest packs exactly.

Where a vehicle has work for one and for two, one person begins alone, so that the set-up takes one;
the pair comes when both are free. What makes them wait for each other is what keeps days from being
full, so ways in which nobody waits longer than there are minutes to spare are gone through.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, islice, product
from random import Random

from fleet.calc.planning.packing import shared_out
from fleet.calc.planning.slots import Job, Room, Slot, Visit

#: Ways that are gone into; with patience so many times more.
WAYS, PATIENCE = 24, 8
#: Work that fills the time of one while the other begins alone: so many choices are gone into.
MATCHES = 3
#: A second pair takes some of the work for two, or who helps changes: so many sharings are gone
#: into, each with about half of that work.
SPLITS, SWITCHES, HALF = 4, 12, 0.5

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class _Alone:
    """A visit that one person does from end to end."""

    visit: Visit
    able: frozenset[int]
    minutes: int


@dataclass(frozen=True, slots=True)
class _Mixed:
    """A visit with work for one, done first with the set-up, and work for two."""

    first: Visit
    paired: Visit
    able: frozenset[int]
    before: int
    minutes: int


@dataclass(slots=True)
class _Way:
    """A day in the making: what each does from which minute, and what is still to be shared out."""

    free: list[int]
    alone: list[_Alone]
    #: (visit, job, minute at which hands begin, people, set-up before it)
    laid: list[tuple[int, Job, int, tuple[int, ...], int]] = field(default_factory=list)
    #: Of others than the pair: minutes up to which a beginning may wait.
    begun: dict[int, list[tuple[int, _Mixed]]] = field(default_factory=dict)


def around_pairs(room: Room, visits: Sequence[Visit], patient: bool = False) -> list[Slot] | None:
    """Lay the visits out around the work for two, or None where no way tried fits."""
    day = _Day(room, visits)
    if day.spare < 0 or not day.possible:
        return None
    most = WAYS * (PATIENCE if patient else 1)
    for way in islice(day.ways(), most):
        slots = day.finished(way)
        if slots is not None:
            return slots
    return None


class _Day:
    def __init__(self, room: Room, visits: Sequence[Visit]) -> None:
        self.room = room
        self.until = [min(minute, room.opening) for minute in room.until]
        self.alone: list[_Alone] = []
        self.mixed: list[_Mixed] = []
        self.paired: list[Visit] = []
        self.possible = True
        for visit in visits:
            self._sort(visit)
        self.draw = Random(sum(j.piece * 31 + j.minutes for v in visits for j in v))  # noqa: S311
        hands = sum(one.minutes for one in self.alone)
        hands += sum(one.before + 2 * one.minutes for one in self.mixed)
        hands += sum(2 * self._block(visit) for visit in self.paired)
        self.spare = sum(self.until) - hands

    def _sort(self, visit: Visit) -> None:
        one = tuple(job for job in visit if job.people == 1)
        two = tuple(job for job in visit if job.people > 1)
        able = frozenset(one[0].can).intersection(*(job.can for job in one)) if one else frozenset()
        own = sum(job.minutes for job in one) + self.room.setup
        if not one:
            self.paired.append(two)
        elif not able:
            self.possible = False
        elif two:
            self.mixed.append(_Mixed(one, two, able, own, sum(job.minutes for job in two)))
        else:
            self.alone.append(_Alone(one, able, own))

    def _block(self, visit: Visit) -> int:
        return self.room.setup + sum(job.minutes for job in visit)

    def ways(self) -> Iterator[_Way]:
        """Ways to do the work for two, in which nobody waits longer than there is to spare."""
        people = range(len(self.until))
        if not self.paired and not self.mixed:
            yield _Way([0] * len(self.until), list(self.alone))
            return
        can = set(people).intersection(
            *(j.can for v in self.paired for j in v), *(j.can for m in self.mixed for j in m.paired)
        )
        pairs = list(combinations(sorted(can), 2))
        self.draw.shuffle(pairs)
        ways = [self._ways_of(pair, others) for pair in pairs for others in self._splits(pair)]
        ways.append(self._switched())
        # A few of each by turns.
        while ways:
            for one in list(ways):
                way = next(one, None)
                if way is None:
                    ways.remove(one)
                else:
                    yield way

    def _splits(self, pair: Pair) -> Iterator[tuple[Pair | None, frozenset[int]]]:
        """What a second pair takes: nothing, or some visits that are all for two."""
        whole = sum(self._block(v) for v in self.paired) + sum(m.minutes for m in self.mixed)
        if whole <= min(self.until[p] for p in pair):
            yield None, frozenset()
        seconds = list(combinations([p for p in range(len(self.until)) if p not in pair], 2))
        if not seconds or not self.paired:
            return
        for _ in range(SPLITS):
            second = self.draw.choice(seconds)
            able = [n for n, v in enumerate(self.paired) if _can(v, second)]
            chosen = frozenset(n for n in able if self.draw.random() < HALF)
            if chosen:
                yield second, chosen

    def _ways_of(
        self, pair: Pair, split: tuple[Pair | None, frozenset[int]]
    ) -> Iterator[_Way]:
        """Who begins the visits with work for one and two, the pair or others."""
        people = range(len(self.until))
        choices = [
            sorted(one.able & set(people), key=lambda p: (p in pair, self.draw.random()))
            for one in self.mixed
        ]
        for who in islice(product(*choices), WAYS):
            yield from self._begun(pair, split, who)

    def _begun(
        self, pair: Pair, split: tuple[Pair | None, frozenset[int]], who: tuple[int, ...]
    ) -> Iterator[_Way]:
        way = _Way([0] * len(self.until), list(self.alone))
        second, theirs = split
        if second is not None:
            self._blocks(way, second, [self.paired[n] for n in sorted(theirs)])
        ready: dict[int, int] = {}
        for nth in sorted(range(len(who)), key=lambda n: self.mixed[n].before):
            if who[nth] not in pair:
                way.begun.setdefault(who[nth], [])
                way.free[who[nth]] += self.mixed[nth].before
                ready[nth] = way.free[who[nth]]
        own = [n for n in range(len(who)) if who[n] in pair]
        for opened in self._openings(way, pair, own, who):
            self._blocks(
                opened, pair, [v for n, v in enumerate(self.paired) if n not in theirs]
            )
            for nth in sorted(ready, key=lambda n: ready[n]):
                self._join(opened, pair, nth, who[nth], ready[nth])
            yield opened
        if not own and ready:
            yield from self._waited(way, pair, theirs, who, ready)

    def _switched(self) -> Iterator[_Way]:
        """One stays with the work for two; who helps changes once, and has done other work before."""
        people = range(len(self.until))
        for _ in range(SWITCHES if len(people) > 2 else 0):  # noqa: PLR2004 - who changes is a third
            anchor, first, second = self.draw.sample(people, 3)
            able = [n for n, v in enumerate(self.paired) if _can(v, (anchor, first))]
            early = {n for n in able if self.draw.random() < HALF}
            late = [v for n, v in enumerate(self.paired) if n not in early]
            joined = [*late, *(one.paired for one in self.mixed)]
            begins = all(first in one.able for one in self.mixed)
            if not early or not begins or not all(_can(v, (anchor, second)) for v in joined):
                continue
            way = _Way([0] * len(self.until), list(self.alone))
            self._blocks(way, (anchor, first), [self.paired[n] for n in sorted(early)])
            for items in self._matches(way.alone, second, way.free[anchor]):
                after = self._copy(way)
                self._fill(after, second, items)
                self._blocks(after, (anchor, second), late)
                for nth in sorted(range(len(self.mixed)), key=lambda n: self.mixed[n].before):
                    after.free[first] += self.mixed[nth].before
                    self._join(after, (anchor, second), nth, first, after.free[first])
                yield after

    def _waited(
        self, way: _Way, pair: Pair, theirs: frozenset[int], who: tuple[int, ...],
        ready: dict[int, int],
    ) -> Iterator[_Way]:  # fmt: skip
        """The pair first does something alone each, so that what others begin is ready."""
        blocks = [v for n, v in enumerate(self.paired) if n not in theirs]
        at = sum(self._block(v) for v in blocks)
        waits = 0
        for nth in sorted(ready, key=lambda n: ready[n]):
            waits = max(waits, ready[nth] - at)
            at = max(at, ready[nth]) + self.mixed[nth].minutes
        if waits <= 0:
            return
        for mine, yours in self._alike(way.alone, pair, waits):
            after = self._copy(way)
            self._fill(after, pair[0], mine)
            self._fill(after, pair[1], yours)
            self._blocks(after, pair, blocks)
            for nth in sorted(ready, key=lambda n: ready[n]):
                self._join(after, pair, nth, who[nth], ready[nth])
            yield after

    def _alike(
        self, alone: list[_Alone], pair: Pair, least: int
    ) -> list[tuple[list[_Alone], list[_Alone]]]:
        """Work of about the same length for both, not much shorter than asked."""
        found = []
        for one, two in combinations(alone, 2):
            longer = max(one.minutes, two.minutes)
            lost = abs(one.minutes - two.minutes) + 2 * max(least - longer, 0)
            if lost <= self.spare:
                for mine, yours in ((one, two), (two, one)):
                    if pair[0] in mine.able and pair[1] in yours.able:
                        found.append((lost, longer, [mine], [yours]))
                        break
        found.sort(key=lambda each: each[:2])
        return [(mine, yours) for _, _, mine, yours in found[:MATCHES]]

    def _openings(
        self, way: _Way, pair: Pair, own: list[int], who: tuple[int, ...]
    ) -> Iterator[_Way]:
        """One of the pair begins alone; the other meanwhile does something of about that length."""
        if not own:
            yield self._copy(way)
            return
        nth, rest = own[0], own[1:]
        begins = who[nth]
        other = pair[1] if begins == pair[0] else pair[0]
        for items in self._matches(way.alone, other, self.mixed[nth].before):
            after = self._copy(way)
            self._fill(after, other, items)
            after.free[begins] += self.mixed[nth].before
            self._join(after, pair, nth, begins, after.free[begins])
            yield from self._openings(after, pair, rest, who)

    def _matches(self, alone: list[_Alone], person: int, length: int) -> list[list[_Alone]]:
        able = [one for one in alone if person in one.able]
        found: list[tuple[int, int, list[_Alone]]] = [(length, 0, [])]
        for many in (1, 2):
            for chosen in combinations(able, many):
                lost = abs(sum(one.minutes for one in chosen) - length)
                found.append((lost, many, list(chosen)))
        found.sort(key=lambda each: each[:2])
        return [chosen for lost, _, chosen in found[:MATCHES] if lost <= self.spare]

    def _copy(self, way: _Way) -> _Way:
        begun = {person: list(ones) for person, ones in way.begun.items()}
        return _Way(list(way.free), list(way.alone), list(way.laid), begun)

    def _fill(self, way: _Way, person: int, items: list[_Alone]) -> None:
        for one in items:
            way.alone.remove(one)
            self._lay_alone(way, person, one.visit)

    def _lay_alone(self, way: _Way, person: int, visit: Visit) -> None:
        setup = self.room.setup
        for job in visit:
            start = way.free[person] + setup
            way.laid.append((visit[0].piece, job, start, (person,), setup))
            way.free[person], setup = start + job.minutes, 0

    def _blocks(self, way: _Way, pair: Pair, visits: list[Visit]) -> None:
        for visit in visits:
            at, setup = max(way.free[p] for p in pair), self.room.setup
            for job in visit:
                way.laid.append((visit[0].piece, job, at + setup, pair, setup))
                at, setup = at + setup + job.minutes, 0
            for person in pair:
                way.free[person] = at

    def _join(self, way: _Way, pair: Pair, nth: int, who: int, ready: int) -> None:
        """The pair takes on what one has begun, as soon as it is ready and both are free."""
        mixed = self.mixed[nth]
        at = max(ready, *(way.free[p] for p in pair))
        if who in pair:
            self._lay_first(way, mixed, who, ready)
        else:
            way.begun.setdefault(who, []).append((at, mixed))
        for job in mixed.paired:
            way.laid.append((mixed.first[0].piece, job, at, pair, 0))
            at += job.minutes
        for person in pair:
            way.free[person] = at

    def _lay_first(self, way: _Way, mixed: _Mixed, who: int, end: int) -> None:
        at, setup = end - mixed.before, self.room.setup
        for job in mixed.first:
            way.laid.append((mixed.first[0].piece, job, at + setup, (who,), setup))
            at, setup = at + setup + job.minutes, 0

    def finished(self, way: _Way) -> list[Slot] | None:
        """Share out what is for one alone, and give each visit a bay."""
        left = [until - free for until, free in zip(self.until, way.free, strict=True)]
        if min(left) < 0:
            return None
        items = sorted(way.alone, key=lambda one: -one.minutes)
        who = shared_out([one.minutes for one in items], [one.able for one in items], left)
        if who is None:
            return None
        mine: dict[int, list[_Alone]] = {}
        for person, one in zip(who, items, strict=True):
            mine.setdefault(person, []).append(one)
        for person in range(len(left)):
            self._rest_of_day(way, person, mine.get(person, []))
        return _bays(self.room, way.laid)

    def _rest_of_day(self, way: _Way, person: int, items: list[_Alone]) -> None:
        """What one has begun for others as late as the pair needs it, the rest before and after."""
        begun = sorted(way.begun.get(person, []), key=lambda one: one[0])
        way.free[person] -= sum(mixed.before for _, mixed in begun)
        for nth, (needed, mixed) in enumerate(begun):
            after, latest = 0, needed
            for later, other in begun[nth + 1 :]:
                after += other.before
                latest = min(latest, later - after)
            for one in list(items):
                if way.free[person] + one.minutes + mixed.before <= latest:
                    items.remove(one)
                    self._lay_alone(way, person, one.visit)
            way.free[person] += mixed.before
            self._lay_first(way, mixed, person, way.free[person])
        for one in items:
            self._lay_alone(way, person, one.visit)


def _can(visit: Visit, pair: Pair) -> bool:
    return all(person in job.can for job in visit for person in pair)


def _bays(
    room: Room, laid: list[tuple[int, Job, int, tuple[int, ...], int]]
) -> list[Slot] | None:
    """A bay for each visit from its set-up to its end, or None where there are too few."""
    begin: dict[int, int] = {}
    end: dict[int, int] = {}
    for visit, job, start, _, setup in laid:
        begin[visit] = min(begin.get(visit, start), start - setup)
        end[visit] = max(end.get(visit, 0), start + job.minutes)
    free, bay_of = [0] * room.bays, dict[int, int]()
    for visit in sorted(begin, key=lambda v: (begin[v], end[v])):
        # The bay that was free last, so that others stay open for long.
        bays = [bay for bay in range(room.bays) if free[bay] <= begin[visit]]
        if not bays:
            return None
        bay_of[visit] = max(bays, key=lambda bay: free[bay])
        free[bay_of[visit]] = end[visit]
    return [Slot(job.piece, bay_of[visit], start, crew) for visit, job, start, crew, _ in laid]
