"""Small seeded plans to make, with everything in them that a plan must keep."""

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from fleet.calc.planning import Assignment, Person, Pin, Standing, Work, Yard

START = date(2026, 3, 2)
SKILLS = ("steering", "press")


@dataclass(frozen=True)
class Ask:
    work: list[Work]
    yards: list[Yard]
    people: list[Person]
    days: list[date]
    standing: Standing


def small(seed: int, most_work: int = 12, most_days: int = 5) -> Ask:
    """Up to 12 pieces of work, 3 yards of which the last is far, 5 people, 5 days."""
    draw = Random(seed)
    days = [START + timedelta(days=n) for n in range(draw.randint(1, most_days))]
    yards = [_yard(draw, n, days) for n in range(draw.randint(1, 3))]
    people = [_person(draw, n, yards, days) for n in range(draw.randint(1, 5))]
    work = [_work(draw, n, yards, days) for n in range(draw.randint(1, most_work))]
    vehicles = sorted({one.vehicle for one in work})
    away = {v: frozenset(draw.sample(days, draw.randint(0, len(days) // 2))) for v in vehicles}
    pins = tuple(
        Pin(one.key, draw.choice(days), None if draw.random() < 0.8 else draw.choice(yards).key)
        for one in work
        if draw.random() < 0.12
    )
    return Ask(work, yards, people, days, Standing(away, pins))


def told_before(ask: Ask, told: tuple[Assignment, ...], seed: int) -> Ask:
    """The same a day later: some days locked, some work new, the plan told before."""
    draw = Random(seed)
    locked = frozenset(
        (yard.key, day) for yard in ask.yards for day in ask.days if draw.random() < 0.25
    )
    gone = {one.key for one in ask.work if draw.random() < 0.1}
    work = [one for one in ask.work if one.key not in gone]
    work += [_work(draw, 100 + n, ask.yards, ask.days) for n in range(2)]
    pins = tuple(pin for pin in ask.standing.pins if pin.work not in gone)
    standing = Standing(ask.standing.away, pins, locked, told)
    return Ask(work, ask.yards, ask.people, ask.days, standing)


def _yard(draw: Random, nth: int, days: list[date]) -> Yard:
    opening = {day: draw.choice((0, 240, 480, 480)) for day in days}
    key, bays = f"yard {nth}", draw.randint(1, 3)
    if nth < 2:
        return Yard(key, bays, opening, draw.choice((0, 15)))
    trips = frozenset(draw.sample(days, draw.randint(0, len(days))))
    return Yard(key, bays, opening, 15, draw.choice((60, 90)), trips, draw.choice((1, 2, None)))


def _person(draw: Random, nth: int, yards: list[Yard], days: list[date]) -> Person:
    near = [yard.key for yard in yards if not yard.travel_minutes]
    home = draw.choice(near)
    minutes = {day: draw.choice((0, 240, 480, 480)) for day in days}
    skills = frozenset(skill for skill in SKILLS if draw.random() < 0.75)
    others = frozenset(y.key for y in yards if y.key != home and draw.random() < 0.5)
    return Person(f"p{nth}", home, minutes, skills, others)


def _work(draw: Random, nth: int, yards: list[Yard], days: list[date]) -> Work:
    vehicle = draw.randrange(6)
    yard = yards[vehicle % len(yards)] if draw.random() < 0.9 else draw.choice(yards)
    due = draw.randrange(-2, len(days) + 2)
    earliest = None if draw.random() < 0.6 else draw.choice(days)
    return Work(
        f"w{nth}", f"T-{vehicle}", yard.key, draw.choice((20, 45, 60, 90, 150, 240)),
        START + timedelta(days=due), START + timedelta(days=due - draw.randrange(3)),
        earliest, draw.choice((0.5, 1.0, 2.0)), draw.random() < 0.2, draw.choice((1, 1, 2)),
        frozenset(skill for skill in SKILLS if draw.random() < 0.3),
        draw.choice((None, None, "p0")),
    )  # fmt: skip
