"""The best plan there can be, by trying everything; shares nothing with the planner.

Days late are those of the description in `plan_visits`: whole after the likely day, a quarter
between the early and the likely day, counted inside the plan, left out = a week after its end.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache
from itertools import combinations, product

from fleet.calc.planning import Work, Yard
from tests.calc.planning.asks import Ask

#: For each vehicle: bay, the minute it is free again, what is still to be done on it.
Started = tuple[str, int, int, frozenset[str]]


def best(ask: Ask) -> tuple[float, float]:
    """Return least weighted days late of hold work and, with that, of the rest."""
    choices = [[*ask.days, None] for _ in ask.work]
    found = [(_late(ask, way), way) for way in product(*choices) if _calendar(ask, way)]
    ways = sorted(found, key=lambda one: one[0])
    return next(late for late, way in ways if _keeps(ask, way))


def days_late(work: Work, first: date, day: date) -> float:
    late = 0.0
    low = work.due_low or work.due
    while first < day:
        if day > work.due:
            late += 1
        elif day > low:
            late += 0.25
        day -= timedelta(days=1)
    return late


def _late(ask: Ask, way: tuple[date | None, ...]) -> tuple[float, float]:
    after = ask.days[-1] + timedelta(days=7)
    hold = rest = 0.0
    for one, day in zip(ask.work, way, strict=True):
        late = one.weight * days_late(one, ask.days[0], day or after)
        if day is None and late == 0:
            late = one.weight
        hold, rest = (hold + late, rest) if one.holds else (hold, rest + late)
    return hold, rest


def _calendar(ask: Ask, way: tuple[date | None, ...]) -> bool:
    return not any(
        day and (day in ask.standing.away.get(one.vehicle, ()) or day < (one.earliest or day))
        for one, day in zip(ask.work, way, strict=True)
    )


def _keeps(ask: Ask, way: tuple[date | None, ...]) -> bool:
    return all(
        _day_keeps(ask, day, frozenset(n for n, at in enumerate(way) if at == day))
        for day in ask.days
    )


def _day_keeps(ask: Ask, day: date, numbers: frozenset[int]) -> bool:
    """Whether there is a sharing of people among yards with which the day holds this work."""
    works = [ask.work[number] for number in sorted(numbers)]
    if any(a.vehicle == b.vehicle and a.yard != b.yard for a, b in combinations(works, 2)):
        return False
    homes = [sorted({person.home, *person.yards}) for person in ask.people]
    return any(_sharing_keeps(ask, day, works, where) for where in product(*homes))


def _sharing_keeps(ask: Ask, day: date, works: list[Work], where: tuple[str, ...]) -> bool:
    for yard in ask.yards:
        mine = [one for one in works if one.yard == yard.key]
        crew = [p for p, at in zip(ask.people, where, strict=True) if at == yard.key]
        people = tuple((min(p.minutes[day], yard.opening[day]), p.skills) for p in crew)
        if mine and not yard_keeps(yard, yard.opening[day], tuple(mine), people):
            return False
    return True


@cache
def _subsets(number: int, people: int) -> tuple[tuple[int, ...], ...]:
    return tuple(combinations(range(number), people))


def yard_keeps(
    yard: Yard,
    opening: int,
    works: tuple[Work, ...],
    people: tuple[tuple[int, frozenset[str]], ...],
) -> bool:
    """Whether some order of the work, bays and people fits into the day."""
    by_key = {one.key: one for one in works}

    def go(left: frozenset[str], open_visits: tuple[Started, ...], bays: tuple[int, ...],
           free: tuple[int, ...]) -> bool:  # fmt: skip
        if not left:
            return True
        for key in sorted(left):
            for start in starts(by_key[key], open_visits, bays, left, free):
                if go(left - {key}, *start):
                    return True
        return False

    def starts(
        one: Work, visits: tuple[Started, ...], bays: tuple[int, ...], left: frozenset[str],
        free: tuple[int, ...],
    ) -> Iterator[tuple[tuple[Started, ...], tuple[int, ...], tuple[int, ...]]]:  # fmt: skip
        running = [visit for visit in visits if visit[0] == one.vehicle]
        busy = {visit[1] for visit in visits}
        others = tuple(visit for visit in visits if visit[0] != one.vehicle)
        places = [(visit[1], visit[2], 0) for visit in running] or [
            (bay, at, yard.setup_minutes) for bay, at in enumerate(bays) if bay not in busy
        ]
        more = frozenset(k for k in left if by_key[k].vehicle == one.vehicle and k != one.key)
        for (bay, at, setup), crew in product(places, _subsets(len(people), one.people)):
            end = max(at, *(free[p] for p in crew)) + setup + one.minutes
            if end > opening or any(
                end > people[p][0] or not one.skills <= people[p][1] for p in crew
            ):
                continue
            after = tuple(end if p in crew else minute for p, minute in enumerate(free))
            now_bays = tuple(end if n == bay else minute for n, minute in enumerate(bays))
            visit = ((one.vehicle, bay, end, more),) if more else ()
            yield others + visit, now_bays, after

    return go(frozenset(by_key), (), (0,) * yard.bays, (0,) * len(people))
