"""What a sweep made, when its rule changes: the look stays as its joint asks for it, and the sweep
goes on by the new row."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.utils import translation

from fleet.operations.put_off import PutOff, put_off, take_put_off_back
from fleet.operations.rule_change import change_rule
from fleet.operations.rule_data import NewRule
from fleet.operations.rule_figures import Step
from fleet.reads.sweeps.progress import BECAME, Progress, sentence
from fleet.records.models import JointKind, Recheck, Sweep, SweepJoint
from tests import build
from tests.operations.conftest import House
from tests.operations.test_sweeps import AXLE, FRAME, counts, fails, retorqued, swept

SOONER = NewRule("ladder", "sweep", (Step("50 mi", "4", "3"),), reason="Sooner", anew=True)
LATER = replace(SOONER, steps=(Step("200 mi", "14", "10"),), reason="There is time")
BUSHING = "sway_bar_mounts"


@pytest.fixture
def sweep(house: House) -> Sweep:
    """Of a lot of bushings: no wrench tells whether one is worn, and none holds a vehicle."""
    pried = {"moved_methods": [], "play_methods": ["pry"], "holds": False}
    JointKind.objects.filter(code=BUSHING).update(**pried)
    joint = house.joint(BUSHING)
    build.part(joint, house.manager.person, at=house.now, number="SB-220", lot="L7")
    since = house.now - timedelta(days=1)
    house.later(days=1)
    return swept(house, of="lot", tool_id=None, number="SB-220", lot="L7", since=since)


def row(house: House) -> Recheck:
    return Recheck.objects.get(ladder="sweep", state__in=Recheck.LIVE)


def test_made_anew_it_is_looked_at_as_its_joint_asks_for(house: House, sweep: Sweep) -> None:
    first = row(house)
    assert (first.methods, first.hold_at_twice) == (["pry"], False)
    change_rule(house.manager, SOONER, at=house.now)
    again = row(house)
    assert again.pk != first.pk
    assert again.falls_on < first.falls_on
    assert (again.methods, again.hold_at_twice) == (first.methods, first.hold_at_twice)


def test_put_off_it_keeps_its_time_and_taken_back_it_is_made_anew(
    house: House, sweep: Sweep
) -> None:
    first = row(house)
    until = first.falls_on + timedelta(days=2)
    put_off(house.manager, PutOff(first.pk, until, "At the far yard"), at=house.now)
    change_rule(house.manager, LATER, at=house.now)
    assert (row(house).pk, row(house).falls_on) == (first.pk, until)
    take_put_off_back(house.manager, first.pk, at=house.now)
    change_rule(house.manager, replace(SOONER, steps=(Step("60 mi", "5", "4"),)), at=house.now)
    assert (row(house).methods, row(house).falls_on <= first.falls_on) == (first.methods, True)


def test_the_sweep_goes_on_by_the_new_row(house: House, sweep: Sweep) -> None:
    change_rule(house.manager, SOONER, at=house.now)
    # Nobody has worked on it.
    assert counts(house, sweep) == {"left": 1}
    assert SweepJoint.objects.get(sweep=sweep).recheck == row(house)


def test_two_joints_of_a_tool_each_keep_their_own(house: House) -> None:
    retorqued(house, FRAME, house.tool)
    retorqued(house, AXLE, house.tool)
    fails(house)
    sweep = swept(house)
    change_rule(house.manager, LATER, at=house.now)
    assert counts(house, sweep) == {"left": 2}
    listed = SweepJoint.objects.filter(sweep=sweep).select_related("recheck")
    assert all(one.recheck and one.recheck.joint_id == one.joint_id for one in listed)


@pytest.mark.parametrize(
    ("loose", "tight", "said"),
    [(1, 0, "Of 1 joint looked at, 1 was not sound: "),
     (1, 4, "Of 5 joints looked at, 1 was not sound: "),
     (2, 3, "Of 5 joints looked at, 2 were not sound: "),
     (0, 1, "Of 1 joint looked at, 0 were not sound: ")],
)  # fmt: skip
def test_one_joint_is_told_as_one(loose: int, tight: int, said: str) -> None:
    counts = dict.fromkeys(BECAME, 0) | {"loose": loose, "tight": tight}
    assert sentence(Progress(counts)).startswith(said)


def test_and_in_spanish() -> None:
    counts = dict.fromkeys(BECAME, 0) | {"loose": 1}
    with translation.override("es"):
        assert sentence(Progress(counts)).startswith("De 1 junta revisada, 1 no estaba bien: ")
