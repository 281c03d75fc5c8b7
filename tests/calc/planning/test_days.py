"""A day by the clock: full days fit to the minute, and nothing laid out breaks a limit."""

from collections import defaultdict
from itertools import pairwise, product
from random import Random

import pytest

from fleet.calc.planning.packing import shared_out
from fleet.calc.planning.slots import Job, Room, Slot, Visit
from fleet.calc.planning.teams import around_pairs
from fleet.calc.planning.timetable import fit

EACH = (0, 1, 2)


@pytest.mark.parametrize("first", range(0, 900, 300))
def test_minutes_are_shared_out_whenever_any_sharing_keeps_them(first: int) -> None:
    """Against trying every sharing."""
    for seed in range(first, first + 300):
        draw = Random(seed)
        people = range(draw.randint(1, 3))
        lengths = [draw.randint(1, 12) * draw.choice((5, 5, 7)) for _ in range(draw.randint(1, 6))]
        able = [frozenset(draw.sample(people, draw.randint(1, len(people)))) for _ in lengths]
        most = [5 * draw.randint(0, 30) for _ in people]
        any_keeps = any(_keeps(lengths, way, most) for way in product(*able))
        found = shared_out(lengths, able, most)
        assert (found is not None) == any_keeps, seed
        if found is not None:
            assert _keeps(lengths, tuple(found), most), seed
            assert all(who in can for who, can in zip(found, able, strict=True)), seed


def _keeps(lengths: list[int], way: tuple[int, ...], most: list[int]) -> bool:
    loads = [0] * len(most)
    for length, person in zip(lengths, way, strict=True):
        loads[person] += length
    return all(load <= cap for load, cap in zip(loads, most, strict=True))


def test_where_loads_combine_in_too_many_ways_what_is_found_still_keeps_them() -> None:
    lengths, most = [101, 103, 97, 99, 100, 98, 102], [205] * 5
    found = shared_out(lengths, [frozenset(range(5))] * 7, most)
    assert found is not None
    assert _keeps(lengths, tuple(found), most)


def job(piece: int, minutes: int, people: int = 1, can: tuple[int, ...] = EACH) -> Job:
    return Job(piece, minutes, people, can, -1)


def test_a_day_with_no_minute_over_fits_where_one_begins_and_two_take_on() -> None:
    """Set-up 15: the pair has 45 + 35 + 40, each then 60; the third begins for 60 and has 120."""
    room = Room(3, 180, 15, (180, 180, 180))
    visits: list[Visit] = [
        (job(0, 45), job(1, 40, 2)),
        (job(2, 30, 2),), (job(3, 20, 2),),
        (job(4, 45),), (job(5, 45),), (job(6, 45),), (job(7, 45),),
    ]  # fmt: skip
    slots = fit(room, visits)
    assert slots is not None
    assert broken(room, visits, slots) == []
    assert sum(one.minutes * one.people for visit in visits for one in visit) + 9 * 15 == 540


@pytest.mark.parametrize("first", range(0, 300, 100))
def test_no_day_laid_out_breaks_a_limit(first: int) -> None:
    laid = 0
    for seed in range(first, first + 100):
        room, visits = drawn(seed)
        for slots in (fit(room, visits), around_pairs(room, visits)):
            if slots is not None:
                laid += 1
                assert broken(room, visits, slots) == [], seed
    assert laid > 60


def drawn(seed: int) -> tuple[Room, list[Visit]]:
    """Up to four people and bays, visits of one to three pieces, about as much as the day holds."""
    draw = Random(seed)
    until = tuple(draw.choice((240, 390, 480)) for _ in range(draw.randint(1, 4)))
    room = Room(draw.randint(1, 4), 480, draw.choice((0, 15)), until)
    visits: list[Visit] = []
    hands = piece = 0
    while hands < sum(until) * draw.uniform(0.4, 0.85):
        visit = []
        for _ in range(draw.choice((1, 1, 2, 3))):
            people = 2 if len(until) > 1 and draw.random() < 0.3 else 1
            able = draw.randint(people, len(until))
            can = tuple(sorted(draw.sample(range(len(until)), able)))
            visit.append(job(piece, 5 * draw.randint(3, 25), people, can))
            hands += visit[-1].minutes * people
            piece += 1
        visits.append(tuple(visit))
    return room, visits


def broken(room: Room, visits: list[Visit], slots: list[Slot]) -> list[str]:
    """What a day breaks, in words."""
    where, found = {slot.piece: slot for slot in slots}, []
    if sorted(where) != sorted(one.piece for visit in visits for one in visit):
        return ["not each job once"]
    people, bays = defaultdict(list), defaultdict(list)
    for visit in visits:
        jobs = sorted(visit, key=lambda one: where[one.piece].start)
        begin = where[jobs[0].piece].start - room.setup
        if len({where[one.piece].bay for one in jobs}) != 1:
            found.append("a visit in two bays")
        for nth, one in enumerate(jobs):
            slot = where[one.piece]
            span = (slot.start - (0 if nth else room.setup), slot.start + one.minutes)
            if len(set(slot.crew)) != one.people or not set(slot.crew) <= set(one.can):
                found.append(f"job {one.piece} by {slot.crew}")
            if span[0] < 0 or span[1] > min(room.opening, *(room.until[p] for p in slot.crew)):
                found.append(f"job {one.piece} beyond the day")
            for person in slot.crew:
                people[person].append(span)
        ends = [where[one.piece].start + one.minutes for one in jobs]
        starts = [where[one.piece].start for one in jobs]
        if any(start < end for end, start in zip(ends, starts[1:], strict=False)):
            found.append("two jobs on a vehicle at once")
        bays[where[jobs[0].piece].bay].append((begin, ends[-1]))
    if any(not 0 <= bay < room.bays for bay in bays):
        found.append("a bay that is not there")
    for spans in (*people.values(), *bays.values()):
        ordered = sorted(spans)
        found += ["two at once" for a, b in pairwise(ordered) if b[0] < a[1]]
    return found
