"""One way to do a day: work for two laid by the minute, the rest shared out exactly, then bays."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from fleet.calc.planning.packing import shared_out
from fleet.calc.planning.slots import Job, Room, Slot, Visit

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Alone:
    """A visit that one person does from end to end, with its set-up."""

    visit: Visit
    able: frozenset[int]
    minutes: int


@dataclass(frozen=True, slots=True)
class Mixed:
    """A visit with work for one, done first and with the set-up, and then work for two."""

    first: Visit
    paired: Visit
    able: frozenset[int]
    before: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Laid:
    """A job at the minute where hands begin, with the set-up minutes before it."""

    visit: int
    job: Job
    start: int
    crew: tuple[int, ...]
    setup: int


@dataclass(slots=True)
class Way:
    """A day in the making.

    `free` has the minute from which each person is free, `alone` what is still to be shared out,
    and `begun`, for those who begin visits for a pair to take on, what and until when it is needed.
    """

    free: list[int]
    alone: list[Alone]
    setup: int
    laid: list[Laid] = field(default_factory=list)
    begun: dict[int, list[tuple[int, Mixed]]] = field(default_factory=dict)

    def copy(self) -> "Way":
        begun = {person: list(ones) for person, ones in self.begun.items()}
        return Way(list(self.free), list(self.alone), self.setup, list(self.laid), begun)

    def fill(self, person: int, items: Sequence[Alone]) -> None:
        """Let one do these next, alone."""
        for one in items:
            self.alone.remove(one)
            self._row(one.visit[0].piece, one.visit, (person,))

    def blocks(self, pair: Pair, visits: Sequence[Visit]) -> None:
        """Let two do these next, one visit after the other."""
        for visit in visits:
            for person in pair:
                self.free[person] = max(self.free[p] for p in pair)
            self._row(visit[0].piece, visit, pair)

    def join(self, pair: Pair, mixed: Mixed, who: int, ready: int) -> None:
        """Let two take on what one has begun, as soon as it is ready and both are free."""
        at = max(ready, *(self.free[person] for person in pair))
        if who in pair:
            self._begin(mixed, who, ready)
        else:
            self.begun.setdefault(who, []).append((at, mixed))
        for job in mixed.paired:
            self.laid.append(Laid(mixed.first[0].piece, job, at, pair, 0))
            at += job.minutes
        for person in pair:
            self.free[person] = at

    def _row(self, name: int, visit: Visit, crew: tuple[int, ...]) -> None:
        at, setup = self.free[crew[0]], self.setup
        for job in visit:
            self.laid.append(Laid(name, job, at + setup, crew, setup))
            at, setup = at + setup + job.minutes, 0
        for person in crew:
            self.free[person] = at

    def _begin(self, mixed: Mixed, who: int, end: int) -> None:
        at, setup = end - mixed.before, self.setup
        for job in mixed.first:
            self.laid.append(Laid(mixed.first[0].piece, job, at + setup, (who,), setup))
            at, setup = at + setup + job.minutes, 0

    def finished(self, room: Room, until: Sequence[int]) -> list[Slot] | None:
        """Share out what is for one alone, and give each visit a bay; None where that fails."""
        left = [minute - free for minute, free in zip(until, self.free, strict=True)]
        if min(left) < 0:
            return None
        items = sorted(self.alone, key=lambda one: -one.minutes)
        who = shared_out([one.minutes for one in items], [one.able for one in items], left)
        if who is None:
            return None
        for person in range(len(left)):
            mine = [one for taker, one in zip(who, items, strict=True) if taker == person]
            self._rest_of_day(person, mine)
        return _in_bays(room, self.laid)

    def _rest_of_day(self, person: int, items: list[Alone]) -> None:
        """What one begins for a pair as late as it is needed, so that few bays wait; the rest."""
        begun = sorted(self.begun.get(person, []), key=lambda one: one[0])
        self.free[person] -= sum(mixed.before for _, mixed in begun)
        for nth, (needed, mixed) in enumerate(begun):
            after, latest = 0, needed
            for later, other in begun[nth + 1 :]:
                after += other.before
                latest = min(latest, later - after)
            for one in list(items):
                if self.free[person] + one.minutes + mixed.before <= latest:
                    items.remove(one)
                    self.fill(person, [one])
            self.free[person] += mixed.before
            self._begin(mixed, person, self.free[person])
        self.fill(person, items)


def _in_bays(room: Room, laid: list[Laid]) -> list[Slot] | None:
    """A bay for each visit from its set-up to its end, or None where there are too few."""
    begin: dict[int, int] = {}
    end: dict[int, int] = {}
    for one in laid:
        begin[one.visit] = min(begin.get(one.visit, one.start), one.start - one.setup)
        end[one.visit] = max(end.get(one.visit, 0), one.start + one.job.minutes)
    free, bay_of = [0] * room.bays, dict[int, int]()
    for visit in sorted(begin, key=lambda visit: (begin[visit], end[visit])):
        bays = [bay for bay in range(room.bays) if free[bay] <= begin[visit]]
        if not bays:
            return None
        # The bay that was free last, so that others stay open for long.
        bay_of[visit] = max(bays, key=lambda bay: free[bay])
        free[bay_of[visit]] = end[visit]
    return [Slot(one.job.piece, bay_of[one.visit], one.start, one.crew) for one in laid]
