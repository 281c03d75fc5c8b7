"""A manager's leave for a self re-check: written beforehand, for one person on one ticket."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from fleet.operations import checkers
from fleet.operations.actor import Actor
from fleet.operations.closing import Job
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.repair import open_for_change
from fleet.operations.words import refuse_too_long, spoken_date, too_long
from fleet.operations.work import Done, Work, find, run
from fleet.reads.rules import setting
from fleet.reads.self_checks import last_leave, leave_stands, taken_back
from fleet.records.models import LeaveTakenBack, Person, SelfCheckLeave, Ticket, Vehicle


@dataclass(frozen=True)
class SelfCheck:
    """Who may check their own work, and why nobody else can."""

    person_id: int | None
    reason: str


def allow_self_check(
    actor: Actor, ticket_id: int, asked: SelfCheck, *, at: datetime, request: Request | None = None
) -> Done[SelfCheckLeave]:
    """Allow one person a self re-check on one ticket, until it lapses."""
    actor.need("allow_self_check")

    def apply(work: Work) -> SelfCheckLeave:
        ticket = open_for_change(work, ticket_id, None)
        if ticket.state != Ticket.State.OPEN:
            raise refuse("already_checked", _("The second check was passed before."))
        barred = checkers.barred_alone(Job.of(ticket))
        if barred:
            raise Refused(tuple(barred))
        person, found = _person(work, ticket, asked.person_id)
        found += too_long(SelfCheckLeave, {"reason": asked.reason})
        if not asked.reason.strip():
            message = _("Say why nobody else can check it.")
            found.append(Problem("reason_missing", message, field="reason"))
        if found or person is None:
            raise Refused(tuple(found))
        hours = float(setting("self_check_leave_hours"))
        row = SelfCheckLeave.objects.create(
            **work.fact(None), ticket=ticket, technician=person, reason=asked.reason.strip(),
            until=work.at + timedelta(hours=hours),
        )  # fmt: skip
        after = {"technician": person.pk, "until": str(row.until)}
        work.trail("allow_self_check", row, vehicle=ticket.vehicle, after=after, reason=row.reason)
        return row

    return run("allow_self_check", actor, at, apply, request)


def _person(
    work: Work, ticket: Ticket, person_id: int | None
) -> tuple[Person | None, list[Problem]]:
    """Somebody else, who works here and may make second checks."""
    person = who_may(work.actor.person, ticket.vehicle).get(person_id or 0)
    if person is None:
        message = _("Choose who may check their own work: a technician of this yard, not yourself.")
        return None, [Problem("person_wrong", message, field="person")]
    before = last_leave(ticket, person)
    if before is not None and leave_stands(before, work.at):
        message = _("%(who)s has leave on this ticket until %(until)s.") % {
            "who": person.name,
            "until": spoken_date(before.until, ticket.vehicle, "DATETIME_FORMAT"),
        }
        return person, [Problem("leave_stands", message, field="person")]
    return person, []


def who_may(manager: Person, vehicle: Vehicle) -> dict[int, Person]:
    """Those whom this manager may allow it, by id: they see the vehicle and make second checks."""
    people = Person.visible_to(manager).filter(is_active=True).exclude(pk=manager.pk)
    here = people.filter(all_yards=True) | people.filter(postings__yard=vehicle.yard_id)
    return {person.pk: person for person in here.distinct() if person.may("second_check")}


def take_leave_back(
    actor: Actor, leave_id: int, reason: str, *, at: datetime, request: Request | None = None
) -> Done[LeaveTakenBack]:
    """A leave stands no more; what was checked by it stays on file."""
    actor.need("allow_self_check")

    def apply(work: Work) -> LeaveTakenBack:
        found = find(SelfCheckLeave, actor, leave_id, _("leave"))
        vehicle = work.lock(found.ticket.vehicle_id)
        leave = SelfCheckLeave.objects.select_related("taken_back").get(pk=leave_id)
        if taken_back(leave) is not None:
            raise refuse("taken_back", _("This leave was taken back before."))
        if not leave_stands(leave, work.at):
            raise refuse("lapsed", _("This leave has lapsed: there is nothing to take back."))
        if not reason.strip():
            raise refuse("reason_missing", _("Say why it is taken back."), field="reason")
        refuse_too_long(LeaveTakenBack, reason=reason)
        row = LeaveTakenBack.objects.create(**work.fact(None), leave=leave, reason=reason.strip())
        work.trail("take_leave_back", row, vehicle=vehicle, reason=row.reason)
        return row

    return run("take_leave_back", actor, at, apply, request)
