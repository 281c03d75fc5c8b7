"""What is foretold while a sheet is typed is what recording it then says and does."""

from datetime import date
from itertools import product
from typing import Any

import pytest

from fleet.operations.foretell import Foretold, foretell
from fleet.operations.looks import Look
from fleet.records.models import Finding, Hold, Rule, Ticket, Vehicle
from tests.operations.conftest import RETORQUE, House, a_tool
from tests.operations.tables import refusal, row_counts, undone


def told(house: House, look: Look) -> Foretold:
    vehicle = Vehicle.objects.select_related("design", "yard").get(pk=house.vehicle.pk)
    (one,) = foretell(house.technician.person, vehicle, (look,), house.now)
    return one


def same(house: House, look: Look) -> str:
    """Foretold and then recorded: returns the response, or 'refused' where both refuse alike."""
    one = told(house, look)
    foretold = {(problem.code, problem.field) for problem in one.problems}
    if foretold:
        assert refusal(house.inspect, look) == foretold
        return "refused"
    finding: Finding = house.inspect(look).findings.get()
    assert one.judged is not None
    verdict = one.judged.verdict
    assert (verdict.response, verdict.answer) == (finding.response, finding.answer)
    assert (verdict.limit_m, verdict.citation) == (finding.limit_m, finding.limit_citation)
    assert one.judged.rule.version == finding.rule_version
    torque = getattr(finding, "torque", None)
    assert one.band == (torque.band if torque else "")
    assert verdict.response == "hold" or not Hold.objects.filter(finding=finding).exists()
    assert (verdict.response == "note") is not Ticket.objects.filter(
        lines__from_finding=finding
    ).exists()
    return str(verdict.response)


JOINTS = (
    ("track_bar_frame_end", ""), ("drag_link_frame_end", ""), ("tie_rod_end", "left"),
    ("gear_lash", ""), ("ball_joint_lower", "right"), ("wheel_nuts", "left"),
    ("unit_bearing", "left"), ("damper_link_end", ""),
)  # fmt: skip
PLAYS = ("", "1/4 in", "9/32", "0,4 in", "2 1/16 in", "a bit")
# Kilograms, rim, steering wheel: light, heavy on 22.5 in rims, and where nothing is on file.
LIGHT = {"gross_weight_kg": 4_000, "wheel_diameter_m": 0.4064, "steering_wheel_m": 0.4064}
HEAVY = {"gross_weight_kg": 6_000, "wheel_diameter_m": 0.5715, "steering_wheel_m": 0.508}
UNKNOWN = {"gross_weight_kg": None, "wheel_diameter_m": None, "steering_wheel_m": None}
TRUCKS = [
    pytest.param(LIGHT, "us-570", id="to 10,000 lb by 49 CFR 570"),
    pytest.param(HEAVY, "us-570", id="heavier, on 22.5 in rims"),
    pytest.param(UNKNOWN, "us-570", id="nothing on file"),
    pytest.param(HEAVY, "us-393", id="heavier by 49 CFR 393"),
]


@pytest.mark.parametrize(("truck", "regime"), TRUCKS)
def test_play_as_foretold_is_play_as_recorded(
    house: House, truck: dict[str, Any], regime: str
) -> None:
    Vehicle.objects.update(**truck)
    regime_is(regime)
    seen = set()
    for (kind, side), play in product(JOINTS, PLAYS):
        with undone():
            look = house.look(kind, "play", side, method="dry_steer", play=play)
            seen.add(same(house, look))
    assert seen == {"hold", "line", "refused"}


def regime_is(code: str) -> None:
    row = Rule.objects.get(kind="setting", key="limit_regime")
    row.data = {**row.data, "value": code}
    row.save()


CODES = ("no_play", "moved", "worn_out", "cracked", "bent", "broken_or_missing", "boot_torn",
         "not_reached", "nonsense")  # fmt: skip


def test_every_other_finding_as_foretold_is_as_recorded(house: House) -> None:
    seen = set()
    for (kind, side), code, method in product(JOINTS[::2], CODES, ("", "witness_mark")):
        with undone():
            seen.add(same(house, house.look(kind, code, side, method=method, degrees="29")))
    assert seen == {"hold", "line", "note", "refused"}


@pytest.mark.parametrize("code", ["tight", "moved"])
def test_a_wrench_as_foretold_is_as_recorded(house: House, code: str) -> None:
    """In date and out of date; below, within and above 115 to 135 lbf·ft; past its range."""
    old = a_tool(house.manager, house.yard, "TW-2", good_until=date(2026, 4, 1))
    bands, seen = set(), set()
    tools = (house.tool.pk, old.pk, None)
    torques = ("", "20", "115", "170 N·m", "140", "260", "tight")
    for kind, torque, tool in product(("track_bar_frame_end", "damper_link_end"), torques, tools):
        with undone():
            look = house.look(kind, code, method="wrench", torque=torque, tool_id=tool, degrees="9")
            seen.add(same(house, look))
            bands.add(told(house, look).band)
    assert seen == {"note", "refused"}
    assert bands == {"", "below", "inside", "above", "no_spec"}


def test_moved_the_second_time_running_is_foretold_to_hold(house: House) -> None:
    look = house.look("track_bar_frame_end", "moved", method="witness_mark", degrees="5")
    assert same(house, look) == "note"
    house.later(days=3)
    assert same(house, look) == "hold"


def test_what_comes_late_and_was_repaired_since_is_foretold_as_a_note(house: House) -> None:
    look = house.look("track_bar_frame_end", "worn_out", method="look")
    found = house.now
    house.later(days=1)
    house.repair(("retorque", "track_bar_frame_end", RETORQUE))
    house.now = found
    one = told(house, look)
    assert one.judged is not None
    assert one.judged.verdict.response == "note"


def test_foretelling_writes_nothing(house: House) -> None:
    before = row_counts()
    told(house, house.look("track_bar_frame_end", "play", method="dry_steer", play="1/8"))
    assert row_counts() == before


def test_a_figure_half_typed_is_told_as_far_as_it_goes(house: House) -> None:
    """No word yet on how it was looked at: the line is told all the same."""
    one = told(house, house.look("tie_rod_end", "play", "left", play="1/8"))
    assert {problem.code for problem in one.problems} == {"method_missing"}
    assert one.wrong == []
    assert one.judged is not None
    assert one.judged.verdict.answer == "inside"


def test_under_393_the_linkage_has_no_figure_and_a_person_decides(house: House) -> None:
    """49 CFR 393.209(d), as read in a copy of the eCFR, prints none for the joints."""
    regime_is("us-393")
    look = house.look("tie_rod_end", "play", "left", method="dry_steer", play="1/8")
    one = told(house, look)
    assert one.judged is not None
    assert (one.judged.verdict.answer, one.judged.verdict.limit) == ("no_limit", None)
    assert same(house, look) == "hold"


def test_a_regime_that_nobody_knows_counts_as_none_chosen(house: House) -> None:
    regime_is("moon-1")
    one = told(house, house.look("tie_rod_end", "play", "left", method="dry_steer", play="1/8"))
    assert one.judged is not None
    assert one.judged.verdict.citation == "49 CFR 570.7(b)"


def test_many_looks_are_foretold_in_one_go_each_on_its_own(house: House) -> None:
    vehicle = Vehicle.objects.select_related("design", "yard").get()
    looks = tuple(
        house.look(kind, "play", side, method="dry_steer", play=play)
        for (kind, side), play in zip(JOINTS, PLAYS, strict=False)
    )
    many = foretell(house.technician.person, vehicle, looks, house.now)
    for look, one in zip(looks, many, strict=True):
        alone = told(house, look)
        assert (one.judged and one.judged.verdict) == (alone.judged and alone.judged.verdict)
        assert [p.code for p in one.problems] == [p.code for p in alone.problems]
