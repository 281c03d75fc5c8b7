"""A fleet's yards: put on file and changed. A yard's address stays what it was at first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import available_timezones

from django.utils.text import slugify
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.moves import changed_under_you
from fleet.operations.once import Request
from fleet.operations.unique import or_taken
from fleet.operations.words import too_long
from fleet.operations.work import Done, Work, find, run
from fleet.reads.yards import FACTS, version_of
from fleet.records.models import Posting, Yard

WORKING_WEEK = (0, 1, 2, 3, 4)
LAST_DAY = 6
MOST_BAYS = 200


@dataclass(frozen=True)
class NewYard:
    """What is said of a yard. Monday is working day 0."""

    name: str
    time_zone: str
    on_call_number: str
    far: bool = False
    bays: int = 1
    units: str = "us"
    working_days: Sequence[int] = WORKING_WEEK


def add_yard(
    actor: Actor, new: NewYard, *, at: datetime, request: Request | None = None
) -> Done[Yard]:
    """Put a yard on file; a manager of some yards is posted to it, so as to see it."""
    actor.need("edit_yards")

    def apply(work: Work) -> Yard:
        _refuse_wrong(new, None)
        columns = _columns(new)
        with or_taken(_taken()):
            yard = Yard.objects.create(slug=slugify(columns["name"]), **columns)
        if not actor.person.all_yards:
            Posting.objects.create(person=actor.person, yard=yard)
        work.trail("add_yard", yard, after=columns)
        return yard

    return run("add_yard", actor, at, apply, request)


def change_yard(
    actor: Actor, yard_id: int, new: NewYard, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[Yard]:  # fmt: skip
    """Change what is said of a yard; before and after stand in the trail."""
    actor.need("edit_yards")

    def apply(work: Work) -> Yard:
        seen = find(Yard, actor, yard_id, _("yard"))
        yard = Yard.objects.select_for_update().get(pk=seen.pk)
        if expected_version not in (None, version_of(yard)):
            raise changed_under_you(yard.name)
        _refuse_wrong(new, yard)
        columns = _columns(new)
        now = {name: getattr(yard, name) for name in FACTS}
        before = {name: value for name, value in now.items() if value != columns[name]}
        for name in before:
            setattr(yard, name, columns[name])
        if before:
            with or_taken(_taken()):
                yard.save(update_fields=list(before))
            after = {name: columns[name] for name in before}
            work.trail("change_yard", yard, before=before, after=after)
        return yard

    return run("change_yard", actor, at, apply, request)


def _columns(new: NewYard) -> dict[str, Any]:
    return {
        "name": new.name.strip(), "time_zone": new.time_zone.strip(), "far": new.far,
        "on_call_number": new.on_call_number.strip(), "bays": new.bays, "units": new.units,
        "working_days": sorted(set(new.working_days)),
    }  # fmt: skip


def _refuse_wrong(new: NewYard, yard: Yard | None) -> None:
    found = [*_name_problems(new, yard), *_fact_problems(new)]
    if found:
        raise Refused(tuple(found))


def _taken() -> Problem:
    return Problem("name_taken", _("There is a yard of this name."), field="name")


def _name_problems(new: NewYard, yard: Yard | None) -> list[Problem]:
    name = new.name.strip()
    others = Yard.objects.exclude(pk=yard.pk) if yard else Yard.objects.all()
    if not slugify(name):
        return [Problem("name_missing", _("Give the yard a name."), field="name")]
    same_slug = yard is None and others.filter(slug=slugify(name)).exists()
    if same_slug or others.filter(name__iexact=name).exists():
        return [_taken()]
    return too_long(Yard, {"name": name, **({} if yard else {"slug": slugify(name)})})


def _fact_problems(new: NewYard) -> list[Problem]:
    found = too_long(Yard, {"on_call_number": new.on_call_number})
    if new.time_zone.strip() not in available_timezones():
        message = _("Type a time zone like America/Denver.")
        found.append(Problem("zone_unknown", message, field="time_zone"))
    if not new.on_call_number.strip():
        message = _("Give the number that a driver calls from the road.")
        found.append(Problem("number_missing", message, field="on_call_number"))
    elif not any(letter.isdigit() for letter in new.on_call_number):
        message = _("Type the number as it is dialed, like 555-0100.")
        found.append(Problem("number_wrong", message, field="on_call_number"))
    if not 1 <= new.bays <= MOST_BAYS:
        message = _("Type how many bays there are, from 1 to %(most)s.")
        found.append(Problem("bays_wrong", message % {"most": MOST_BAYS}, field="bays"))
    if not new.working_days or not all(0 <= day <= LAST_DAY for day in new.working_days):
        message = _("Choose the days on which the yard works.")
        found.append(Problem("days_missing", message, field="working_days"))
    if new.units not in ("us", "metric"):
        found.append(Problem("units_unknown", _("Choose US or metric."), field="units"))
    return found
