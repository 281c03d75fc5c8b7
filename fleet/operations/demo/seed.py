"""Seeding the demo: people and equipment, four years of history, and the living day.

The same `today` gives the same data; only identities and the salt of the passwords differ where
the operations themselves make them.
"""

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from django.db import transaction
from django.utils.translation import gettext as _

from fleet.operations import fleet_facts, roll, rules_seen, state, use
from fleet.operations.actor import Actor, server_actor
from fleet.operations.demo import (
    equipment,
    going_out,
    history,
    inputs,
    judged,
    living_day,
    people,
    vehicles,
    week_ahead,
)
from fleet.operations.demo.book import Book
from fleet.operations.demo.world import Crew, World
from fleet.operations.errors import refuse
from fleet.operations.reference import load_reference
from fleet.operations.refit import refit
from fleet.operations.scan_fleet import scan_fleet
from fleet.operations.stand_out import scan_stand_outs
from fleet.operations.work import Work
from fleet.records.models import (
    Joint,
    JointKind,
    Person,
    Role,
    TrailEntry,
    Vehicle,
    Yard,
)

NAME = "Alder Basin Range and Parks"
FLEET, YEARS = 60, 4
SEED = 31_416
BEGUN, DONE = "begin_demo", "end_demo"
MORNING = time(0, 5)
Say = Callable[[str], object]


def today_there(now: datetime) -> date:
    """The demo's today: the date in its yards."""
    return now.astimezone(ZoneInfo(people.ZONE)).date()


def is_empty() -> bool:
    people_there = Person.objects.exclude(role=Role.SERVER).exists()
    return not (people_there or Vehicle.objects.exists() or Yard.objects.exists())


def is_demo() -> bool:
    """The records of this database were begun by the demo."""
    return TrailEntry.objects.filter(verb=BEGUN).exists()


def is_half_made() -> bool:
    """Seeding was cut short: it began on an empty database and never came to its end."""
    return is_demo() and not TrailEntry.objects.filter(verb=DONE).exists()


def seed(today: date, *, say: Say, fleet: int = FLEET, years: int = YEARS) -> dict[str, int]:
    """Fill an empty database; returns the number of rows by table of the history."""
    if not is_empty():
        raise refuse("not_empty", _("The demo needs an empty database: this one has records."))
    now, first_day = _at(today, MORNING), today - timedelta(days=365 * years)
    if not JointKind.objects.exists():
        load_reference(server_actor("command"), at=_at(first_day, MORNING))
    rows = inputs.read("vehicles")[:fleet]
    say("People, designs, torque figures and tools")
    with transaction.atomic(durable=True):
        counts = _make_history(rows, now, first_day, say)
    manager = Actor(Person.objects.filter(role=Role.MANAGER).order_by("id")[0], "command")
    say("Patterns as each quarter found them")
    judged.scan_the_past(manager, _at(first_day, MORNING), now)
    say("The last weeks and the living day, through the operations")
    living_day.make(today, now)
    roll.roll(server_actor("command"), at=now)
    say("What stands out in the whole record")
    scan_fleet(server_actor("command"), at=now)
    judged.answer_stand_outs(manager, now)
    scan_stand_outs(server_actor("command"), at=now)
    say("How long joints hold")
    refit(server_actor("command"), at=now)
    say("The next four weeks as they are planned")
    week_ahead.make(today, now)
    going_out.make(manager, now)
    with transaction.atomic(durable=True):
        work = Work(server_actor("command"), now)
        work.trail(DONE, Yard.objects.order_by("id")[0])
    return counts


def _at(day: date, when: time) -> datetime:
    return datetime.combine(day, when, tzinfo=ZoneInfo(people.ZONE))


def _make_history(
    rows: list[dict[str, Any]], now: datetime, first_day: date, say: Say
) -> dict[str, int]:
    since = _at(first_day, time(9))
    server = server_actor("command")
    yards = people.make_yards()
    everybody = people.make_people(Work(server, since), yards, now.date())
    work = Work(Actor(everybody["ines"], "command"), since)
    work.trail(BEGUN, yards["Alder"])
    fleet_facts._apply(work, fleet_facts.FleetFacts(NAME, time_zone=people.ZONE))
    rules_seen._apply(work)
    designs = equipment.make_designs()
    equipment.make_figures(work, designs)
    tools = equipment.make_tools(work, yards, now.date(), first_day)
    made = vehicles.make_vehicles(rows, designs, yards, since)
    world = World(
        book=Book(np.random.default_rng(SEED)), now=now, crews=_crews(yards, everybody),
        managers=[everybody["ines"], everybody["osric"]], server=server.person,
        feed=everybody["fuel-desk"], tools=tools, specs=equipment.specs_by_design(),
        dropped=_at(_dropped_on(now.date()), time(12)),
    )  # fmt: skip
    world.learn_rules()
    say(f"{len(made)} vehicles and {(now.date() - first_day).days} days of history")
    _live(world, made, rows, since)
    say("Writing the history")
    counts = world.book.save()
    use.refresh_all(Vehicle.objects.select_related("yard", "use").order_by("id"), now)
    state.refresh(list(Joint.objects.values_list("pk", flat=True)))
    return counts


def _live(world: World, made: list[Vehicle], rows: list[dict[str, Any]], since: datetime) -> None:
    """Each vehicle's life in turn; those of the living day stop before their last weeks."""
    yesterday = world.now.date() - timedelta(days=1)
    named = living_day.UNITS
    for vehicle, row in zip(made, rows, strict=True):
        back = living_day.WEEKS if vehicle.unit_number in named else timedelta()
        until = _at(yesterday, time(12, 30)) - back
        truck = vehicles.make_truck(world, vehicle, row, since)
        history.live(world, truck, until)
        vehicle.version = truck.version
    Vehicle.objects.bulk_update(made, ["version"])


def _dropped_on(today: date) -> date:
    return today + timedelta(days=inputs.read("tools")["high_reader"]["dropped"])


def _crews(yards: dict[str, Yard], everybody: dict[str, Person]) -> dict[int, Crew]:
    """Who works where; a technician may be posted to two yards."""
    crews = {}
    for yard in yards.values():
        here = [row for row in inputs.read("people") if yard.name in row["yards"]]
        hands = [everybody[row["username"]] for row in here if row["role"] == Role.TECHNICIAN]
        driver = next(everybody[row["username"]] for row in here if row["role"] == Role.DRIVER)
        crews[yard.pk] = Crew(hands, driver)
    return crews
