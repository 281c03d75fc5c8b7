"""A day laid out around its work for two: one pair does it in one go, the rest packs exactly.

Where a vehicle has work for one and for two, one person begins alone, so that the set-up takes one;
the pair comes when both are free. What makes them wait for each other is what keeps days from being
full, so ways in which nobody waits longer than there are minutes to spare are gone through.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations, islice, product

from fleet.calc.planning.slots import Room, Slot, Visit, chance_of
from fleet.calc.planning.ways import Alone, Mixed, Pair, Way

#: Ways that are gone into; with patience so many times more.
WAYS, PATIENCE = 24, 8
#: Work that fills the time of one while the other begins alone: so many choices are gone into.
MATCHES = 3
#: A second pair takes some of the work for two, or who helps changes: so many sharings are gone
#: into, each with about half of that work.
SPLITS, SWITCHES, HALF = 4, 12, 0.5
#: Who helps can change where there is a third.
THREE = 3

Split = tuple[Pair | None, frozenset[int]]


def around_pairs(room: Room, visits: Sequence[Visit], patient: bool = False) -> list[Slot] | None:
    """Lay the visits out around the work for two, or None where no way tried fits."""
    day = _Day(room, visits)
    if day.spare < 0 or not day.possible:
        return None
    most = WAYS * (PATIENCE if patient else 1)
    for way in islice(day.ways(), most):
        slots = way.finished(room, day.until)
        if slots is not None:
            return slots
    return None


class _Day:
    def __init__(self, room: Room, visits: Sequence[Visit]) -> None:
        self.room = room
        self.until = [min(minute, room.opening) for minute in room.until]
        self.alone: list[Alone] = []
        self.mixed: list[Mixed] = []
        self.paired: list[Visit] = []
        self.possible = True
        for visit in visits:
            self._sort(visit)
        self.draw = chance_of(visits)
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
            self.mixed.append(Mixed(one, two, able, own, sum(job.minutes for job in two)))
        else:
            self.alone.append(Alone(one, able, own))

    def _block(self, visit: Visit) -> int:
        return self.room.setup + sum(job.minutes for job in visit)

    def _empty(self) -> Way:
        return Way([0] * len(self.until), list(self.alone), self.room.setup)

    def ways(self) -> Iterator[Way]:
        """Ways to do the work for two, in which nobody waits longer than there is to spare."""
        people = range(len(self.until))
        if not self.paired and not self.mixed:
            yield self._empty()
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

    def _splits(self, pair: Pair) -> Iterator[Split]:
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

    def _ways_of(self, pair: Pair, split: Split) -> Iterator[Way]:
        """Who begins the visits with work for one and two, the pair or others."""
        people = range(len(self.until))
        choices = [
            sorted(one.able & set(people), key=lambda p: (p in pair, self.draw.random()))
            for one in self.mixed
        ]
        for who in islice(product(*choices), WAYS):
            yield from self._begun(pair, split, who)

    def _begun(self, pair: Pair, split: Split, who: tuple[int, ...]) -> Iterator[Way]:
        way = self._empty()
        second, theirs = split
        if second is not None:
            way.blocks(second, [self.paired[n] for n in sorted(theirs)])
        ready: dict[int, int] = {}
        for nth in sorted(range(len(who)), key=lambda n: self.mixed[n].before):
            if who[nth] not in pair:
                way.begun.setdefault(who[nth], [])
                way.free[who[nth]] += self.mixed[nth].before
                ready[nth] = way.free[who[nth]]
        own = [n for n in range(len(who)) if who[n] in pair]
        for opened in self._openings(way, pair, own, who):
            opened.blocks(pair, [v for n, v in enumerate(self.paired) if n not in theirs])
            for nth in sorted(ready, key=lambda n: ready[n]):
                opened.join(pair, self.mixed[nth], who[nth], ready[nth])
            yield opened
        if not own and ready:
            yield from self._waited(way, pair, theirs, who, ready)

    def _switched(self) -> Iterator[Way]:
        """One stays with the work for two; who helps changes once, after other work."""
        people = range(len(self.until))
        for _ in range(SWITCHES if len(people) >= THREE else 0):
            anchor, first, second = self.draw.sample(people, 3)
            able = [n for n, v in enumerate(self.paired) if _can(v, (anchor, first))]
            early = {n for n in able if self.draw.random() < HALF}
            late = [v for n, v in enumerate(self.paired) if n not in early]
            joined = [*late, *(one.paired for one in self.mixed)]
            begins = all(first in one.able for one in self.mixed)
            if not early or not begins or not all(_can(v, (anchor, second)) for v in joined):
                continue
            way = self._empty()
            way.blocks((anchor, first), [self.paired[n] for n in sorted(early)])
            for items in self._matches(way.alone, second, way.free[anchor]):
                after = way.copy()
                after.fill(second, items)
                after.blocks((anchor, second), late)
                for nth in sorted(range(len(self.mixed)), key=lambda n: self.mixed[n].before):
                    after.free[first] += self.mixed[nth].before
                    after.join((anchor, second), self.mixed[nth], first, after.free[first])
                yield after

    def _waited(
        self, way: Way, pair: Pair, theirs: frozenset[int], who: tuple[int, ...],
        ready: dict[int, int],
    ) -> Iterator[Way]:  # fmt: skip
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
            after = way.copy()
            after.fill(pair[0], mine)
            after.fill(pair[1], yours)
            after.blocks(pair, blocks)
            for nth in sorted(ready, key=lambda n: ready[n]):
                after.join(pair, self.mixed[nth], who[nth], ready[nth])
            yield after

    def _alike(
        self, alone: list[Alone], pair: Pair, least: int
    ) -> list[tuple[list[Alone], list[Alone]]]:
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
        self, way: Way, pair: Pair, own: list[int], who: tuple[int, ...]
    ) -> Iterator[Way]:
        """One of the pair begins alone; the other meanwhile does something of about that length."""
        if not own:
            yield way.copy()
            return
        nth, rest = own[0], own[1:]
        begins = who[nth]
        other = pair[1] if begins == pair[0] else pair[0]
        for items in self._matches(way.alone, other, self.mixed[nth].before):
            after = way.copy()
            after.fill(other, items)
            after.free[begins] += self.mixed[nth].before
            after.join(pair, self.mixed[nth], begins, after.free[begins])
            yield from self._openings(after, pair, rest, who)

    def _matches(self, alone: list[Alone], person: int, length: int) -> list[list[Alone]]:
        able = [one for one in alone if person in one.able]
        found: list[tuple[int, int, list[Alone]]] = [(length, 0, [])]
        for many in (1, 2):
            for chosen in combinations(able, many):
                lost = abs(sum(one.minutes for one in chosen) - length)
                found.append((lost, many, list(chosen)))
        found.sort(key=lambda each: each[:2])
        return [chosen for lost, _, chosen in found[:MATCHES] if lost <= self.spare]


def _can(visit: Visit, pair: Pair) -> bool:
    return all(person in job.can for job in visit for person in pair)
