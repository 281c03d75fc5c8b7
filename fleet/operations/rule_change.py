"""A rule changed by a manager: the next version stands, what is owed keeps its time.

Only where the manager asks for it is what is owed made anew (`rule_anew`), and the preview
(`rule_preview`) says first what that moves.
"""

from datetime import datetime
from functools import partial
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from fleet.operations import rule_anew
from fleet.operations.actor import Actor
from fleet.operations.errors import NotThere, Problem, Refused
from fleet.operations.moves import changed_under_you
from fleet.operations.new_rule import next_version
from fleet.operations.once import Request
from fleet.operations.rule_data import NewRule, data_of, reason_problems
from fleet.operations.work import Done, Work, run
from fleet.reads.rule_shapes import Shape, shape_of
from fleet.reads.rule_words import words_of
from fleet.records.base import in_every_language
from fleet.records.models import Rule


def change_rule(
    actor: Actor, new: NewRule, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[Rule]:  # fmt: skip
    """Put the next version of a rule in force. Back to an earlier version is a new version."""
    actor.need("edit_rules")
    return run("change_rule", actor, at, lambda work: _apply(work, new, expected_version), request)


def _apply(work: Work, new: NewRule, expected: int | None) -> Rule:
    row = (
        Rule.objects.select_for_update().filter(kind=new.kind, key=new.key, is_current=True).first()
    )
    shape = shape_named(new.kind, new.key)
    if expected not in (None, shape.version):
        raise changed_under_you(shape.name)
    data = whole(new, shape)
    rule = _next(work, new, shape, data, row)
    anew = rule_anew.of_rule(work, shape, rule) if new.anew else 0
    before = _said(row.data) if row else {}
    after: dict[str, Any] = _said(data)
    if anew:
        after["made_anew"] = anew
    work.trail("change_rule", rule, before=before, after={"rule": data.get("names", {}), **after},
               reason=new.reason.strip())  # fmt: skip
    return rule


def whole(new: NewRule, shape: Shape) -> dict[str, Any]:
    """What the rule will say; figures and reason are refused together."""
    problems = reason_problems(new.reason)
    try:
        data = data_of(new, shape)
    except Refused as refused:
        raise Refused((*refused.problems, *problems)) from refused
    if problems:
        raise Refused(tuple(problems))
    return data


def shape_named(kind: str, key: str) -> Shape:
    """The rule, or NotThere for what is no rule that may be changed."""
    found = shape_of(kind, key)
    if found is None:
        raise NotThere((Problem("not_there", _("There is no such rule.")),))
    return found


def _next(work: Work, new: NewRule, shape: Shape, data: dict[str, Any], row: Rule | None) -> Rule:
    """Two first versions at once: the second is told."""
    try:
        with transaction.atomic():
            return next_version(work, new.kind, new.key, data, row, new.reason.strip())
    except IntegrityError as taken:
        raise changed_under_you(shape.name) from taken


def _said(data: dict[str, Any]) -> dict[str, Any]:
    return {"says": in_every_language(partial(words_of, data))}
