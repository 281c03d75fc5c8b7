"""A joint that has loosened twice after being tightened, and the notice of it in the outbox."""

import pytest

from fleet.operations.actor import Actor
from fleet.records.models import Joint, Outbox, Yard
from tests import build, people
from tests.tasks.waiting import notice_of, twice_loosened

SETTINGS = {"repeat_window_days": 365, "repeat_count": 2, "hold_at_multiple": 2}


@pytest.fixture
def yard(db: None) -> Yard:
    return build.yard()


@pytest.fixture
def boss(yard: Yard) -> Actor:
    who = people.manager()
    for key, value in SETTINGS.items():
        build.rule("setting", key, {"value": value}, who)
    return Actor(who)


@pytest.fixture
def loosened(yard: Yard, boss: Actor) -> Joint:
    """Tightened and found moved, twice: the pattern is there to be found."""
    return twice_loosened(build.vehicle(yard), boss.person)


@pytest.fixture
def notice(loosened: Joint, boss: Actor) -> Outbox:
    return notice_of(loosened.vehicle, boss.person)
