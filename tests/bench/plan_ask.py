"""A seeded plan to make: 2,000 pieces of work, 30 days, 6 yards, 95 % of the people's minutes.

All invented. Working days are Monday to Friday; one yard is far and has no crew of its own.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from fleet.calc.planning import Person, Standing, Work, Yard

START = date(2026, 3, 2)
OPEN_MINUTES = 480
SATURDAY = 5
#: Bays and people of each yard; the last is far, and its crew comes from the one before it.
PLACES = ((3, 3), (3, 3), (3, 3), (4, 4), (4, 4), (2, 0))
FAR, FROM = 5, 4
FAR_SHARE = 0.05
WORK_OF_A_VEHICLE = 3
#: Set-ups of a vehicle in 30 days, each of a pair counted, in the linear model's plan with the
#: fewest visits: its work falls due at different times.
VISITS = 2.6
MINUTES = (20, 25, 30, 40, 45, 60, 75, 90, 120)


@dataclass(frozen=True)
class Ask:
    work: list[Work]
    yards: list[Yard]
    people: list[Person]
    days: list[date]
    standing: Standing


def make(items: int = 2000, span: int = 30, load: float = 0.95, seed: int = 1) -> Ask:
    """Draw a plan to make; minutes are stretched to the load asked for, in steps of 5."""
    draw = Random(seed)
    days = [START + timedelta(days=n) for n in range(span)]
    working = [day for day in days if day.weekday() < SATURDAY]
    opening = dict.fromkeys(working, OPEN_MINUTES)
    yards = [Yard(f"yard {n}", bays, opening) for n, (bays, _) in enumerate(PLACES)]
    trips = frozenset(day for day in working if day.weekday() in (1, 3))
    yards[FAR] = Yard(f"yard {FAR}", 2, opening, 15, travel_minutes=90, trip_days=trips, crew=2)
    people = [
        Person(f"p{n}-{m}", f"yard {n}", opening, _skills(m), _yards(n, m))
        for n, (_, crew) in enumerate(PLACES)
        for m in range(crew)
    ]
    work = _stretched(_work(draw, items, span), load, len(working))
    vehicles = sorted({one.vehicle for one in work})
    away = {vehicle: frozenset(draw.sample(days, 5)) for vehicle in vehicles if draw.random() < 0.2}
    return Ask(work, yards, people, days, Standing(away=away))


def _skills(nth: int) -> frozenset[str]:
    return frozenset({"steering"} if nth % 3 == 2 else {"steering", "press"})


def _yards(home: int, nth: int) -> frozenset[str]:
    """Two of one yard may go to the far one, and one of the first to the second."""
    if home == FROM and nth < 2:
        return frozenset({f"yard {FAR}"})
    return frozenset({"yard 1"}) if home == 0 and nth == 2 else frozenset()


def _work(draw: Random, items: int, span: int) -> list[Work]:
    crews = [crew for _, crew in PLACES]
    far = round(items * FAR_SHARE)
    homes = [n for n, crew in enumerate(crews) if crew]
    found: list[Work] = []
    for number in range(items):
        if number < far:
            yard = FAR
        elif number % WORK_OF_A_VEHICLE == 0 or not found:
            yard = draw.choices(homes, [crews[n] for n in homes])[0]
        else:
            yard = int(found[-1].yard.split()[1])
        due = draw.randrange(0, span + 3)
        holds = draw.random() < 0.08
        found.append(
            Work(
                f"w{number}", f"T-{number // WORK_OF_A_VEHICLE}-{yard}", f"yard {yard}",
                draw.choice(MINUTES), START + timedelta(days=due),
                START + timedelta(days=due - draw.randrange(0, 7)),
                START + timedelta(days=due - draw.randrange(10, 26)),
                draw.choice((1.0, 1.0, 1.0, 2.0, 3.0)), holds,
                2 if draw.random() < 0.25 else 1,
                frozenset({"press"} if draw.random() < 0.15 else {"steering"}),
            )
        )  # fmt: skip
    return found


def _stretched(work: list[Work], load: float, working: int) -> list[Work]:
    """Stretch the minutes of each yard to its load; the far yard keeps them."""
    minutes: dict[str, float] = {}
    for one in work:
        minutes[one.yard] = minutes.get(one.yard, 0) + one.minutes * one.people
    stretch = {}
    for number, (_, crew) in enumerate(PLACES):
        key = f"yard {number}"
        if crew:
            there = crew * OPEN_MINUTES * working * load
            visits = len({one.vehicle for one in work if one.yard == key}) * 15 * VISITS
            gone = minutes[f"yard {FAR}"] * 1.3 if number == FROM else 0
            stretch[key] = (there - visits - gone) / minutes[key]
    return [
        Work(
            one.key, one.vehicle, one.yard,
            max(5, 5 * round(one.minutes * stretch.get(one.yard, 1) / 5)), one.due, one.due_low,
            one.earliest, one.weight, one.holds, one.people, one.skills,
        )
        for one in work
    ]  # fmt: skip
