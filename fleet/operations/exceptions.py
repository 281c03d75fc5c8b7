"""Exceptions: one vehicle keeps other figures than a rule, with a reason and an end.

They lapse by themselves at the yard's midnight. A legal date and a rule that holds can not be
excepted. What is owed keeps its time, unless it is asked to be made anew.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.calc.calendar import local_date
from fleet.operations import rule_anew
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.moves import changed_under_you
from fleet.operations.once import Request
from fleet.operations.rule_anew import Redrawn
from fleet.operations.rule_data import reason_problems
from fleet.operations.rule_figures import Step, read_steps
from fleet.operations.rule_preview import Preview, counted
from fleet.operations.work import Done, Work, find, run
from fleet.reads.rule_shapes import Shape, shape_of
from fleet.reads.rule_words import steps_said
from fleet.reads.rules import RuleNow, routine_key, rules
from fleet.records.base import in_every_language
from fleet.records.models import Recheck, RuleException, Vehicle, Yard

# As far ahead as an exception may be given, and how many times as long as the rule (own).
FURTHEST_DAYS, MOST_TIMES = 366, 2.0


@dataclass(frozen=True)
class NewException:
    """As typed: which vehicle, from which rule, which figures, through which day, and why."""

    vehicle_id: int
    kind: str
    key: str
    steps: tuple[Step, ...]
    ends_on: date | None
    reason: str
    anew: bool = False


def set_exception(
    actor: Actor, new: NewException, *, at: datetime, seen: int | None = None,
    request: Request | None = None,
) -> Done[RuleException]:  # fmt: skip
    """Give a vehicle figures of its own; what stood before of the same rule ends with it.

    `seen` is the id of the exception that the caller saw standing, 0 for none; Conflict where
    another one stands by now.
    """
    actor.need("edit_rules")

    def apply(work: Work) -> RuleException:
        vehicle = work.lock(new.vehicle_id)
        old = _standing(vehicle, _shape(new, vehicle))
        if seen is not None and seen != (old.pk if old else 0):
            raise changed_under_you(_("This exception"))
        row = _read(new, vehicle, at)
        if old is not None:
            _end(work, old, _("another one took its place"))
        row.set_by, row.since = actor.person, at
        row.save(force_insert=True)
        anew = _anew(work, vehicle, row, _shape(new, vehicle)) if new.anew else 0
        work.trail("set_exception", row, vehicle=vehicle, reason=row.reason,
                   after=_said(row) | ({"made_anew": anew} if anew else {}))  # fmt: skip
        return row

    return run("set_exception", actor, at, apply, request)


def preview_exception(actor: Actor, new: NewException, *, now: datetime) -> Preview:
    """What it would move on this vehicle; raises Refused like the exception itself would."""
    actor.need("edit_rules")
    vehicle = find(Vehicle, actor, new.vehicle_id, _("vehicle"))
    shape, row = _shape(new, vehicle), _read(new, vehicle, now)
    found = _redrawn(vehicle, row, shape, now)
    return counted(shape, steps_said(shape.rungs), steps_said(row.rungs), found)


def end_exception(
    actor: Actor, exception_id: int, reason: str, *, at: datetime, request: Request | None = None
) -> Done[RuleException]:
    """End one before its day: the rule stands again for what is made from now on."""
    actor.need("edit_rules")
    problems = reason_problems(reason)
    if problems:
        raise Refused(tuple(problems))

    def apply(work: Work) -> RuleException:
        row = find(RuleException, actor, exception_id, _("exception"))
        vehicle = work.lock(row.vehicle_id)
        row.refresh_from_db()
        if row.ended_at is not None or row.ends_on < local_date(at, vehicle.yard.time_zone):
            raise changed_under_you(_("This exception"))
        _end(work, row, reason.strip())
        work.trail("end_exception", row, vehicle=vehicle, before=_said(row), reason=reason.strip())
        return row

    return run("end_exception", actor, at, apply, request)


def lapse(actor: Actor, yard: Yard, at: datetime) -> int:
    """Write down which ended by themselves at this yard; on reading they have ended already."""
    today = local_date(at, yard.time_zone)
    over = RuleException.objects.filter(vehicle__yard=yard, ended_at=None, ends_on__lt=today)
    ids = list(over.order_by("pk").values_list("pk", flat=True))
    for pk in ids:
        run("lapse_exception", actor, at, partial(_lapse, pk))
    return len(ids)


def _lapse(pk: int, work: Work) -> RuleException:
    row = RuleException.objects.get(pk=pk)
    vehicle = work.lock(row.vehicle_id)
    if RuleException.objects.filter(pk=pk, ended_at=None).update(ended_at=work.at):
        work.trail("lapse_exception", row, vehicle=vehicle, before=_said(row))
    return row


def _end(work: Work, row: RuleException, reason: str) -> None:
    mine = RuleException.objects.filter(pk=row.pk, ended_at=None)
    if mine.update(ended_at=work.at, ended_by=work.actor.person, end_reason=reason) != 1:
        raise changed_under_you(_("This exception"))
    row.refresh_from_db()


def _shape(new: NewException, vehicle: Vehicle) -> Shape:
    """The rule that it is an exception from; of a routine, the one that the vehicle goes by."""
    key = new.key
    if new.kind == "routine" and key != "annual":
        key = routine_key(vehicle, rules("routine"))
    shape = shape_of(new.kind, key)
    if shape is None:
        raise refuse("rule_unknown", _("Choose a rule from the list."), field="rule")
    if shape.group == "legal":
        message = _("A date that the law sets has no exceptions.")
        raise refuse("legal_date", message, field="rule")
    if shape.holds:
        message = _("What this rule makes holds the vehicle: it has no exceptions.")
        raise refuse("hold_rule", message, field="rule")
    if not shape.excepted_as:
        raise refuse("rule_unknown", _("Choose a rule from the list."), field="rule")
    return shape


def _standing(vehicle: Vehicle, shape: Shape) -> RuleException | None:
    rows = RuleException.objects.filter(vehicle=vehicle, ladder=shape.excepted_as, ended_at=None)
    return rows.first()


def _read(new: NewException, vehicle: Vehicle, at: datetime) -> RuleException:
    """The exception, not saved; Refused with all that can't stand."""
    shape = _shape(new, vehicle)
    problems: list[Problem] = []
    plain = [{k: v for k, v in rung.items() if k in ("miles", "days", "hours")}
             for rung in shape.rungs]  # fmt: skip
    rungs = read_steps(new.steps, plain, problems)
    if not problems and len(rungs) != len(shape.rungs):
        message = ngettext(
            "The rule has %(n)d step: give as many.", "The rule has %(n)d steps: give as many.",
            len(shape.rungs),
        ) % {"n": len(shape.rungs)}  # fmt: skip
        problems.append(Problem("steps_wrong", message, field="steps.0.distance"))
    if not problems:
        problems += _too_long(rungs, shape)
    problems += _day_problems(new.ends_on, local_date(at, vehicle.yard.time_zone))
    problems += reason_problems(new.reason)
    if problems or new.ends_on is None:
        raise Refused(tuple(problems))
    return RuleException(vehicle=vehicle, ladder=shape.excepted_as, rungs=rungs,
                         reason=new.reason.strip(), ends_on=new.ends_on)  # fmt: skip


def _too_long(rungs: list[dict[str, Any]], shape: Shape) -> list[Problem]:
    """At most twice the rule: what is needed longer than that is another rule."""
    found = []
    names = {"miles": "distance", "days": "days", "hours": "hours"}
    for index, (own, rule) in enumerate(zip(rungs, shape.rungs, strict=True)):
        for name, field in names.items():
            most = MOST_TIMES * float(rule.get(name) or 0)
            if own.get(name) and most and own[name] > most:
                message = _("At most twice the rule: %(most)s.") % {"most": f"{most:g}"}
                found.append(Problem("past_twice", message, field=f"steps.{index}.{field}"))
    return found


def _day_problems(ends_on: date | None, today: date) -> list[Problem]:
    if ends_on is None:
        message = _("Give the last day that it stands for, within a year.")
        return [Problem("day_missing", message, field="ends_on")]
    if not today <= ends_on <= today + timedelta(days=FURTHEST_DAYS):
        message = _("Choose a day from today on, within a year.")
        return [Problem("day_wrong", message, field="ends_on")]
    return []


def _ladder(vehicle: Vehicle, row: RuleException, shape: Shape) -> RuleNow:
    if shape.now is None:
        raise refuse("rule_unknown", _("Choose a rule from the list."), field="rule")
    ladder = rule_anew.ladder_of(shape, shape.now.data, shape.version)
    steps = zip(ladder.data["rungs"], row.rungs, strict=True)
    return RuleNow(ladder.key, ladder.version,
                   {**ladder.data, "rungs": [{**step, **own} for step, own in steps]})  # fmt: skip


def _redrawn(vehicle: Vehicle, row: RuleException, shape: Shape, at: datetime) -> list[Redrawn]:
    rows = Recheck.objects.filter(vehicle=vehicle, ladder=row.ladder, state__in=Recheck.LIVE)
    ladder = _ladder(vehicle, row, shape)
    return list(rule_anew.redrawn(rule_anew.with_vehicles(rows), ladder, shape, at))


def _anew(work: Work, vehicle: Vehicle, row: RuleException, shape: Shape) -> int:
    found = [one for one in _redrawn(vehicle, row, shape, work.at) if rule_anew.moves(one)]
    for one in found:
        if one.new is not None:
            one.new.exception = row
    return rule_anew.store(work, found, "made anew: an exception was given")


def _said(row: RuleException) -> dict[str, Any]:
    return {"says": in_every_language(partial(steps_said, row.rungs)), "until": str(row.ends_on)}
