"""What a changed rule will say, from what was typed: read whole, or refused with every reason."""

from dataclasses import dataclass
from functools import partial
from typing import Any

from django.utils.translation import gettext as _

from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.rule_figures import (
    MOST_DAYS,
    MOST_HOURS,
    MOST_MONTHS,
    Step,
    least_days,
    read_figure,
    read_steps,
)
from fleet.reads.rule_shapes import (
    FIGURE,
    FIXED_PEOPLE,
    FLOOR,
    MONTHS,
    SETTINGS,
    TIME,
    Bounds,
    Shape,
    weight_name,
)
from fleet.reads.rule_words import words_of
from fleet.reads.rules import rules
from fleet.records.base import in_every_language
from fleet.records.models import Rule

OWN = {"en": "own", "es": "propio"}
MOST_SOURCE, MOST_REASON = 200, 200
# After a fastener moved the next look comes within so many hundredths of the last (own).
SHARE = Bounds(10, 90, "%")
# One thing done in a bay (own): a working day at most.
MINUTES = Bounds(1, 480, "min")
_HUNDRED = 100


@dataclass(frozen=True)
class NewRule:
    """A change as typed. `value` is a setting's figure, the months of the legal inspection, or
    after a move the hundredths of the last interval, or the minutes that work takes (`people` at
    once; None leaves them as they are); `back_to` names an earlier version instead.

    `take_back` ends the rule of one weight class; `anew` makes what is owed by it anew.
    """

    kind: str
    key: str
    steps: tuple[Step, ...] = ()
    value: str = ""
    source: str = ""
    reason: str = ""
    anew: bool = False
    take_back: bool = False
    back_to: int | None = None
    people: int | None = None


def data_of(new: NewRule, shape: Shape) -> dict[str, Any]:
    """What the next version says. Raises Refused with all that can't stand."""
    if new.back_to is not None:
        data = _earlier(new)
    elif new.take_back:
        data = _taken_back(shape)
    else:
        data = _typed(new, shape)
    if shape.now is not None and same(data, shape.now.data):
        raise refuse("nothing_changed", _("This is what the rule says already."))
    return data


def same(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether two versions say the same, wherever their figures are from."""
    return in_every_language(partial(words_of, one)) == in_every_language(
        partial(words_of, other)
    ) and one.get("source") == other.get("source")


def reason_problems(reason: str) -> list[Problem]:
    """A change of a rule says why."""
    if not reason.strip():
        return [Problem("reason_missing", _("Say why, in a few words."), field="reason")]
    if len(reason.strip()) > MOST_REASON:
        message = _("At most %(most)s characters; this has %(found)s.")
        words = {"most": MOST_REASON, "found": len(reason.strip())}
        return [Problem("too_long", message % words, field="reason")]
    return []


def _typed(new: NewRule, shape: Shape) -> dict[str, Any]:
    problems: list[Problem] = []
    data = _reader(shape)(new, shape, problems)
    if len(new.source.strip()) > MOST_SOURCE:
        message = _("At most %(most)s characters; this has %(found)s.")
        words = {"most": MOST_SOURCE, "found": len(new.source.strip())}
        problems.append(Problem("too_long", message % words, field="source"))
    if problems:
        raise Refused(tuple(problems))
    old = shape.now.data if shape.now else {}
    moved = shape.now is None or words_of(data) != words_of(old)
    if new.source.strip() and (shape.now is None or new.source.strip() != shape.now.source):
        return {**data, "source": new.source.strip()}
    # A figure of the fleet's own is no longer from where the old one was.
    stays = bool(new.source.strip()) or not moved
    return {**data, "source": old.get("source", OWN) if stays else OWN}


def _reader(shape: Shape) -> Any:
    readers = {FIGURE: _figure, FLOOR: _floor, MONTHS: _months, TIME: _time}
    if shape.form in readers:
        return readers[shape.form]
    return _ladder if shape.kind == "ladder" else _routine


def _ladder(new: NewRule, shape: Shape, problems: list[Problem]) -> dict[str, Any]:
    return {**_old(shape), "rungs": read_steps(new.steps, shape.rungs, problems)}


def _routine(new: NewRule, shape: Shape, problems: list[Problem]) -> dict[str, Any]:
    rungs = read_steps(new.steps[:1], [], problems)
    step = rungs[0] if rungs else {}
    old = {name: said for name, said in _old(shape).items() if name != "typed"}
    return {**old, **step, "names": _names(shape), "stands": True}


def _names(shape: Shape) -> dict[str, str]:
    """What a rule is called; one of a weight class after its duty."""
    if shape.now is not None:
        return dict(shape.now.data["names"])
    duty, _dash, weight = shape.key.partition("-")
    rule = rules("routine")[duty]
    return in_every_language(lambda: weight_name(rule, weight))


def _taken_back(shape: Shape) -> dict[str, Any]:
    if shape.group != "weight" or shape.now is None or not shape.now.data.get("stands", True):
        message = _("Only a rule of one weight class that stands can be taken back.")
        raise refuse("not_to_take_back", message)
    return {**shape.now.data, "stands": False}


def _floor(new: NewRule, shape: Shape, problems: list[Problem]) -> dict[str, Any]:
    """After a fastener moved: the share of the last interval, and what it never falls below."""
    share = read_figure(new.value.strip().rstrip("%").strip(), SHARE, "value", problems)
    steps = read_steps(new.steps[:1], [], problems)
    floor = {name: steps[0][name] for name in ("miles", "days", "hours")} if steps else {}
    return {**_old(shape), "factor": (share or 0) / _HUNDRED, "floor": floor}


def _months(new: NewRule, shape: Shape, problems: list[Problem]) -> dict[str, Any]:
    """The law asks for it at least once in 12 months: a fleet may look sooner, never later."""
    months = read_figure(new.value.strip(), Bounds(1, MOST_MONTHS, ""), "value", [])
    if months is None:
        message = _("Type whole months from 1 to 12: the law asks for it within 12 months.")
        problems.append(Problem("past_the_law", message, field="value"))
        months = MOST_MONTHS
    return {**_old(shape), "months": int(months), "days": least_days(int(months))}


def _figure(new: NewRule, shape: Shape, problems: list[Problem]) -> dict[str, Any]:
    value = read_figure(new.value.strip(), SETTINGS[shape.key], "value", problems)
    return {**_old(shape), "value": value}


def _time(new: NewRule, shape: Shape, problems: list[Problem]) -> dict[str, Any]:
    """Minutes of each who works at it; the skill it takes is not the fleet's to change."""
    old = _old(shape)
    minutes = read_figure(new.value.strip(), MINUTES, "value", problems)
    people = old["people"] if new.people is None else new.people
    if people not in (1, 2):
        problems.append(Problem("people_wrong", _("One or two people."), field="people"))
    elif shape.key in FIXED_PEOPLE and people != old["people"]:
        message = _("How many this takes is not for a rule to say.")
        problems.append(Problem("people_wrong", message, field="people"))
    return {**old, "minutes": minutes, "people": people}


def _old(shape: Shape) -> dict[str, Any]:
    return dict(shape.now.data) if shape.now else {}


def _earlier(new: NewRule) -> dict[str, Any]:
    row = Rule.objects.filter(kind=new.kind, key=new.key, version=new.back_to or 0).first()
    if row is None:
        raise refuse("version_unknown", _("There is no such version."), field="back_to")
    return dict(row.data)


__all__ = ["MOST_DAYS", "MOST_HOURS", "NewRule", "data_of", "reason_problems", "same"]
