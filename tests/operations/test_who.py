"""Who may do what, and where: one table of abilities, one rule of scope, for every verb."""

import importlib
import inspect as signatures
import pkgutil

import pytest

import fleet.operations
from fleet.operations import vehicles
from fleet.operations.actor import Actor
from fleet.operations.errors import NotAllowed, NotThere, Refused
from fleet.records.models import Role
from fleet.records.roles import ABILITIES
from tests import build, people
from tests.operations.conftest import House
from tests.operations.tables import refusal, row_counts, undone
from tests.operations.verbs import VERBS, Scene

# Made by the server itself, by a command, or by another table's test.
OF_THE_SERVER = {"roll", "roll_yard", "deliver", "load_reference", "scan_fleet", "rebuild"}
OF_THE_SERVER |= {"refit", "scan_stand_outs", "hold_again", "lapse", "publish", "work_plans"}
# Made by a command alone, and tested beside its own rules.
ELSEWHERE = {"add_first_manager"}


def verbs_in_the_code() -> set[str]:
    """Each public function of the operations that takes an actor and a moment."""
    found = set()
    for module in pkgutil.iter_modules(fleet.operations.__path__, "fleet.operations."):
        if module.ispkg:
            continue
        for name, function in vars(importlib.import_module(module.name)).items():
            if signatures.isfunction(function) and function.__module__ == module.name:
                parameters = list(signatures.signature(function).parameters)
                if parameters[:1] == ["actor"] and "at" in parameters and name[0] != "_":
                    found.add(name)
    return found


def test_every_verb_stands_in_the_table() -> None:
    assert verbs_in_the_code() - OF_THE_SERVER - ELSEWHERE == set(VERBS)


def test_each_role_may_do_what_the_table_of_abilities_says(
    house: House, subtests: pytest.Subtests
) -> None:
    scene = Scene(house)
    roles = [role for role in Role.values if role != Role.SERVER]
    actors = {role: Actor(people.person(f"A {role}", role, house.yard)) for role in roles}
    before = row_counts()
    for verb, (ability, call) in VERBS.items():
        for role, actor in actors.items():
            with subtests.test(verb=verb, role=role), undone():
                if role not in ABILITIES[ability]:
                    assert refusal(call, scene, actor, raising=NotAllowed) == {("not_allowed", "")}
                    assert row_counts() == before
                    continue
                try:
                    call(scene, actor)
                except NotAllowed:
                    pytest.fail(f"{role} may {verb}")
                except Refused:
                    pass  # the rules have their own tests


FLEET_WIDE = {"set_alignment", "set_spec", "add_design", "add_yard", "set_fleet",
              "look_over_rules"}  # fmt: skip
# How joints hold is told of all yards together.
FLEET_WIDE |= {"accept_interval", "decline_interval", "take_interval_back", "set_aims"}
# A tool is lent between yards: whose joints a sweep lists, ends it (test_sweeps.py).
FLEET_WIDE |= {"close_sweep", "take_sweep_back"}
FLEET_WIDE |= {"change_rule"}
# What is new names its yard: the yard is refused, as nothing stands there yet.
NAMES_ITS_YARD = {"add_vehicle", "add_tool", "add_person"}


def test_outside_ones_yards_nothing_is_there(house: House, subtests: pytest.Subtests) -> None:
    scene = Scene(house)
    stranger = Actor(people.person("Foreman", "manager", build.yard("Birch")))
    before = row_counts()
    for verb, (_ability, call) in VERBS.items():
        if verb in FLEET_WIDE:
            continue
        with subtests.test(verb), undone():
            if verb in NAMES_ITS_YARD:
                found = refusal(call, scene, stranger)
                assert {field.removesuffix("s") for _code, field in found} == {"yard"}
            else:
                found = refusal(call, scene, stranger, raising=NotThere)
                assert found == {("not_there", "")}
            assert row_counts() == before


def test_a_technician_of_another_yard_sees_none_of_it_either(house: House) -> None:
    scene = Scene(house)
    stranger = Actor(people.stranger(build.yard("Birch")))
    for verb in ("record_inspection", "record_line", "second_check", "close_ticket"):
        refusal(VERBS[verb][1], scene, stranger, raising=NotThere)


def test_a_vehicle_never_moves_out_of_the_reach_of_who_moves_it(house: House) -> None:
    boss = Actor(people.person("Foreman", "manager", house.yard))
    other = build.yard("Birch")
    moved = {"yard_id": other.pk}
    named = refusal(vehicles.change_vehicle, boss, house.vehicle.pk, moved, at=house.now)
    assert {field for _code, field in named} == {"yard"}
