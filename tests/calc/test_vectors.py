"""The vectors that every twin of the rules has to agree with."""

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from fleet.calc.asked_fields import asked_fields
from fleet.calc.field_types import READERS
from fleet.calc.requirements import FieldProblem, missing, read_fields
from fleet.calc.units import (
    Reading,
    UnitError,
    parse_length,
    parse_meter,
    parse_pressure,
    parse_torque,
)

VECTORS = Path(__file__).parents[2] / "fixtures" / "rules" / "vectors"
PARSERS: dict[str, Callable[[str, str], Reading]] = {
    "length": parse_length,
    "torque": parse_torque,
    "pressure": parse_pressure,
    "meter": parse_meter,
}


def load(name: str) -> list[dict[str, Any]]:
    content = json.loads((VECTORS / name).read_text(encoding="utf-8"))
    vectors: list[dict[str, Any]] = content["vectors"]
    return vectors


def parse(vector: dict[str, Any]) -> Reading:
    if vector.get("signed"):
        return parse_length(vector["text"], vector["default_unit"], signed=True)
    return PARSERS[vector["kind"]](vector["text"], vector["default_unit"])


TAPE = load("tape.json")
LINES = load("line_fields.json")


@pytest.mark.parametrize("vector", [one for one in TAPE if "reads" in one], ids=lambda v: v["text"])
def test_a_figure_is_read_exactly(vector: dict[str, Any]) -> None:
    wanted = vector["reads"]
    exact = Fraction(wanted["top"], wanted["bottom"])
    assert parse(vector) == Reading(exact, wanted["unit"], wanted["si"])


@pytest.mark.parametrize(
    "vector", [one for one in TAPE if "refuses" in one], ids=lambda v: v["text"] or "nothing"
)
def test_a_bad_figure_is_refused_at_its_place(vector: dict[str, Any]) -> None:
    with pytest.raises(UnitError) as caught:
        parse(vector)
    assert {"code": caught.value.code, "position": caught.value.position} == vector["refuses"]
    assert caught.value.text == vector["text"]
    assert caught.value.hint


@pytest.mark.parametrize("vector", LINES, ids=lambda v: v["name"])
def test_a_line_is_read_and_its_gaps_named(vector: dict[str, Any]) -> None:
    readout = read_fields(vector["fields"], vector["typed"])
    lacking = missing(vector["fields"], readout.values)
    assert readout.values == vector["values"]
    assert [named(problem) for problem in readout.problems] == vector["problems"]
    assert [named(problem) for problem in lacking] == vector["missing"]


@pytest.mark.parametrize("vector", load("asked_fields.json"), ids=lambda v: v["name"])
def test_a_line_asks_for_what_its_facts_call_for(vector: dict[str, Any]) -> None:
    given = json.dumps(vector["fields"])
    assert asked_fields(vector["fields"], vector["facts"]) == vector["asked"]
    assert json.dumps(vector["fields"]) == given


def named(problem: FieldProblem) -> dict[str, str]:
    return {"name": problem.name, "code": problem.code}


def test_every_type_of_field_has_a_vector() -> None:
    seen = {field["type"] for vector in LINES for field in vector["fields"]}
    assert seen == set(READERS)
