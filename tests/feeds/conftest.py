"""Calendar feeds, fetched as a calendar program fetches them: by their address, with no sign-in.

Each calendar is read by our strict reader of RFC 5545, by `icalendar`, and by `vobject`.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import icalendar
import pytest
import time_machine
import vobject
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.operations.actor import Actor
from fleet.operations.feeds import NewFeed, make_feed
from fleet.records.models import Person, Recheck, Vehicle, Yard
from tests import build, people, strict_calendar
from tests.build import NOW
from tests.strict_calendar import Component


@pytest.fixture(autouse=True)
def _at_noon() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def alder(db: None) -> Yard:
    return build.yard("Alder")


@pytest.fixture
def truck(alder: Yard) -> Vehicle:
    return build.vehicle(alder, "A-101")


@pytest.fixture
def owed(truck: Vehicle) -> Recheck:
    return build.recheck(truck, build.joint(truck))


@pytest.fixture
def lena(alder: Yard) -> Person:
    return people.person("Lena", "scheduler", alder)


def subscribe(who: Person, new: NewFeed) -> str:
    """The path that a calendar program asks for."""
    made = make_feed(Actor(who), new, at=timezone.now())
    return reverse("feed", args=[made.token])


@pytest.fixture
def path(lena: Person, alder: Yard) -> str:
    return subscribe(lena, NewFeed("yard", yard_id=alder.pk))


def fetched(path: str) -> Component:
    """What stands there, read strictly; the other two readers find the same events."""
    answer = Client().get(path)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    found = strict_calendar.read(answer.content)
    uids = [each.values["UID"] for each in found.inside]
    theirs = icalendar.Calendar.from_ical(answer.content)
    assert [str(each["UID"]) for each in theirs.walk("VEVENT")] == uids
    assert not theirs.errors
    others = vobject.readOne(answer.content.decode())
    assert [each.uid.value for each in getattr(others, "vevent_list", [])] == uids
    return found


def only(found: Component) -> Component:
    [event] = found.inside
    return event


def later(**by: float) -> Any:
    return time_machine.travel(NOW + timedelta(**by), tick=False)


def move(owed: Recheck, day: date) -> None:
    Recheck.objects.filter(pk=owed.pk).update(falls_on=day)


def pay(owed: Recheck) -> None:
    Recheck.objects.filter(pk=owed.pk).update(state="done", done_at=timezone.now())
