"""Who may make the second check, of what, and how."""

from datetime import datetime, timedelta
from typing import Protocol

from django.db.models import Q
from django.utils.translation import gettext as _

from fleet.operations.closing import Job, work_problems
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.work import Work
from fleet.reads.self_checks import last_leave, standing_leave, taken_back
from fleet.records.models import (
    FindingCode,
    Hold,
    LineEntry,
    Person,
    SecondCheck,
    SelfCheckLeave,
    Ticket,
)

# Between the last work and a check by the same eyes (own).
PAUSE = timedelta(minutes=30)


class Sheet(Protocol):
    """What a check says of itself."""

    @property
    def passed(self) -> bool: ...
    @property
    def dry_steer(self) -> bool: ...
    @property
    def note(self) -> str: ...
    @property
    def how(self) -> str: ...
    @property
    def occurred_at(self) -> datetime | None: ...


def may_check(work: Work, ticket: Ticket, sheet: Sheet) -> SelfCheckLeave | None:
    """Raise Refused unless this person may make this check on this ticket now.

    Returns the leave that a self re-check is made by.
    """
    if ticket.state not in (Ticket.State.OPEN, Ticket.State.CHECKED) or (
        sheet.passed and ticket.state == Ticket.State.CHECKED
    ):
        raise refuse("already_checked", _("The second check was passed before."))
    if sheet.how not in SecondCheck.How.values:
        raise refuse("how_unknown", _("Choose how it was checked from the list."), field="how")
    job = Job.of(ticket, ticket.vehicle)
    found = work_problems(job) if sheet.passed else []
    if sheet.passed and not sheet.dry_steer:
        message = _("Confirm the dry steer: on the floor, brake set, wheels chocked, hands clear.")
        found.append(Problem("dry_steer_missing", message, field="dry_steer"))
    if not sheet.passed and not sheet.note.strip():
        found.append(Problem("note_missing", _("Say what did not pass."), field="note"))
    found += _who_checks(work, job, sheet)
    if found:
        raise Refused(tuple(found))
    if sheet.how != SecondCheck.How.SELF:
        return None
    return standing_leave(ticket, work.actor.person, work.moment(sheet.occurred_at))


def _who_checks(work: Work, job: Job, sheet: Sheet) -> list[Problem]:
    person = work.actor.person
    if sheet.how == SecondCheck.How.SELF:
        return _self_check(work, job, sheet)
    if did_a_line(job.ticket, person):
        message = _("You did a line of this ticket: somebody else makes the second check.")
        return [Problem("same_person", message)]
    if sheet.how != SecondCheck.How.IN_PERSON and not person.trained:
        message = _("A witness or a check at a distance needs a trained person.")
        return [Problem("not_trained", message, field="how")]
    return []


def did_a_line(ticket: Ticket, person: Person) -> bool:
    """Entered one, or is named as who did one that somebody else entered."""
    named = Q(done_by__iexact=person.name) | Q(done_by__iexact=person.username)
    return LineEntry.objects.filter(Q(by=person) | named, line__ticket=ticket).exists()


def barred_alone(job: Job) -> list[Problem]:
    """The gravest work is never checked by who did it; empty where it may be allowed."""
    cracked = Hold.objects.filter(ticket=job.ticket, finding__code=FindingCode.CRACKED).exists()
    if not (job.oscillated or cracked or job.opened_steering):
        return []
    message = _("Never by oneself after oscillation, a crack or opened steering.")
    return [Problem("self_check_barred", message, field="how")]


def _self_check(work: Work, job: Job, sheet: Sheet) -> list[Problem]:
    """The last resort of a small crew: allowed beforehand, and never for the gravest work."""
    moment = work.moment(sheet.occurred_at)
    found = barred_alone(job)
    # Asking for leave is no way out where it is barred.
    if not found and standing_leave(job.ticket, work.actor.person, moment) is None:
        found.append(_leave_missing(job.ticket, work.actor.person))
    last = LineEntry.objects.filter(line__ticket=job.ticket).order_by("-occurred_at").first()
    if last is not None and moment < last.occurred_at + PAUSE:
        message = _("Leave a pause of half an hour between the work and checking it yourself.")
        found.append(Problem("pause_missing", message, field="how"))
    if not sheet.note.strip():
        message = _("Say by which other method you looked again.")
        found.append(Problem("note_missing", message, field="note"))
    return found


def _leave_missing(ticket: Ticket, person: Person) -> Problem:
    """What to do: a manager writes a leave on this ticket before the check."""
    leave = last_leave(ticket, person)
    if leave is None:
        text = _("A manager has to allow you a self re-check on this ticket first: ask for it.")
    elif taken_back(leave) is not None:
        text = _("Your leave was taken back: another person checks, or ask a manager again.")
    else:
        text = _("Your leave does not reach to this check: ask a manager for a new one.")
    return Problem("leave_missing", text, field="how")
