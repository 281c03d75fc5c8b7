"""A day laid out as it would run by itself: whoever is free takes what comes next."""

from collections import Counter
from dataclasses import dataclass

from fleet.calc.planning.slots import Job, Room, Slot, Visit


@dataclass(slots=True)
class _Bay:
    """Minute from which it is free, and what is still to be done on the vehicle in it."""

    at: int = 0
    left: tuple[Job, ...] = ()


def run(room: Room, order: list[Visit]) -> list[Slot] | None:
    """Run the day; work begun goes first, then the next visit in order that somebody can begin.

    Those who can do least of the day's work are taken first. None where somebody would stay late.
    """
    asked = Counter(place for visit in order for job in visit for place in job.can)
    free, bays = [0] * len(room.until), [_Bay() for _ in range(room.bays)]
    waiting, slots, now = list(order), list[Slot](), 0
    while waiting or any(bay.left for bay in bays):
        began = _go_on(room, bays, free, asked, now, slots) or _begin(
            room, bays, free, asked, now, slots, waiting
        )
        if not began:
            later = [minute for minute in free if minute > now]
            if not later:
                return None
            now = min(later)
    return slots


def _go_on(
    room: Room, bays: list[_Bay], free: list[int], asked: Counter[int], now: int, slots: list[Slot]
) -> bool:
    for number, bay in enumerate(bays):
        if bay.left and bay.at <= now:
            job = bay.left[0]
            crew = _crew(room, job, free, asked, now, 0)
            if crew:
                bay.at, bay.left = now + job.minutes, bay.left[1:]
                for place in crew:
                    free[place] = bay.at
                slots.append(Slot(job.piece, number, now, crew))
                return True
    return False


def _begin(
    room: Room, bays: list[_Bay], free: list[int], asked: Counter[int], now: int,
    slots: list[Slot], waiting: list[Visit],
) -> bool:  # fmt: skip
    number = next((n for n, bay in enumerate(bays) if not bay.left and bay.at <= now), -1)
    if number < 0:
        return False
    for nth, visit in enumerate(waiting):
        job = visit[0]
        crew = _crew(room, job, free, asked, now, room.setup)
        if crew:
            del waiting[nth]
            start = now + room.setup
            bays[number].at, bays[number].left = start + job.minutes, visit[1:]
            for place in crew:
                free[place] = start + job.minutes
            slots.append(Slot(job.piece, number, start, crew))
            return True
    return False


def _crew(
    room: Room, job: Job, free: list[int], asked: Counter[int], now: int, setup: int
) -> tuple[int, ...]:
    """Enough of those who are free and can do it to its end, or nobody."""
    end = now + setup + job.minutes
    if end > room.opening:
        return ()
    ready = [p for p in job.can if free[p] <= now and end <= room.until[p]]
    if len(ready) < job.people:
        return ()
    ready.sort(key=lambda place: (place != job.wished, asked[place], place))
    return tuple(ready[: job.people])
