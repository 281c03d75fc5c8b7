"""Which vehicles a scan reckons again, and that reading as numbers loses nothing."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from fleet.operations import exposures, meters
from fleet.operations.actor import Actor, server_actor
from fleet.operations.reckoning import reckon
from fleet.operations.scan_fleet import scan_fleet
from fleet.reads.history import numbers
from fleet.records.models import Exposure, Joint, JointKind, Person, TorqueTool
from tests import build, people
from tests.build import NOW
from tests.history.test_exposures import MILE, look, turn
from tests.history.years import STEP, live


@pytest.fixture
def by(db: None) -> Person:
    boss = people.manager(all_yards=True)
    for key, value in (("repeat_window_days", 365), ("repeat_count", 2)):
        build.rule("setting", key, {"value": value}, boss)
    return boss


@pytest.fixture
def joint(by: Person) -> Joint:
    return build.joint(build.vehicle(build.yard()))


@pytest.fixture
def wrench(joint: Joint) -> TorqueTool:
    return build.tool(joint.vehicle.yard)


def behind() -> list[int]:
    return list(reckon().versions)


def scan() -> None:
    scan_fleet(server_actor("command"), at=NOW + timedelta(days=60))


def test_a_scan_reckons_only_vehicles_on_which_something_happened(joint: Joint, by: Person) -> None:
    other = build.vehicle(joint.vehicle.yard, "V-2")
    assert behind() == [joint.vehicle_id, other.pk]
    scan()
    assert behind() == []
    reading = meters.Reading(other.pk, "1000", occurred_at=NOW)
    meters.record_meter(Actor(by), reading, at=NOW + timedelta(days=1))
    assert behind() == [other.pk]


def test_other_rules_have_every_vehicle_reckoned_again(joint: Joint) -> None:
    scan()
    JointKind.objects.filter(pk=joint.kind_id).update(play_methods=["feel"])
    assert behind() == [joint.vehicle_id]


def test_a_complaint_is_counted_by_the_scan_once_the_meter_has_got_there(
    joint: Joint, by: Person, wrench: TorqueTool
) -> None:
    """The reading brings no notice; it moves the vehicle's version."""
    turn(joint, by, wrench, 0, 1000)
    look(joint, by, "moved", 10, 1300, why="complaint", due_use_si=1500 * MILE)
    scan()
    assert not Exposure.objects.exists()
    reading = meters.Reading(joint.vehicle_id, "1520", occurred_at=NOW + timedelta(days=25))
    meters.record_meter(Actor(by), reading, at=NOW + timedelta(days=26))
    scan()
    assert Exposure.objects.get().at == NOW + timedelta(days=25)


def test_what_came_before_its_months_baseline_is_weighed_when_there_is_one(by: Person) -> None:
    since = datetime(2023, 1, 2, 15, 0, tzinfo=UTC)
    live([by, people.colleague()], vehicles=20, looks=20, since=since, seed=3)
    end = since + 20 * STEP
    scan_fleet(server_actor("command"), at=end)
    full = list(Exposure.objects.order_by("finding").values_list("expected", "spent"))
    waiting = Exposure.objects.filter(spent__isnull=False, at__gte=end - 6 * STEP)
    assert waiting.update(baseline=None, expected=None, spent=None)
    exposures.weigh_waiting()
    assert list(Exposure.objects.order_by("finding").values_list("expected", "spent")) == full


def test_moments_are_read_to_the_microsecond(joint: Joint, by: Person) -> None:
    moments = [
        datetime(2024, 2, 29, 23, 59, 59, 999_999, tzinfo=UTC), datetime(2024, 3, 1, tzinfo=UTC),
        datetime(1999, 12, 31, 0, 0, 0, 1, tzinfo=UTC),
    ]  # fmt: skip
    for moment in moments:
        build.finding(joint, by, "no_play", moment)
    rows = joint.findings.order_by("pk")
    found = numbers.read(rows, at=numbers.moment("occurred_at"), use=numbers.measure("use_si"),
                         code=numbers.text("code"))  # fmt: skip
    epoch = datetime(1970, 1, 1, tzinfo=UTC)
    assert [epoch + timedelta(microseconds=at) for at in found["at"].tolist()] == moments
    assert found["code"].tolist() == [0, 0, 0]
    assert np.isfinite(found["use"]).tolist() == [row.use_si is not None for row in rows]


def test_more_rows_than_a_block_come_in_order(
    joint: Joint, by: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(numbers, "BLOCK", 2)
    rows = [build.finding(joint, by, "no_play", NOW + timedelta(days=day)) for day in range(5)]
    found = numbers.read(joint.findings.order_by("-pk"), one=numbers.ident("pk"))
    assert found["one"].tolist() == [row.pk for row in rows][::-1]
    assert numbers.read(joint.findings.filter(pk__in=[]), one=numbers.ident("pk"))["one"].size == 0
