"""Findings stored with their judgement, and the lines, holds and rechecks they call for."""

from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial

from django.db.models import OuterRef, Q, Subquery
from django.utils.translation import gettext as _

from fleet.operations import holds, lines, rechecks, use
from fleet.operations.judge import Verdict, judge, regime_now
from fleet.operations.looks import Seen
from fleet.operations.owing import Owing
from fleet.operations.work import Work
from fleet.reads.rules import RuleNow, rules
from fleet.records.base import in_every_language
from fleet.records.models import (
    Finding,
    FindingCode,
    Hold,
    Inspection,
    Joint,
    Recheck,
    TicketLine,
    Vehicle,
)
from fleet.records.tickets import MENDS_NOTHING

Found = list[tuple[Finding, Seen]]


@dataclass(frozen=True)
class Judged:
    """A look with what it calls for, and the rule that says so."""

    seen: Seen
    verdict: Verdict
    rule: RuleNow


def judged(vehicle: Vehicle, seen: list[Seen], when: datetime) -> list[Judged]:
    """What each look made at a moment calls for. What is foretold and what is stored are this."""
    table, regime = rules("response"), regime_now()
    joint_ids = [one.joint.pk for one in seen]
    before, repaired = _last_codes(joint_ids, when), _repaired_since(joint_ids, when)
    found = []
    for one in seen:
        rule, moved = table[one.joint.kind.response], before.get(one.joint.pk) == FindingCode.MOVED
        verdict = judge(vehicle, one, rule, moved, regime)
        if one.joint.pk in repaired or one.joint.fitted == Joint.Fitted.NOT_FITTED:
            # It came late: the joint was repaired and closed since, or is no longer there. It
            # stays on file as a note.
            verdict = replace(verdict, response=Finding.Response.NOTE)
        found.append(Judged(one, verdict, rule))
    return found


def store_findings(work: Work, vehicle: Vehicle, inspection: Inspection, seen: list[Seen]) -> Found:
    """Judge every look and store all findings at once."""
    owed = _next_owed(vehicle, [one.joint.pk for one in seen])
    rows = [
        _finding(work, inspection, one, _nearest(owed, one.seen.joint.pk))
        for one in judged(vehicle, seen, inspection.occurred_at)
    ]
    Finding.objects.bulk_create(rows)
    return list(zip(rows, seen, strict=True))


def _finding(work: Work, inspection: Inspection, one: Judged, owed: Recheck | None) -> Finding:
    seen, verdict, look = one.seen, one.verdict, one.seen.look
    fact = work.fact(inspection.occurred_at, look.uid)
    turned = look.code == FindingCode.MOVED if seen.by_wrench else None
    return Finding(
        **fact, inspection=inspection, joint=seen.joint, code=look.code, method=look.method,
        turned=turned, degrees=seen.degrees, play_typed=look.play.strip(), play_m=seen.play_m,
        limit_m=verdict.limit_m, limit_citation=verdict.citation, answer=verdict.answer,
        response=verdict.response, reason=look.reason.strip(), note=look.note.strip(),
        why=inspection.kind, use_si=inspection.use_si, due_recheck=owed,
        due_on=owed.due_on if owed else None, due_use_si=owed.due_use_si if owed else None,
        rule_version=one.rule.version, spec=seen.spec,
    )  # fmt: skip


def _last_codes(joint_ids: list[int], when: datetime) -> dict[int, str]:
    """What the last telling look before this moment said, by joint."""
    rows = Joint.objects.filter(pk__in=joint_ids).annotate(last=last_code(when))
    return dict(rows.values_list("pk", "last"))


def last_code(when: datetime) -> Subquery:
    """What the last telling look before a moment said, of each of a query's joints."""
    silent = (FindingCode.NOT_REACHED, FindingCode.NOT_FITTED)
    earlier = Finding.objects.filter(joint=OuterRef("pk"), occurred_at__lt=when)
    told = earlier.exclude(code__in=silent).order_by("-occurred_at", "-id")
    return Subquery(told.values("code")[:1])


def _next_owed(vehicle: Vehicle, joint_ids: list[int]) -> dict[int | None, Recheck]:
    """The recheck that was due next at each joint when it was looked at.

    Under None the one that looks at every joint of the vehicle.
    """
    every = Q(joint=None, kind__in=(Recheck.Kind.ROUTINE, Recheck.Kind.ANNUAL))
    rows = Recheck.objects.filter(
        every | Q(joint__in=joint_ids), vehicle=vehicle, state__in=Recheck.LIVE
    )
    return {row.joint_id: row for row in rows.order_by("-falls_on", "-id")}


def _nearest(owed: dict[int | None, Recheck], joint_id: int) -> Recheck | None:
    both = [owed[key] for key in (joint_id, None) if key in owed]
    return min(both, key=lambda row: (row.falls_on, row.pk), default=None)


def _repaired_since(joint_ids: list[int], when: datetime) -> set[int]:
    """Joints on which a line that mends has closed after this moment."""
    rows = TicketLine.objects.filter(
        joint__in=joint_ids, state=TicketLine.State.CLOSED,
        entry__occurred_at__gt=when,
    ).exclude(action__in=MENDS_NOTHING)  # fmt: skip
    return set(rows.values_list("joint_id", flat=True))


def respond(work: Work, vehicle: Vehicle, inspection: Inspection, found: Found) -> None:
    """Open lines and place holds where the findings call for them."""
    calling = [pair for pair in found if pair[0].response != Finding.Response.NOTE]
    if not calling:
        return
    ticket = lines.ticket_for(work, vehicle, inspection.complaint)
    ladders, table, owing = rules("ladder"), rules("response"), None
    for finding, seen in calling:
        lines.line_for_finding(work, ticket, finding)
        if finding.response == Finding.Response.HOLD:
            said = in_every_language(partial(found_words, seen.joint, finding))
            holds.place(work, vehicle, Hold.Reason.FINDING, said, joint=seen.joint,
                        finding=finding, ticket=ticket)  # fmt: skip
        key = table[seen.joint.kind.response].data["play"].get("recheck")
        if key and finding.answer == Finding.Answer.INSIDE:
            start = rechecks.Start(finding.occurred_at, finding.use_si, finding=finding)
            owing = owing or Owing(work, vehicle, use.state_of(vehicle))
            owing.start_ladders(ladders, key, start, seen.joint)
            # At once: the trail tells of each finding's line and recheck together.
            owing.write()
    lines.adopt_holds(vehicle, ticket)


def found_words(joint: Joint, finding: Finding) -> str:
    """What was found where: why a finding holds a vehicle."""
    return _("%(joint)s: %(finding)s") % {
        "joint": joint.name,
        "finding": finding.get_code_display(),
    }
