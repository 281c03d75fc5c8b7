"""Whether a plan keeps every limit, from what was asked alone: nothing of the planner is used."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from itertools import pairwise

from fleet.calc.planning import Assignment, Person, Pin, Plan, Standing, Work, Yard

Span = tuple[int, int, str]


def broken(
    plan: Plan,
    work: Sequence[Work],
    yards: Sequence[Yard],
    people: Sequence[Person],
    days: Sequence[date],
    standing: Standing | None = None,
) -> list[str]:
    """Return what the plan breaks, in words; nothing when it keeps everything."""
    standing = standing or Standing()
    by_key = {one.key: one for one in work}
    yard_of = {yard.key: yard for yard in yards}
    found = [*_once(plan, by_key)]
    free = [one for one in plan.assignments if (one.yard, one.day) not in standing.locked]
    for one in free:
        found += _alone(one, by_key[one.work], yard_of[one.yard], days, standing)
        found += _who(one, by_key[one.work], people, yard_of)
    found += _pins(plan.assignments, standing.pins, by_key, standing)
    found += _locks(plan.assignments, standing, by_key)
    found += _bays(plan.assignments, yard_of, standing)
    found += _persons(plan.assignments, people, yard_of, standing)
    return found


def _once(plan: Plan, work: dict[str, Work]) -> Iterable[str]:
    told = [one.work for one in plan.assignments] + [one.work for one in plan.unplaced]
    if sorted(told) != sorted(work):
        yield f"not each work once: {sorted(told)} for {sorted(work)}"


def _alone(
    one: Assignment, work: Work, yard: Yard, days: Sequence[date], standing: Standing
) -> Iterable[str]:
    if one.day not in days or not yard.opening.get(one.day):
        yield f"{one.work} on a day that is closed or not of the plan"
    if one.vehicle != work.vehicle or one.minutes != work.minutes:
        yield f"{one.work} is not as asked"
    pinned = {pin.work for pin in standing.pins}
    if one.work not in pinned and one.yard != work.yard:
        yield f"{one.work} in another yard"
    if one.day in standing.away.get(work.vehicle, ()):
        yield f"{one.work} while the vehicle is away"
    if work.earliest and one.day < work.earliest:
        yield f"{one.work} before its earliest day"
    if not 1 <= one.bay <= yard.bays:
        yield f"{one.work} in a bay that is not there"
    if one.start < 0 or one.start + one.minutes > yard.opening.get(one.day, 0):
        yield f"{one.work} outside the opening minutes"


def _who(
    one: Assignment, work: Work, people: Sequence[Person], yards: dict[str, Yard]
) -> Iterable[str]:
    if len(set(one.people)) != work.people:
        yield f"{one.work} by {one.people} and takes {work.people}"
    for person in people:
        if person.key in one.people:
            if not work.skills <= person.skills:
                yield f"{person.key} lacks the skill for {one.work}"
            yield from _may_be_there(person, yards[one.yard], one.day)
    if not set(one.people) <= {person.key for person in people}:
        yield f"{one.work} by somebody unknown"


def _may_be_there(person: Person, yard: Yard, day: date) -> Iterable[str]:
    if person.home != yard.key:
        if yard.key not in person.yards:
            yield f"{person.key} does not work at {yard.key}"
        if yard.trip_days is not None and day not in yard.trip_days:
            yield f"{person.key} at {yard.key} on no trip day"


def _pins(
    told: Sequence[Assignment], pins: Sequence[Pin], work: dict[str, Work], standing: Standing
) -> Iterable[str]:
    by_work = {one.work: one for one in told}
    locked = {one.work for one in standing.previous if (one.yard, one.day) in standing.locked}
    for pin in pins:
        if pin.work not in work or pin.work in locked:
            continue
        one = by_work.get(pin.work)
        if one is None or one.day != pin.day or one.yard != (pin.yard or work[pin.work].yard):
            yield f"pin of {pin.work} not kept"
        elif pin.people and set(pin.people) != set(one.people):
            yield f"people of the pin of {pin.work} not kept"


def _locks(told: Sequence[Assignment], standing: Standing, work: dict[str, Work]) -> Iterable[str]:
    was = {
        one for one in standing.previous
        if (one.yard, one.day) in standing.locked and one.work in work
    }  # fmt: skip
    if was != {one for one in told if (one.yard, one.day) in standing.locked}:
        yield "a locked day is not as it was"


def _bays(
    told: Sequence[Assignment], yards: dict[str, Yard], standing: Standing
) -> Iterable[str]:  # fmt: skip
    """One vehicle in a bay at a time, one visit of a vehicle a day, the set-up before it."""
    visits = defaultdict(list)
    for one in told:
        visits[one.vehicle, one.day].append(one)
    spans: dict[tuple[str, date, int], list[Span]] = defaultdict(list)
    for (vehicle, day), parts in visits.items():
        if len({(one.yard, one.bay) for one in parts}) != 1:
            yield f"{vehicle} in two places on {day}"
        setup = yards[parts[0].yard].setup_minutes
        start = min(one.start for one in parts) - setup
        end = max(one.start + one.minutes for one in parts)
        if start < 0:
            yield f"no minutes for the set-up of {vehicle} on {day}"
        spans[parts[0].yard, day, parts[0].bay].append((start, end, vehicle))
        yield from _apart(f"{vehicle} on {day}", [_span(one) for one in parts])
    for (yard, day, bay), stays in spans.items():
        yield from _apart(f"bay {bay} of {yard} on {day}", stays)
    for yard, day, bay in spans:
        here = sorted(
            (one.start, one.order) for one in told
            if (one.yard, one.day, one.bay) == (yard, day, bay)
        )  # fmt: skip
        if (yard, day) not in standing.locked and [order for _, order in here] != list(
            range(1, len(here) + 1)
        ):
            yield f"order in bay {bay} of {yard} on {day}"


def _span(one: Assignment) -> Span:
    return (one.start, one.start + one.minutes, one.work)


def _apart(where: str, spans: list[Span]) -> Iterable[str]:
    ordered = sorted(spans)
    for (_, end, first), (start, _, second) in pairwise(ordered):
        if start < end:
            yield f"{first} and {second} at once: {where}"


def _persons(
    told: Sequence[Assignment], people: Sequence[Person], yards: dict[str, Yard],
    standing: Standing,
) -> Iterable[str]:  # fmt: skip
    """One yard a day, one piece of work at a time, within their minutes less the travel."""
    firsts: dict[tuple[str, date], Assignment] = {}
    for one in sorted(told, key=lambda one: one.start):
        firsts.setdefault((one.vehicle, one.day), one)
    crews: dict[tuple[str, date], set[str]] = defaultdict(set)
    for person in people:
        days = defaultdict(list)
        for one in told:
            if person.key in one.people:
                days[one.day].append(one)
        for day, parts in days.items():
            where = {one.yard for one in parts}
            if len(where) != 1:
                yield f"{person.key} in two yards on {day}"
            yard = yards[parts[0].yard]
            if (yard.key, day) in standing.locked:
                continue
            if person.home != yard.key:
                crews[yard.key, day].add(person.key)
            away = 0 if person.home == yard.key else yard.travel_minutes
            if max(one.start + one.minutes for one in parts) > person.minutes.get(day, 0) - away:
                yield f"{person.key} beyond their minutes on {day}"
            spans = [_span(one) for one in parts]
            spans += [
                (one.start - yard.setup_minutes, one.start, f"set-up for {one.work}")
                for one in parts
                if firsts[one.vehicle, day] is one
            ]
            yield from _apart(f"{person.key} on {day}", spans)
    for (key, day), crew in crews.items():
        most = yards[key].crew
        if most is not None and len(crew) > most:
            yield f"{len(crew)} people from elsewhere at {key} on {day}"
