"""One vehicle's record in words: what a cell says of a finding, a line, a hold or a step."""

from collections.abc import Iterable
from typing import Any

from django.utils import formats, timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from fleet.papers.measures import degrees
from fleet.papers.table import Cell, Marked, Part, marked
from fleet.pictures.mark import MUST_ACT
from fleet.reads.due import ladder_name
from fleet.reads.line_words import recorded
from fleet.reads.reports.names import Names
from fleet.reads.reports.repairs import Job, LineThen
from fleet.reads.reports.vehicle_record import JointThen
from fleet.records.inspections import mark_of
from fleet.records.models import (
    Finding,
    Hold,
    Joint,
    Mark,
    Recheck,
    RoadRelease,
    RoadTest,
    SecondCheck,
    TorqueReading,
)


def day(moment: Any) -> str:
    local = timezone.localtime(moment).date() if hasattr(moment, "hour") else moment
    return formats.date_format(local, "DATE_FORMAT")


def moment(at: Any) -> str:
    local = timezone.localtime(at)
    return f"{formats.date_format(local, 'DATE_FORMAT')}, {formats.time_format(local, 'H:i')}"


def found(finding: Finding) -> str:
    """'Moved 15°', 'Play 1/8 in', 'Not reached: skid plate'."""
    more = [degrees(finding.degrees), finding.play_typed]
    text = " ".join([str(capfirst(finding.get_code_display())), *(each for each in more if each)])
    return f"{text}: {finding.reason}" if finding.reason else text


def found_behind_mark(finding: Finding, joint: bool = False) -> Part:
    """The same behind its mark, and with its joint's name where that is wanted."""
    words = f"{found(finding)}: {finding.joint.name}" if joint else found(finding)
    return Part(words, mark_of(finding.code), finding.response == Finding.Response.HOLD)


def held_because(hold: Hold) -> Part:
    """Why a vehicle was held; what was found has its mark."""
    return Part(hold.words, mark_of(hold.finding.code) if hold.finding else "")


def state_then(one: JointThen) -> Marked:
    """The state of a joint; one that was apart, or off, has no mark."""
    if one.fitted != Joint.Fitted.FITTED:
        return marked(str(capfirst(dict(Joint.Fitted.choices)[one.fitted])), Mark.UNKNOWN)
    mark = Mark(one.state.mark)
    return marked(str(capfirst(mark.label)), mark, mark in MUST_ACT)


def joint_behind_mark(name: str, one: JointThen | None) -> Cell:
    """A joint's name behind the mark of its state, which a screen reader hears."""
    if one is None:
        return name
    [state] = state_then(one).parts
    return marked(name, state.mark, says=state.words)


def judged(finding: Finding) -> str:
    """What it was judged against, and what was judged."""
    if finding.answer:
        told = str(capfirst(finding.get_answer_display()))
        return f"{told} ({finding.limit_citation})" if finding.limit_citation else told
    pull = getattr(finding, "torque", None)
    return pulled(pull) if pull is not None else ""


def pulled(pull: TorqueReading) -> str:
    return f"{pull.typed}, {pull.get_band_display()}"


def against(pull: TorqueReading) -> str:
    """The figure on file and where it stands."""
    if pull.spec is None:
        return ""
    return f"{pull.spec.typed}, {pull.spec.get_origin_display()}: {pull.spec.source}"


def action(one: LineThen, names: Names) -> str:
    rule = names.actions.get(one.line.action)
    text = rule.name if rule else one.line.action.replace("_", " ")
    return f"{text}: {one.line.joint.name}" if one.line.joint else text


def what_was_done(one: LineThen, names: Names) -> Cell:
    """All that was recorded for a line, as typed; how the joint was found has its mark."""
    if one.dropped:
        return _("Dropped: %(why)s") % {"why": one.line.drop_reason}
    if one.entry is None:
        return _("nothing recorded yet")
    rule = names.actions.get(one.line.action)
    fields = rule.data["fields"] if rule else []
    told = recorded(fields, one.entry.data, names.people)
    parts = [Part(f"{each.label}: {each.text}", each.mark) for each in told]
    return Marked(parts) if parts else _("done")


def who_did(one: LineThen) -> str:
    if one.entry is None:
        return ""
    by = one.entry.by.name
    if not one.entry.done_by:
        return by
    return _("%(doer)s, entered by %(who)s") % {"doer": one.entry.done_by, "who": by}


def how_it_ended(job: Job) -> str:
    """'Closed Nov 3, 2026, by Lena'."""
    ticket = job.ticket
    if job.ended == ticket.State.CLOSED and ticket.closed_by is not None:
        said = {"when": moment(ticket.closed_at), "who": ticket.closed_by.name}
        return _("closed %(when)s by %(who)s") % said
    return str(dict(ticket.State.choices)[job.ended])


def steps(job: Job) -> list[str]:
    """Second checks, outings and road tests of a ticket, in order of time."""
    return steps_told(job.checks, job.releases, job.tests)


def steps_told(
    checks: Iterable[SecondCheck], releases: Iterable[RoadRelease], tests: Iterable[RoadTest]
) -> list[str]:
    told = [(check.occurred_at, _check(check)) for check in checks]
    told += [(out.occurred_at, _out(out)) for out in releases]
    told += [(test.occurred_at, _test(test)) for test in tests]
    return [f"{moment(at)}: {text}" for at, text in sorted(told)]


def _check(check: SecondCheck) -> str:
    text = _("second check passed") if check.passed else _("second check not passed")
    said = f"{text}, {check.by.name}, {check.get_how_display()}"
    return f"{said}. {check.note}" if check.note else said


def _out(out: RoadRelease) -> str:
    return _("released for a road test: %(driver)s, %(place)s, until %(until)s") % {
        "driver": out.driver, "place": out.place, "until": moment(out.until),
    }  # fmt: skip


def _test(test: RoadTest) -> str:
    text = _("road test passed") if test.passed else _("road test not passed")
    speed = f", {test.top_speed_typed}" if test.top_speed_typed else ""
    said = f"{text}{speed}, {test.by.name}"
    return f"{said}. {test.note}" if test.note else said


def lifted(hold: Hold, before: Any) -> str:
    """When and by whose check a hold was lifted, if it was by then."""
    if hold.lifted_at is None or (before is not None and hold.lifted_at >= before):
        return ""
    check = hold.lifted_by_check
    return _("%(when)s by %(who)s; second check %(checker)s, %(how)s") % {
        "when": moment(hold.lifted_at),
        "who": hold.lifted_by.name if hold.lifted_by else "",
        "checker": check.by.name if check else "",
        "how": check.get_how_display() if check else "",
    }


def what_is_owed(row: Recheck, names: Names) -> str:
    kind = str(capfirst(row.get_kind_display()))
    ladder = ladder_name(row, names.ladders, names.routine)
    return kind if ladder.startswith(kind) else f"{kind}: {ladder}"


def where(row: Any) -> str:
    return row.joint.name if row.joint else pgettext("a recheck of it", "whole front end")
