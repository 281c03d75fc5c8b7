"""Sweeps: from a doubted tool, lot or way of tightening to every joint it touched."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import sweeps, tools
from fleet.operations.actor import Actor
from fleet.operations.errors import Conflict, NotAllowed, Refused
from fleet.operations.sweeps import NewSweep
from fleet.reads.sweeps.progress import Progress, joints_of, progress_of, sentence
from fleet.reads.sweeps.progress import sweeps as sweeps_of
from fleet.reads.sweeps.touched import believed
from fleet.records.models import Recheck, Sweep, TorqueTool, TrailEntry
from tests import build, people
from tests.operations.conftest import RETORQUE, TRACK_BAR, House, a_tool
from tests.operations.tables import refusal

FRAME, AXLE = "track_bar_frame_end", "track_bar_axle_end"


@pytest.fixture
def spare(house: House) -> TorqueTool:
    """A second wrench that nobody doubts."""
    return a_tool(house.manager, house.yard, "TW-2")


def retorqued(house: House, kind: str, tool: TorqueTool) -> None:
    """Found tight by this wrench."""
    house.inspect(house.look(kind, "tight", method="wrench", torque="125 lbf·ft", tool_id=tool.pk),
                  kind="retorque")  # fmt: skip


def fails(house: House) -> None:
    """The wrench is found out a week later."""
    house.later(days=7)
    tools.calibrate(house.manager, house.tool.pk, "C-2", passed=False, on=house.now.date(),
                    at=house.now, worst_deviation=0.12)  # fmt: skip


def swept(house: House, **said: Any) -> Sweep:
    new = NewSweep(**{"of": "tool", "tool_id": house.tool.pk, "reason": "reads high", **said})
    return sweeps.open_sweep(house.manager, new, at=house.now).row


def counts(house: House, sweep: Sweep) -> dict[str, int]:
    """How many joints came to what; none is left out."""
    found = progress_of(sweeps_of(house.manager.person).get(pk=sweep.pk)).counts
    return {name: n for name, n in found.items() if n}


def became(house: House, sweep: Sweep) -> dict[str, str]:
    rows: Any = joints_of(house.manager.person, sweep)
    return {row.joint.kind.code: row.became for row in rows}


def test_every_joint_since_the_last_good_day_is_owed_a_look_with_a_wrench(
    house: House, spare: TorqueTool
) -> None:
    retorqued(house, FRAME, house.tool)
    retorqued(house, AXLE, house.tool)
    retorqued(house, "sway_bar_mounts", spare)
    fails(house)
    sweep = swept(house)
    assert became(house, sweep) == {FRAME: "left", AXLE: "left"}
    rows = Recheck.objects.filter(ladder="sweep")
    assert {(row.kind, tuple(row.methods), row.hold_at_twice) for row in rows} == {
        ("sweep", ("wrench",), True)
    }
    assert all(row.started_at == house.now and row.due_on is not None for row in rows)
    assert sweep.since == believed(house.tool).last_good
    told = TrailEntry.objects.get(verb="open_sweep")
    assert (told.after["joints"], told.after["rechecks"]) == (2, 2)


def test_what_was_tightened_since_by_a_good_wrench_needs_no_look(
    house: House, spare: TorqueTool
) -> None:
    retorqued(house, FRAME, house.tool)
    retorqued(house, AXLE, house.tool)
    house.later(days=1)
    retorqued(house, AXLE, spare)
    fails(house)
    assert became(house, swept(house)) == {FRAME: "left", AXLE: "done_since"}


def test_what_it_pulled_after_it_was_good_again_is_not_doubted(house: House) -> None:
    retorqued(house, FRAME, house.tool)
    fails(house)
    house.later(days=1)
    tools.calibrate(house.manager, house.tool.pk, "C-3", passed=True, on=house.now.date(),
                    at=house.now)  # fmt: skip
    house.later(days=1)
    retorqued(house, AXLE, house.tool)
    assert became(house, swept(house)) == {FRAME: "left"}


def test_a_look_pays_at_once_and_says_what_was_found(house: House, spare: TorqueTool) -> None:
    retorqued(house, FRAME, house.tool)
    retorqued(house, AXLE, house.tool)
    fails(house)
    sweep = swept(house)
    house.later(hours=1)
    retorqued(house, FRAME, spare)
    house.inspect(house.look(AXLE, "moved", method="wrench", degrees="15", torque="125 lbf·ft",
                             tool_id=spare.pk), kind="sweep")  # fmt: skip
    assert became(house, sweep) == {FRAME: "tight", AXLE: "loose"}
    # What moved starts the ladder of its own kind, and no second sweep.
    live = Recheck.objects.filter(joint=house.joint(AXLE), state__in=Recheck.LIVE)
    assert "sweep" not in {row.ladder for row in live}
    assert live.filter(kind="retorque").exists()


def test_the_doubted_wrench_pays_nothing(house: House) -> None:
    retorqued(house, FRAME, house.tool)
    fails(house)
    sweep = swept(house)
    house.later(hours=1)
    house.inspect(house.look(FRAME, "moved", method="wrench", degrees="15", torque="125 lbf·ft",
                             tool_id=house.tool.pk), kind="sweep")  # fmt: skip
    assert became(house, sweep) == {FRAME: "left"}


def test_work_on_a_ticket_pays_too(house: House, spare: TorqueTool) -> None:
    retorqued(house, FRAME, house.tool)
    fails(house)
    sweep = swept(house)
    house.later(hours=1)
    house.repair(("retorque", FRAME, {**RETORQUE, "tool": spare.code}))
    assert became(house, sweep) == {FRAME: "worked_on"}


def test_a_lot_is_swept_where_it_is_still_in_place(house: House) -> None:
    house.repair(("replace_track_bar", FRAME, TRACK_BAR))
    lot = {"of": "lot", "tool_id": None, "number": "tb-114", "lot": "l7", "since": house.now}
    house.later(days=1)
    sweep = swept(house, **lot)
    assert set(became(house, sweep).values()) == {"left"}
    house.later(days=1)
    house.repair(("replace_track_bar", FRAME, {**TRACK_BAR, "part_lot": "L8"}))
    assert counts(house, sweep).keys() <= {"worked_on", "left"}
    assert became(house, sweep)[FRAME] == "worked_on"
    house.later(days=1)
    sweeps.close_sweep(house.manager, sweep.pk, "the rest is planned", at=house.now)
    again = swept(house, **lot)
    assert became(house, again)[FRAME] == "gone"


def test_a_way_of_tightening_is_swept(house: House, spare: TorqueTool) -> None:
    since = house.now
    house.later(hours=1)
    house.repair(("retorque", FRAME, {**RETORQUE, "tool": spare.code}))
    house.later(days=1)
    sweep = swept(house, of="practice", tool_id=None, practice="factory, dry", since=since)
    assert became(house, sweep) == {FRAME: "left"}
    oiled = {"of": "practice", "tool_id": None, "practice": "factory, oiled", "since": since}
    assert refusal(lambda: swept(house, **oiled)) == {("nothing_touched", "since")}
    late = {**oiled, "practice": "factory, dry", "since": house.now - timedelta(minutes=1)}
    with pytest.raises(Refused) as refused:
        swept(house, **late)
    assert "The last before it was on Sep 1, 2026" in refused.value.problems[0].message


def test_it_ends_with_a_figure(house: House, spare: TorqueTool) -> None:
    retorqued(house, FRAME, house.tool)
    retorqued(house, AXLE, house.tool)
    fails(house)
    sweep = swept(house)
    house.later(hours=1)
    house.inspect(house.look(FRAME, "moved", method="wrench", degrees="15", torque="125 lbf·ft",
                             tool_id=spare.pk), kind="sweep")  # fmt: skip
    with_one_left = refusal(lambda: sweeps.close_sweep(house.manager, sweep.pk, at=house.now))
    assert with_one_left == {("joints_left", "said")}
    retorqued(house, AXLE, spare)
    closed = sweeps.close_sweep(house.manager, sweep.pk, at=house.now).row
    assert (closed.state, closed.figure["listed"], closed.figure["loose"]) == ("closed", 2, 1)
    # Clopper-Pearson for 1 of 2, by SciPy's binomtest.
    assert (closed.figure["low"], closed.figure["high"]) == (0.0126, 0.9874)
    told = sentence(progress_of(sweeps_of(house.manager.person).get(pk=sweep.pk)))
    assert told.startswith("Of 2 joints looked at, 1 was not sound: 50 of 100")


def test_taken_back_it_owes_nothing_and_keeps_what_was_found(
    house: House, spare: TorqueTool
) -> None:
    retorqued(house, FRAME, house.tool)
    retorqued(house, AXLE, house.tool)
    fails(house)
    sweep = swept(house)
    house.later(hours=1)
    retorqued(house, FRAME, spare)
    sweeps.take_sweep_back(house.manager, sweep.pk, "the other wrench", at=house.now)
    states = dict(Recheck.objects.filter(ladder="sweep").values_list("joint__kind__code", "state"))
    assert states == {FRAME: "done", AXLE: "dropped"}
    again = swept(house)
    assert became(house, again)[AXLE] == "left"


def test_two_sweeps_over_one_joint_share_what_is_owed(house: House) -> None:
    since = house.now
    house.later(hours=1)
    house.repair(("retorque", FRAME, RETORQUE))
    fails(house)
    first = swept(house)
    second = swept(house, of="practice", tool_id=None, practice="factory, dry", since=since)
    assert Recheck.objects.filter(ladder="sweep").count() == 1
    sweeps.take_sweep_back(house.manager, first.pk, "not that", at=house.now)
    assert became(house, second) == {FRAME: "left"}


def test_what_is_refused(house: House, subtests: pytest.Subtests) -> None:
    retorqued(house, FRAME, house.tool)
    fails(house)
    never = a_tool(house.manager, house.yard, "TW-7")
    later = house.now + timedelta(days=1)
    cases: dict[str, tuple[dict[str, Any], tuple[str, str]]] = {
        "nothing said": ({"reason": " "}, ("reason_missing", "reason")),
        "no tool": ({"tool_id": None}, ("tool_missing", "tool")),
        "no such thing": ({"of": "person"}, ("of_unknown", "of")),
        "no lot": ({"of": "lot"}, ("lot_missing", "lot")),
        "no practice": ({"of": "practice"}, ("practice_missing", "practice")),
        "a lot without its day": ({"of": "lot", "lot": "L7"}, ("since_missing", "since")),
        "a day to come": ({"since": later}, ("since_late", "since")),
        "a tool that touched nothing": ({"tool_id": never.pk}, ("nothing_touched", "since")),
    }  # fmt: skip
    for name, (said, expected) in cases.items():
        with subtests.test(name):
            assert refusal(lambda said=said: swept(house, **said)) == {expected}
    swept(house)
    assert refusal(lambda: swept(house)) == {("open_already", "")}
    with pytest.raises(NotAllowed):
        sweeps.open_sweep(house.technician, NewSweep("tool", "x"), at=house.now)


def test_two_managers_at_once_end_it_once(house: House) -> None:
    retorqued(house, FRAME, house.tool)
    fails(house)
    sweep = swept(house)
    sweeps.close_sweep(house.manager, sweep.pk, "left for spring", at=house.now, expected_version=1)
    with pytest.raises(Conflict):
        sweeps.take_sweep_back(house.manager, sweep.pk, "no", at=house.now, expected_version=1)


def test_a_manager_of_one_yard_sweeps_it_and_does_not_end_what_reaches_further(
    house: House,
) -> None:
    far = build.yard("Mesa Tank")
    here = Actor(people.person("Yard manager", "manager", house.yard))
    away = Actor(people.person("Away manager", "manager", far))
    retorqued(house, FRAME, house.tool)
    fails(house)
    sweep = swept(house)
    assert list(joints_of(away.person, sweep)) == []
    assert joints_of(here.person, sweep).count() == 1
    refused = refusal(lambda: sweeps.close_sweep(away, sweep.pk, "done", at=house.now))
    assert refused == {("not_all_yours", "")}


def test_nothing_looked_at_makes_no_share() -> None:
    progress = Progress(dict.fromkeys(("left", "loose", "worse", "tight", "worked_on"), 0)
                        | {"done_since": 3, "gone": 0})  # fmt: skip
    assert (progress.share, sentence(progress)) == (None, "Nothing is looked at yet.")
