"""Patterns by statistics over a stored record: found, told apart, kept, answered."""

from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest

from fleet.operations import exposures
from fleet.operations.actor import Actor
from fleet.operations.patterns import judge_pattern
from fleet.operations.scan_fleet import scan_fleet
from fleet.records.models import (
    Baseline,
    Exposure,
    Pattern,
    Person,
    TorqueTool,
    TrailEntry,
    Vehicle,
)
from tests import build, people
from tests.history.years import STEP, Years, live

SINCE = datetime(2023, 1, 2, 15, 0, tzinfo=UTC)
LOOKS = 30
END = SINCE + LOOKS * STEP


@pytest.fixture
def boss(db: None) -> Actor:
    who = people.manager(all_yards=True)
    for key, value in (("repeat_window_days", 365), ("repeat_count", 2)):
        build.rule("setting", key, {"value": value}, who)
    return Actor(who, "command")


@pytest.fixture
def crew(db: None) -> list[Person]:
    return [people.technician(), people.colleague()]


def bad_tool(_vehicle: Vehicle, tool: TorqueTool, _at: datetime) -> float:
    return 6.0 if tool.code == "TW-0" else 1.0


@pytest.fixture
def with_bad_tool(crew: list[Person]) -> Years:
    return live(crew, vehicles=30, looks=LOOKS, since=SINCE, seed=4, factor=bad_tool)


SHOWN = ("kind", "key", "statistic", "evidence", "opened_at", "last_evidence_at", "yard_id")


def patterns() -> list[dict[str, Any]]:
    rows = Pattern.objects.exclude(kind="repeat_loosening").order_by("key")
    return [{name: getattr(row, name) for name in SHOWN} for row in rows]


def tool_pattern(made: Years) -> Pattern:
    return Pattern.objects.get(key=f"tightness:tool:{made.tools[0].pk}")


def test_a_tool_that_leaves_joints_loose_is_found_and_nothing_else(
    with_bad_tool: Years, boss: Actor
) -> None:
    scan_fleet(boss, at=END)
    assert [row["key"] for row in patterns()] == [f"tightness:tool:{with_bad_tool.tools[0].pk}"]
    told = tool_pattern(with_bad_tool).statistic
    assert told["low"] > 1.5 < told["ratio"]
    assert told["low"] < 6 < told["high"] * 1.5
    assert told["p_above"] < 0.05
    assert tool_pattern(with_bad_tool).opened_at < END - timedelta(days=200)


def test_evidence_is_what_was_found_loose_after_that_tool_had_tightened_it(
    with_bad_tool: Years, boss: Actor
) -> None:
    scan_fleet(boss, at=END)
    row = tool_pattern(with_bad_tool)
    found = Exposure.objects.filter(finding__in=row.evidence["findings"])
    assert found.count() == row.statistic["observed"]
    assert set(found.values_list("tool", "loose")) == {(with_bad_tool.tools[0].pk, True)}


def test_a_clean_record_shows_nothing(crew: list[Person], boss: Actor) -> None:
    live(crew, vehicles=30, looks=LOOKS, since=SINCE, seed=4)
    scan_fleet(boss, at=END)
    assert patterns() == []


def test_one_persons_own_tool_is_never_shown(crew: list[Person], boss: Actor) -> None:
    """Decision 30: it would be about a person."""
    live(crew[:1], vehicles=30, looks=LOOKS, since=SINCE, seed=4, factor=bad_tool)
    scan_fleet(boss, at=END)
    assert not [row for row in patterns() if row["kind"] == "tool"]


def test_a_yard_is_told_with_its_duty_where_nothing_tells_them_apart(
    crew: list[Person], boss: Actor
) -> None:
    made = live(
        crew, vehicles=40, looks=LOOKS, since=SINCE, seed=2, yards=4,
        factor=lambda vehicle, *_: 5.0 if vehicle.yard.name == "Yard 1" else 1.0,
    )  # fmt: skip
    scan_fleet(boss, at=END)
    [row] = patterns()
    there = made.yards[1].pk
    told = {(one["label"], one["member"]) for one in row["statistic"]["not_told_apart"]}
    assert {(row["statistic"]["label"], row["statistic"]["member"])} | told == {
        ("yard", f"{there}"), ("yard_duty", f"{there}|gravel"),
    }  # fmt: skip
    assert row["yard_id"] == there


def test_scanned_every_week_or_once_at_the_end_it_is_the_same(
    with_bad_tool: Years, boss: Actor
) -> None:
    for moment in (END - timedelta(days=400), END - timedelta(days=100), END):
        scan_fleet(boss, at=moment)
    often = patterns()
    Pattern.objects.exclude(kind="repeat_loosening").delete()
    assert scan_fleet(boss, at=END) == 1
    assert patterns() == often


def test_scanning_again_writes_nothing(with_bad_tool: Years, boss: Actor) -> None:
    scan_fleet(boss, at=END)
    steps = TrailEntry.objects.count()
    assert scan_fleet(boss, at=END + timedelta(hours=5)) == 0
    assert TrailEntry.objects.count() == steps


@pytest.mark.parametrize("seed", range(4))
def test_vehicle_by_vehicle_as_tickets_close_is_the_same_as_a_full_scan(
    crew: list[Person], boss: Actor, seed: int
) -> None:
    """Decision 34: at the same baselines. Facts come vehicle by vehicle, in an order of chance."""
    made = live(crew, vehicles=12, looks=14, since=SINCE, seed=seed, factor=bad_tool)
    exposures.ensure_baselines(END)
    order = np.random.default_rng(seed).permutation(len(made.vehicles))
    for place in order:
        exposures.refresh([made.vehicles[place].pk])
    kept = list(Exposure.objects.order_by("finding").values().iterator())
    Exposure.objects.all().delete()
    exposures.refresh([vehicle.pk for vehicle in made.vehicles])
    full = list(Exposure.objects.order_by("finding").values().iterator())
    assert kept
    assert [{**row, "id": 0} for row in kept] == [{**row, "id": 0} for row in full]


def test_what_was_usual_in_a_month_is_never_changed_by_what_is_heard_later(
    with_bad_tool: Years, boss: Actor
) -> None:
    scan_fleet(boss, at=END - timedelta(days=300))
    then = list(Baseline.objects.values("month", "usual", "spread"))
    scan_fleet(boss, at=END)
    now = {row["month"]: row for row in Baseline.objects.values("month", "usual", "spread")}
    assert all(now[row["month"]] == row for row in then)
    assert len(now) > len(then)


def acted(row: Pattern, boss: Actor, at: datetime) -> None:
    row.refresh_from_db()
    judge_pattern(boss, row.pk, to="acted_on", text="Calibrated", at=at)


def test_set_aside_it_stays_so_until_there_is_evidence_since(
    with_bad_tool: Years, boss: Actor
) -> None:
    middle = END - timedelta(days=600)
    scan_fleet(boss, at=middle)
    row = tool_pattern(with_bad_tool)
    judge_pattern(boss, row.pk, to="set_aside", text="Seen before", at=middle)
    scan_fleet(boss, at=middle + timedelta(days=14))
    row.refresh_from_db()
    assert row.state == "set_aside"
    scan_fleet(boss, at=END)
    row.refresh_from_db()
    assert row.state == "open"


def test_an_action_that_did_not_help_is_told(with_bad_tool: Years, boss: Actor) -> None:
    middle = END - timedelta(days=600)
    scan_fleet(boss, at=middle)
    row = tool_pattern(with_bad_tool)
    acted(row, boss, middle)
    scan_fleet(boss, at=middle + timedelta(days=10))
    row.refresh_from_db()
    assert (row.state, row.verdict["verdict"]) == ("too_early", "too_early")
    scan_fleet(boss, at=END)
    row.refresh_from_db()
    assert row.verdict["seen"] > 3
    assert row.state in ("did_not_help", "too_early")


def test_an_action_that_helped_is_told(crew: list[Person], boss: Actor) -> None:
    """The tool is good from the middle on: its joints hold as others do."""
    middle = SINCE + 16 * STEP

    def mended(vehicle: Vehicle, tool: TorqueTool, at: datetime) -> float:
        return bad_tool(vehicle, tool, at) if at < middle else 1.0

    made = live(crew, vehicles=40, looks=LOOKS, since=SINCE, seed=8, factor=mended)
    scan_fleet(boss, at=middle)
    row = tool_pattern(made)
    acted(row, boss, middle)
    scan_fleet(boss, at=END + timedelta(days=14))
    row.refresh_from_db()
    assert (row.state, row.verdict["verdict"]) == ("helped", "helped"), row.verdict
    assert row.verdict["seen"] < row.verdict["predicted"]
