"""The fleet's yes to the rules it starts with: kept in the trail with the versions that it saw."""

from datetime import datetime

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Conflict, Problem, refuse
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, run
from fleet.reads.rules_seen import newest_rule
from fleet.records.models import Rule


def look_over_rules(
    actor: Actor, newest: int | None, *, at: datetime, request: Request | None = None
) -> Done[Rule]:
    """Say that ladders, routine intervals and responses were looked over.

    `newest` is the id of the newest rule that was shown; where there is a newer one by now the
    answer is Conflict, since nobody has seen that one.
    """
    actor.need("edit_rules")

    def apply(work: Work) -> Rule:
        rule = newest_rule()
        if rule is not None and newest != rule.pk:
            message = _("The rules are not the ones you saw. Look at what they say now.")
            raise Conflict((Problem("changed", message),))
        return _apply(work)

    return run("look_over_rules", actor, at, apply, request)


def _apply(work: Work) -> Rule:
    rule = newest_rule()
    if rule is None:
        message = _("No rule is loaded. On the server, run: manage.py load_reference")
        raise refuse("no_rules", message)
    work.trail("look_over_rules", rule, after={"newest": rule.pk})
    return rule
