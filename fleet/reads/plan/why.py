"""Why work found no day, and which limits clash, in words that say what to do about it."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.utils import formats
from django.utils.translation import gettext, pgettext
from django.utils.translation import gettext_lazy as _

from fleet.calc.planning import Cause, Clash, Limit, Unplaced
from fleet.records.models import Skill

# The longest list of days that is written out.
MOST_DAYS = 4

CAUSES: dict[str, Any] = {
    Cause.BEFORE_EARLIEST: _("too early: it would pay nothing yet"),
    Cause.CLOSED: _("the yard is shut"),
    Cause.VEHICLE_AWAY: _("the vehicle is away"),
    Cause.VEHICLE_ELSEWHERE: _("the vehicle is at another yard"),
    Cause.LOCKED: _("the day is locked"),
    Cause.NO_SUCH_YARD: _("its yard has no hours"),
    Cause.NO_TRIP_DAY: _("nobody is at home there and no crew may come"),
    Cause.NOT_ENOUGH_PEOPLE: _("too few people who can do it are there"),
    Cause.PEOPLE_ELSEWHERE: _("those who can do it are at another yard"),
    Cause.TOO_LONG: _("it takes longer than the yard is open or its people are there"),
    Cause.BAYS_FULL: _("the bays are full"),
    Cause.PEOPLE_FULL: _("the people have no minutes left"),
    Cause.NOT_AT_ONCE: _("a bay and the people are not free at the same time"),
}
LIMITS: dict[str, Any] = {
    Limit.PIN: _("a pin"),
    Limit.LOCK: _("a locked day"),
    Limit.NOT_IN_PLAN: _("the days that were asked for"),
    Limit.BEFORE_EARLIEST: _("the day before which it would pay nothing"),
    Limit.NO_SUCH_YARD: _("a yard without hours"),
    Limit.CLOSED: _("a day on which the yard is shut"),
    Limit.VEHICLE_AWAY: _("the vehicle's days away"),
    Limit.VEHICLE_ONE_YARD: _("one vehicle in two yards on one day"),
    Limit.BAY_MINUTES: _("the minutes of the bays"),
    Limit.PEOPLE_THERE: _("how many people are there"),
    Limit.PEOPLE_MINUTES: _("the minutes of the people"),
    Limit.PERSON_SKILL: _("what the named person can do"),
    Limit.PERSON_THERE: _("the days of the named person"),
    Limit.PERSON_ONE_YARD: _("one person in two yards on one day"),
    Limit.PAIR: _("two people at once"),
    Limit.AT_ONCE: _("a bay and the people free at the same time"),
}


def reasons_as_data(unplaced: Unplaced) -> list[dict[str, Any]]:
    """What is kept of a reason: codes and days, said in the reader's language when read."""
    return [
        {"cause": str(one.cause.value), "days": [day.isoformat() for day in one.days],
         "people": one.people, "skills": list(one.skills), "minutes": one.minutes}
        for one in unplaced.reasons
    ]  # fmt: skip


def clash_as_data(clash: Clash) -> dict[str, Any]:
    return {
        "limits": [str(limit.value) for limit in clash.limits], "work": list(clash.work),
        "day": clash.day.isoformat(), "people": list(clash.people),
    }  # fmt: skip


def in_words(reason: dict[str, Any]) -> str:
    """'the bays are full (Nov 30, Dec 1)'."""
    told = str(CAUSES.get(reason["cause"], reason["cause"]))
    if reason["cause"] == Cause.NOT_ENOUGH_PEOPLE:
        told = _too_few(reason)
    return f"{told} ({days_in_words(reason['days'])})"


def _too_few(reason: dict[str, Any]) -> str:
    if Skill.RACK in reason["skills"]:
        return gettext("nobody who sets alignment on a rack is there")
    if reason["people"] > 1:
        return gettext("it takes two at once, and fewer are there")
    return gettext("nobody who makes inspections is there")


def days_in_words(days: Sequence[str]) -> str:
    """Up to four by name, else how many and from when to when."""
    found = [date.fromisoformat(day) for day in days]
    if len(found) <= MOST_DAYS:
        return ", ".join(_short(day) for day in found)
    return gettext("%(n)s days from %(first)s to %(last)s") % {
        "n": len(found), "first": _short(found[0]), "last": _short(found[-1]),
    }  # fmt: skip


def _short(day: date) -> str:
    """Without its year."""
    return str(formats.date_format(day, pgettext("date", "M j")))


def limits_in_words(codes: Sequence[str]) -> str:
    return ", ".join(str(LIMITS.get(code, code)) for code in codes)
