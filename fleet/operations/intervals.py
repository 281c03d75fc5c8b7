"""Intervals accepted, declined and taken back by a manager. Nothing changes by itself.

What is accepted is a version of a rule that names the cell. Rechecks made from then on take its
figures (`cell_intervals`); those that stand keep what they started with.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import F
from django.utils.translation import gettext as _

from fleet.calc.units import use_from_si
from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.moves import changed_under_you
from fleet.operations.new_rule import next_version
from fleet.operations.once import Request
from fleet.operations.words import refuse_too_long
from fleet.operations.work import Done, Work, find, run, same_version
from fleet.reads.intervals.aims import aims_now
from fleet.reads.intervals.cells import Meter, cell_of
from fleet.reads.intervals.cost import cheapest_of
from fleet.reads.intervals.today import RULE, UNITS, Today, rules_now, si
from fleet.records.models import IntervalProposal, Rule

State = IntervalProposal.State
#: What an acceptance goes by: the share still tight, or the cost.
BY_RECORD, BY_COST = "record", "cost"


@dataclass(frozen=True)
class Decision:
    """A manager's word on one proposal."""

    proposal_id: int
    reason: str = ""
    basis: str = BY_RECORD


def accept_interval(
    actor: Actor, said: Decision, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[IntervalProposal]:  # fmt: skip
    """Put the proposed interval in force for the rechecks that are made from now on."""
    actor.need("judge_interval")

    def apply(work: Work) -> IntervalProposal:
        row = _open(work, said, expected_version)
        today, standing = _today(row), _accepted(row)
        value_si = _taken(row, said.basis, today)
        if value_si is None:
            raise refuse("nothing_offered", _("There is nothing to accept here."), field="basis")
        if si(today.value, row.meter) != row.now_si:
            raise changed_under_you(_("Today's interval"))
        data = _data(row, today, value_si, said.basis, standing)
        rule = next_version(work, RULE, row.key, data, _newest(row), said.reason.strip())
        _decide(work, row, State.ACCEPTED, said.reason.strip(), rule=rule)
        unit = UNITS[Meter(row.meter)][0]
        work.trail(
            "accept_interval", row, before={unit: today.value, "days": today.days},
            after={**_told(row), unit: data[unit], "days": data["days"]}, reason=row.reason,
        )  # fmt: skip
        return row

    return run("accept_interval", actor, at, apply, request)


def decline_interval(
    actor: Actor, said: Decision, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[IntervalProposal]:  # fmt: skip
    """Leave today's interval as it is, and say why; asked again at a fifth more finds."""
    actor.need("judge_interval")

    def apply(work: Work) -> IntervalProposal:
        row = _open(work, said, expected_version)
        if row.offered_si is None:
            raise refuse("nothing_offered", _("There is nothing to decline here."))
        reason = _reason(said, _("Say why it is declined."))
        _decide(work, row, State.DECLINED, reason)
        work.trail("decline_interval", row, after=_told(row), reason=reason)
        return row

    return run("decline_interval", actor, at, apply, request)


def take_interval_back(
    actor: Actor, said: Decision, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[IntervalProposal]:  # fmt: skip
    """What stood before the last acceptance stands again, as a version of its own."""
    actor.need("judge_interval")

    def apply(work: Work) -> IntervalProposal:
        row = _current(work, said, expected_version)
        rule = _accepted(row)
        if rule is None:
            raise refuse("nothing_accepted", _("No accepted interval stands here."))
        reason = _reason(said, _("Say why it is taken back."))
        next_version(work, RULE, row.key, _before(rule), rule, reason)
        now = _today(row)
        row.now_si, row.now_from = si(now.value, row.meter), now.said
        _decide(work, row, State.DECLINED, reason)
        unit = UNITS[Meter(row.meter)][0]
        work.trail("take_interval_back", row, before={unit: rule.data[unit]},
                   after={**_told(row), unit: now.value}, reason=reason)  # fmt: skip
        return row

    return run("take_interval_back", actor, at, apply, request)


def _told(row: IntervalProposal) -> dict[str, Any]:
    """Which joints, for the trail: in every language that their kind is named in."""
    return {"joint": row.kind.names}


def _current(work: Work, said: Decision, expected: int | None) -> IntervalProposal:
    """The proposal under its lock: its version moves first, as a vehicle's does."""
    row = find(IntervalProposal, work.actor, said.proposal_id, _("proposal"))
    same_version(row, expected)
    refuse_too_long(IntervalProposal, reason=said.reason)
    mine = IntervalProposal.objects.filter(pk=row.pk, version=row.version, is_current=True)
    if mine.update(version=F("version") + 1) != 1:
        raise changed_under_you(_("This proposal"))
    row.refresh_from_db()
    return row


def _open(work: Work, said: Decision, expected: int | None) -> IntervalProposal:
    row = _current(work, said, expected)
    if row.state != State.OPEN:
        raise refuse("already_decided", _("This proposal was decided before."))
    return row


def _reason(said: Decision, message: str) -> str:
    if not said.reason.strip():
        raise refuse("reason_missing", message, field="reason")
    return said.reason.strip()


def _today(row: IntervalProposal) -> Today:
    found = rules_now().today(cell_of(row))
    if found is None:
        raise changed_under_you(_("Today's interval"))
    return found


def _newest(row: IntervalProposal) -> Rule | None:
    return Rule.objects.filter(kind=RULE, key=row.key, is_current=True).first()


def _accepted(row: IntervalProposal) -> Rule | None:
    rule = _newest(row)
    return rule if rule is not None and rule.data["stands"] else None


def _taken(row: IntervalProposal, basis: str, today: Today) -> int | None:
    """What this acceptance changes it to, in metres or seconds."""
    if basis == BY_RECORD:
        return row.offered_si
    if basis != BY_COST:
        raise refuse("basis_unknown", _("Choose one of the intervals shown."), field="basis")
    found = cheapest_of(row, aims_now(), today.floor)
    return found.offered_si if found else None


def _data(
    row: IntervalProposal, today: Today, value_si: int, basis: str, before: Rule | None
) -> dict[str, Any]:
    """The rule: its interval, the days scaled along, and the version that it takes the place of."""
    name, unit = UNITS[Meter(row.meter)]
    value = float(use_from_si(value_si, unit, 1))
    days = max(round(today.days * value / today.value), today.floor_days if today.days else 0)
    return {
        name: value, "days": days, "stands": True, "basis": basis, "proposal": str(row.uid),
        "back_to": before.version if before else None, "source": "own",
    }  # fmt: skip


def _before(rule: Rule) -> dict[str, Any]:
    """What stood before a version: an earlier acceptance, or the fleet's rules alone."""
    earlier = Rule.objects.filter(
        kind=RULE, key=rule.key, version=rule.data["back_to"] or 0
    ).first()
    return dict(earlier.data) if earlier else {**rule.data, "stands": False, "back_to": None}


def _decide(
    work: Work, row: IntervalProposal, state: str, reason: str, rule: Rule | None = None
) -> None:
    row.state, row.reason, row.rule = state, reason, rule
    row.decided_at, row.decided_by = work.at, work.actor.person
    row.save(update_fields=["state", "reason", "rule", "decided_at", "decided_by", "now_si",
                            "now_from"])  # fmt: skip
