"""What a new fleet is set up with: yards, its name, rules looked over, first looks, and the steps
as the record has them."""

from datetime import date, timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from fleet.operations import designs, first_looks, fleet_facts, rules_seen, yards
from fleet.operations.actor import Actor, server_actor
from fleet.operations.errors import Conflict
from fleet.operations.first_looks import FirstLooks
from fleet.operations.fleet_facts import FleetFacts
from fleet.operations.reference import load_reference
from fleet.operations.vehicles import NewVehicle, add_vehicle
from fleet.reads.fleet_facts import fleet_now
from fleet.reads.rules_seen import newest_rule, response_rows
from fleet.reads.rules_seen import rules_seen as seen_now
from fleet.reads.set_up import set_up
from fleet.reads.yards import version_of
from fleet.records.models import Person, Recheck, Rule, Yard
from tests import build, people
from tests.build import NOW
from tests.operations.conftest import House
from tests.operations.tables import refusal


@pytest.fixture
def boss(db: None) -> Actor:
    load_reference(server_actor("command"), at=NOW)
    return Actor(people.manager())


def a_yard(**said: Any) -> yards.NewYard:
    return yards.NewYard(**{"name": "Alder", "time_zone": "America/Denver",
                            "on_call_number": "555-0100", **said})  # fmt: skip


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"name": "  "}, ("name_missing", "name")),
        ({"name": "ALDER"}, ("name_taken", "name")),
        ({"time_zone": "Denver"}, ("zone_unknown", "time_zone")),
        ({"time_zone": ""}, ("zone_unknown", "time_zone")),
        ({"on_call_number": " "}, ("number_missing", "on_call_number")),
        ({"on_call_number": "ask Dov"}, ("number_wrong", "on_call_number")),
        ({"bays": 0}, ("bays_wrong", "bays")),
        ({"working_days": ()}, ("days_missing", "working_days")),
        ({"working_days": (7,)}, ("days_missing", "working_days")),
        ({"units": "feet"}, ("units_unknown", "units")),
    ],
)
def test_a_yard_that_can_not_stand_is_told_beside_its_field(
    boss: Actor, said: dict[str, Any], told: tuple[str, str]
) -> None:
    yards.add_yard(boss, a_yard(), at=NOW)
    assert refusal(yards.add_yard, boss, a_yard(**{"name": "Birch", **said}), at=NOW) == {told}


def test_a_yard_is_changed_and_keeps_its_address(boss: Actor) -> None:
    yard = yards.add_yard(boss, a_yard(), at=NOW).row
    read = version_of(yard)
    new = a_yard(name="Alder Creek", working_days=(5, 0, 0))
    yards.change_yard(boss, yard.pk, new, at=NOW, expected_version=read)
    yard.refresh_from_db()
    assert (yard.name, yard.slug, yard.working_days) == ("Alder Creek", "alder", [0, 5])
    late = refusal(
        yards.change_yard, boss, yard.pk, a_yard(), at=NOW, expected_version=read, raising=Conflict
    )
    assert late == {("changed", "")}


def test_a_manager_of_some_yards_sees_the_yard_they_put_on_file(boss: Actor) -> None:
    foreman = Actor(people.person("Foreman", "manager", build.yard("Birch")))
    yards.add_yard(foreman, a_yard(), at=NOW)
    assert Yard.visible_to(foreman.person).filter(name="Alder").exists()


def test_the_fleets_name_and_defaults_are_settings_with_versions(boss: Actor) -> None:
    before = fleet_now()
    facts = FleetFacts("Test Range", time_zone="America/Denver")
    fleet_facts.set_fleet(boss, facts, at=NOW, expected_version=before.version)
    now = fleet_now()
    assert (now.fleet_name, now.time_zone, now.units) == ("Test Range", "America/Denver", "us")
    assert Rule.objects.filter(kind="setting", key="fleet_name").count() == 2
    assert Rule.objects.filter(kind="setting", key="units").count() == 1
    asked: dict[str, Any] = {"expected_version": before.version, "raising": Conflict}
    assert refusal(fleet_facts.set_fleet, boss, facts, at=NOW, **asked) == {("changed", "")}
    wrong = FleetFacts(" ", "xx", "feet", "Nowhere")
    fields = {field for _code, field in refusal(fleet_facts.set_fleet, boss, wrong, at=NOW)}
    assert fields == {"fleet_name", "language", "units", "time_zone"}


def test_loading_the_reference_again_keeps_the_fleets_name(boss: Actor) -> None:
    fleet_facts.set_fleet(boss, FleetFacts("Test Range"), at=NOW)
    load_reference(server_actor("command"), at=NOW)
    assert fleet_now().fleet_name == "Test Range"


def test_a_yes_to_the_rules_is_of_what_was_seen(boss: Actor) -> None:
    newest = newest_rule()
    assert newest is not None
    rules_seen.look_over_rules(boss, newest.pk, at=NOW)
    seen = seen_now()
    assert seen is not None
    assert (seen.by, seen.stands) == ("Manager", True)
    Rule.objects.create(kind="ladder", key="ours", data={}, since=NOW, set_by=boss.person)
    asked: dict[str, Any] = {"at": NOW, "raising": Conflict}
    assert refusal(rules_seen.look_over_rules, boss, newest.pk, **asked) == {("changed", "")}
    seen = seen_now()
    assert seen is not None
    assert not seen.stands


def test_responses_are_told_in_words(boss: Actor) -> None:
    rows = {row.name: row for row in response_rows()}
    ends = rows["Track-bar end: any play holds"]
    assert {"Play inside its limit", "Moved 30° or more", "Cracked"} <= set(ends.holds)
    assert ends.lines == ["Boot torn"]
    assert ends.source == "own"


def test_first_looks_come_forward_so_many_a_working_day(boss: Actor) -> None:
    yard = yards.add_yard(boss, a_yard(working_days=(0, 1, 2, 3, 4)), at=NOW).row
    new = designs.NewDesign("Ridge", "Ridge", "leaf", "fore_aft", "kingpin", "unit_hub")
    design = designs.add_design(boss, new, at=NOW).row
    for unit in ("A-1", "A-2", "A-3"):
        add_vehicle(boss, NewVehicle(unit, design.pk, yard.pk, "gravel", "mi"), at=NOW)
    # A Friday: two fit on it, the third waits for Monday.
    first_looks.set_first_looks(boss, yard.pk, FirstLooks(date(2026, 11, 27), 2), at=NOW)
    owed = Recheck.objects.filter(kind="routine").order_by("vehicle__unit_number")
    days = list(owed.values_list("falls_on", flat=True))
    assert days == [date(2026, 11, 27), date(2026, 11, 27), date(2026, 11, 30)]
    # One that is due sooner stays.
    first_looks.set_first_looks(boss, yard.pk, FirstLooks(date(2026, 12, 1), 9), at=NOW)
    assert list(owed.values_list("falls_on", flat=True)) == days


def test_first_looks_are_not_set_for_what_was_looked_at_nor_in_the_past(house: House) -> None:
    day = house.now.date()
    verb, yard = first_looks.set_first_looks, house.yard.pk
    past = FirstLooks(day - timedelta(days=2), 0)
    told = refusal(verb, house.manager, yard, past, at=house.now)
    assert told == {("day_wrong", "first_day"), ("a_day_wrong", "a_day")}
    house.inspect(house.look("track_bar_frame_end", "no_play", method="dry_steer"))
    told = refusal(verb, house.manager, yard, FirstLooks(day, 2), at=house.now)
    assert told == {("nothing_waits", "")}


def steps(person: Person) -> dict[str, str]:
    found = set_up(person, list(Yard.visible_to(person)), NOW)
    return {step.key: step.stand.value for step in found.steps}


def test_the_steps_are_read_from_the_records(house: House) -> None:
    assert steps(house.manager.person) == {
        "fleet": "open", "yards": "done", "people": "done", "designs": "begun", "tools": "done",
        "rules": "open", "vehicles": "done", "first_looks": "open",
    }  # fmt: skip


def test_a_yard_with_one_trained_person_is_told(boss: Actor) -> None:
    yard = yards.add_yard(boss, a_yard(), at=NOW).row
    people.technician(yard)
    found = set_up(boss.person, [yard], NOW)
    [crew] = found.crews
    assert (crew.checkers, crew.trained, crew.short) == (2, 1, True)
    assert found.steps[2].stand.value == "begun"


def test_the_command_makes_the_first_manager_and_no_second(db: None) -> None:
    told = StringIO()
    call_command("first_manager", "Boss", name="A boss", address="https://x.test/", stdout=told)
    assert "https://x.test/welcome/" in told.getvalue()
    boss = Person.objects.get(username="boss")
    assert (boss.role, boss.all_yards, boss.has_usable_password()) == ("manager", True, False)
    with pytest.raises(CommandError, match="There is a manager already"):
        call_command("first_manager", "other", name="Another", stdout=told)
    again = StringIO()
    call_command("sign_in_link", "boss", stdout=again)
    assert "/welcome/" in again.getvalue()
    with pytest.raises(CommandError, match="nobody signs in"):
        call_command("sign_in_link", "nobody", stdout=told)
