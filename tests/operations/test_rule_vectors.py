"""The vectors that every twin of the rules has to agree with, run through the operations.

What a tablet foretells of a sheet, a line, a toe or a check is held against these same files in
a browser: tests/browser/test_rule_vectors.py.
"""

from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from fleet.calc.alignment import toe_from_widths
from fleet.calc.units import parse_length
from fleet.operations import actions, closing, judge, line_view, lines, looks, repair
from fleet.operations.actor import Actor
from fleet.operations.errors import Refused
from fleet.reads.rules import rules
from fleet.records.base import new_uid
from fleet.records.models import (
    Finding,
    Hold,
    Joint,
    JointKind,
    Ticket,
    ToeReading,
    ToolComparison,
    TorqueSpec,
    TorqueTool,
)
from tests import build, people
from tests.operations.conftest import START, House
from tests.operations.tables import undone
from tests.rule_vectors import load, whole

LOOKS, TORQUES, TOES, CHECKS = map(whole, ("looks", "torque_lines", "toe", "checks"))
Facts = Mapping[str, Any]


def a_tool_as(house: House, told: Facts) -> TorqueTool:
    """A torque tool as a tablet is told of it."""
    values = {
        "name": told["code"], "kind": "set", "low_nm": told["low_nm"], "high_nm": told["high_nm"],
        "lever_m": told["lever_m"], "yard": house.yard,
        "good_until": told["good_until"] and date.fromisoformat(told["good_until"]),
        "doubted_since": told["doubted_since"] and datetime.fromisoformat(told["doubted_since"]),
    }  # fmt: skip
    tool, _made = TorqueTool.objects.update_or_create(code=told["code"], defaults=values)
    ToolComparison.objects.bulk_create(
        ToolComparison(
            uid=new_uid(), tool=tool, beside=house.tool, figure_nm=one["nm"], pulls_nm=[],
            worst_share=0.0, agrees=True, good_until=date.fromisoformat(one["until"]),
            occurred_at=START - timedelta(days=13), by=house.technician.person,
        )
        for one in told["compared"]
    )  # fmt: skip
    return tool


def the_spec(kind: JointKind, told: Facts) -> TorqueSpec:
    return TorqueSpec(
        kind=kind, typed=told["typed"], low_nm=told["low_nm"], high_nm=told["high_nm"],
        angle_degrees=told["angle"], new_fastener=told["new_fastener"],
        thread_condition=told["thread_condition"], source=told["source"],
    )  # fmt: skip


def put_on_file(house: House, told: Facts) -> None:
    """The figures of a file's joints in place of those of the design."""
    TorqueSpec.objects.all().delete()
    for one in told.values():
        if one["spec"]:
            spec = the_spec(JointKind.objects.get(code=one["kind"]), one["spec"])
            spec.design, spec.set_by = house.design, house.manager.person
            spec.origin, spec.is_target, spec.since = "factory", True, START
            spec.save()


def the_joint(house: House, told: Facts) -> Joint:
    """The truck's joint, of which a tablet was told rightly what the rules ask of it."""
    joint = Joint.objects.select_related("kind").get(
        vehicle=house.vehicle, kind__code=told["kind"], side=told["side"]
    )
    assert (joint.kind.holds, joint.kind.response) == (told["holds"], told["response"])
    spec = the_spec(joint.kind, told["spec"]) if told["spec"] else None
    assert looks.never_retorqued(joint.kind, spec) == told["never_retorqued"]
    limit = judge.limit_for(house.vehicle, joint.kind.limit)
    on_file = (limit.value, limit.citation) if limit else None
    shown = told["limit"] and (told["limit"]["value_m"], told["limit"]["citation"])
    assert shown == on_file
    return joint


def see(house: House, vector: Facts, tools: Mapping[str, TorqueTool]) -> tuple[Any, list[Any]]:
    """One look read and judged: what was seen, and field and code of what is wrong."""
    told = {**LOOKS["joints"][vector["joint"]], **vector.get("facts", {})}
    joint = the_joint(house, told)
    typed = {**vector["look"]}
    # As the doors do: by the code exactly (api.sheets.tools_named).
    tool = tools.get(typed.pop("tool", "").strip())
    frame = looks.Frame(
        datetime.fromisoformat(LOOKS["when"]), {joint.pk: joint},
        {joint.kind_id: the_spec(joint.kind, told["spec"])} if told["spec"] else {},
        {one.pk: one for one in tools.values()}, rules("finding"), rules("method"),
        {joint.pk: told["fitted"]},
    )  # fmt: skip
    look = looks.Look(joint.pk, **typed, tool_id=tool.pk if tool else None)
    seen, problems = looks.read((look,), frame)
    joint.fitted = told["fitted"]
    named = [[one.field.removeprefix("findings.0."), one.code] for one in problems]
    return (seen[0], told), named


def test_a_look_is_read_and_judged(house: House, subtests: pytest.Subtests) -> None:
    tools = {one["code"]: a_tool_as(house, one) for one in LOOKS["tools"]}
    table = rules("response")
    for vector in LOOKS["vectors"]:
        with subtests.test(vector["name"]):
            (seen, told), named = see(house, vector, tools)
            assert named == vector["problems"]
            if "torque_nm" in vector:
                assert seen.torque_nm == vector["torque_nm"]
            if vector["response"] is not None:
                row = table[told["response"]]
                verdict = judge.judge(house.vehicle, seen, row, told["moved_before"])
                # `respond.judged` makes a note of what is found at a joint that is not there.
                there = told["fitted"] != "not_fitted"
                response = verdict.response if there else Finding.Response.NOTE
                assert (response, verdict.answer) == (vector["response"], vector["answer"])


def record(house: House, action: str, joint: Joint | None, typed: Facts) -> dict[str, Any]:
    """What keeps an entry from being kept, and what its line then lacks; by field and code."""
    new = repair.NewTicket(house.vehicle.pk, lines=((action, joint.pk if joint else None),))
    ticket = repair.open_ticket(house.technician, new, at=house.now).row
    return entered(house, ticket, action, typed)


def entered(house: House, ticket: Ticket, action: str, typed: Facts) -> dict[str, Any]:
    try:
        house.record(house.line(ticket, action), dict(typed))
    except Refused as refused:
        return {"refused": [[one.field, one.code] for one in refused.problems], "lacks": []}
    view = next(v for v in line_view.views(ticket) if v.line.action == action)
    lacks = lines.lacks(view, house.vehicle)
    return {"refused": [], "lacks": [[one.field, one.code] for one in lacks]}


def test_a_lines_torque_is_judged(house: House, subtests: pytest.Subtests) -> None:
    for one in TORQUES["tools"]:
        a_tool_as(house, one)
    for vector in TORQUES["vectors"]:
        with subtests.test(vector["name"]), undone():
            found = {
                key: {**told, **vector.get("facts", {}).get(key, {})}
                for key, told in TORQUES["joints"].items()
            }
            joint = build.joint(
                house.vehicle, found[vector["joint"]]["kind"], found[vector["joint"]]["side"]
            )
            new = repair.NewTicket(house.vehicle.pk, lines=((vector["action"], joint.pk),))
            ticket = repair.open_ticket(house.technician, new, at=house.now).row
            # The figure may come on file after the line: then the line says what is wrong.
            put_on_file(house, found)
            the_joint(house, found[vector["joint"]])
            typed = {**TORQUES["base"][vector["action"]], **vector["typed"]}
            told = entered(house, ticket, vector["action"], typed)
            assert told == {"refused": vector["refused"], "lacks": vector["lacks"]}


def test_toe_is_computed_and_judged(house: House, subtests: pytest.Subtests) -> None:
    for vector in TOES["vectors"]:
        vehicle = {**TOES["vehicle"], **vector.get("vehicle", {})}
        on_file = vehicle["toe"] or {"low_m": None, "high_m": None}
        with subtests.test(vector["name"]), undone():
            house.design.toe_low_m, house.design.toe_high_m = on_file["low_m"], on_file["high_m"]
            house.design.save()
            house.yard.far = vehicle["far"]
            house.yard.save()
            house.vehicle = type(house.vehicle).objects.get(pk=house.vehicle.pk)
            told = record(house, "set_toe", None, {**TOES["base"], **vector["typed"]})
            assert told["lacks"] == vector["lacks"]
            assert [one.toe_m for one in ToeReading.objects.order_by("id")] == vector["toe_m"]


def test_toe_is_the_difference_of_what_the_tape_said() -> None:
    """Toe-in is positive: the fronts are nearer."""
    for vector in TOES["vectors"]:
        typed = {**TOES["base"], **vector["typed"]}
        rear, front = (parse_length(typed[f"found_{end}"]).si for end in ("rear", "front"))
        assert vector["toe_m"][0] == toe_from_widths(rear, front)


def ticket_of(house: House, vector: Facts) -> Ticket:
    """A ticket as the vector tells of it: one complete line, and what went before."""
    action = vector.get("action", "retorque")
    ticket = house.ticket((action, None if action == "set_toe" else "track_bar_frame_end"))
    base = {"set_toe": TOES["base"], **TORQUES["base"]}[action]
    entry = repair.Entry(house.line(ticket, action).pk, base, done_by=vector.get("done_by", ""))
    repair.record_line(house.technician, entry, at=house.now)
    boss = house.manager.person
    if vector.get("cracked"):
        found = build.finding(house.joint(), boss, "cracked")
        build.hold(house.vehicle, boss, reason=Hold.Reason.FINDING, finding=found, ticket=ticket)
    if vector.get("oscillated"):
        felt = build.complaint(house.vehicle, boss, kind="axle_oscillation")
        Ticket.objects.filter(pk=ticket.pk).update(complaint=felt)
    if vector.get("leave"):
        build.leave(ticket, house.technician.person, boss, house.now)
    Ticket.objects.filter(pk=ticket.pk).update(state=vector.get("state", "open"))
    house.later(minutes=vector.get("minutes", 0))
    return Ticket.objects.get(pk=ticket.pk)


def test_who_may_make_the_second_check(house: House, subtests: pytest.Subtests) -> None:
    untrained = Actor(people.person("Newcomer", "technician", house.yard))
    who = {"untrained": untrained, "technician": house.technician, "colleague": house.colleague}
    of_checks = {code for vector in CHECKS["vectors"] for _field, code in vector["problems"]}
    start = house.now
    for vector in CHECKS["vectors"]:
        house.now = start
        told = CHECKS["people"][vector["by"]]
        person = who[vector["by"]].person
        assert (person.name, person.username, person.trained) == tuple(told.values())
        with subtests.test(vector["name"]), undone():
            ticket = ticket_of(house, vector)
            named: list[Any] = []
            try:
                house.check(ticket, who[vector["by"]], **vector["sheet"])
            except Refused as refused:
                named = [[one.field, one.code] for one in refused.problems]
            assert [one for one in named if one[1] in of_checks] == vector["problems"]


def test_the_first_work_that_answers_a_finding(house: House) -> None:
    kinds = {kind.code: kind for kind in JointKind.objects.all()}
    assert {vector["kind"] for vector in load("suggested")} == set(kinds)
    for vector in load("suggested"):
        for code, action in vector["suggested"].items():
            finding = Finding(joint=Joint(kind=kinds[vector["kind"]]), code=code)
            assert (vector["kind"], code, lines.suggested_action(finding)) == (
                vector["kind"], code, action,
            )  # fmt: skip


def test_what_opens_the_steering_and_what_a_line_brings(house: House) -> None:
    kinds = {kind.code: kind for kind in JointKind.objects.all()}
    table = rules("action")
    assert {vector["action"] for vector in load("brought")} == set(table)
    for vector in load("brought"):
        joint = Joint(kind=kinds[vector["kind"]]) if vector["kind"] else None
        rule = table[vector["action"]]
        told = actions.opens_steering(rule, joint), lines.brought_by(rule, joint)
        assert (vector["action"], *told) == (
            vector["action"], vector["opens_steering"], vector["brings"],
        )  # fmt: skip


def test_what_moved_twice_running_asks_for_its_cause(
    house: House, subtests: pytest.Subtests
) -> None:
    joint, by = house.joint("track_bar_frame_end"), house.technician.person
    for vector in load("causes"):
        with subtests.test(vector["name"]), undone():
            for ago, code in enumerate(reversed(vector["looks"]), 1):
                why = {"reason": "no light"} if code == "not_reached" else {}
                build.finding(joint, by, code, at=house.now - timedelta(days=ago), **why)
            ticket = build.ticket(house.vehicle, by)
            for action, looked in vector["lines"]:
                line = build.line(ticket, joint, action=action)
                build.entry(line, by, {"cause_looked_for": {"value": looked}})
            lacking = closing.work_problems(closing.Job.of(ticket))
            named = {row.pk: row.action for row in ticket.lines.all()}
            found = [named[one.line_id or 0] for one in lacking if one.code == "cause_missing"]
            assert sorted(found) == sorted(vector["missing"])


def test_the_sheets_moment_is_the_tests_own() -> None:
    assert datetime.fromisoformat(LOOKS["when"]) == START.astimezone(UTC)
