"""Second check, release for a road test, road test, close: the steps out of a ticket."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.operations import aftermath, checkers, closing, complain, moves, seen
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.plan_settle import ticket_left_the_plan
from fleet.operations.repair import open_for_change
from fleet.operations.words import hours_problem, refuse_too_long, spoken_date, too_long
from fleet.operations.work import Done, Work, run
from fleet.reads.rules import setting
from fleet.records.models import RoadRelease, RoadTest, SecondCheck, Ticket


@dataclass(frozen=True)
class CheckSheet:
    passed: bool
    dry_steer: bool
    note: str = ""
    how: str = SecondCheck.How.IN_PERSON
    occurred_at: datetime | None = None
    # The entries of the lines as the checker saw them; None where nobody asks.
    saw: frozenset[UUID] | None = None


def second_check(
    actor: Actor, ticket_id: int, sheet: CheckSheet, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[SecondCheck]:  # fmt: skip
    """Somebody who did no line confirms the work, before the road test."""
    actor.need("second_check")

    def apply(work: Work) -> SecondCheck:
        ticket = open_for_change(work, ticket_id, expected_version)
        seen.same_work(ticket, sheet.saw)
        leave = checkers.may_check(work, ticket, sheet)
        check = SecondCheck.objects.create(
            **work.fact(sheet.occurred_at), ticket=ticket, vehicle=ticket.vehicle, how=sheet.how,
            passed=sheet.passed, dry_steer=sheet.dry_steer, note=sheet.note.strip(),
            leave=leave,
        )  # fmt: skip
        to = Ticket.State.CHECKED if sheet.passed else Ticket.State.OPEN
        moves.move(ticket, moves.TICKET_MOVES, to)
        work.trail("second_check", check, vehicle=ticket.vehicle, after={"passed": sheet.passed})
        return check

    return run("second_check", actor, at, apply, request)


@dataclass(frozen=True)
class Release:
    driver: str
    place: str
    hours: float | None = None
    occurred_at: datetime | None = None


def release(
    actor: Actor, ticket_id: int, out: Release, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[RoadRelease]:  # fmt: skip
    """Let the vehicle out for one road test: a named driver, a place, a time. The hold stays."""
    actor.need("second_check")

    def apply(work: Work) -> RoadRelease:
        ticket = open_for_change(work, ticket_id, expected_version)
        if ticket.state not in (Ticket.State.CHECKED, Ticket.State.RELEASED):
            raise refuse("not_checked", _("A second check has to pass before the road test."))
        longest = float(setting("road_test_hours"))
        problems = _release_problems(out, longest)
        if problems:
            raise Refused(tuple(problems))
        fact = work.fact(out.occurred_at)
        row = RoadRelease.objects.create(
            **fact, ticket=ticket, driver=out.driver.strip(), place=out.place.strip(),
            until=fact["occurred_at"] + timedelta(hours=out.hours or longest),
        )  # fmt: skip
        moves.move(ticket, moves.TICKET_MOVES, Ticket.State.RELEASED)
        work.trail("release", row, vehicle=ticket.vehicle, after={"until": str(row.until)})
        return row

    return run("release", actor, at, apply, request)


def _release_problems(out: Release, longest: float) -> list[Problem]:
    problems = too_long(RoadRelease, {"driver": out.driver, "place": out.place})
    if not out.driver.strip():
        problems.append(Problem("driver_missing", _("Name the driver."), field="driver"))
    if not out.place.strip():
        problems.append(Problem("place_missing", _("Say where it is driven."), field="place"))
    return problems + hours_problem(out.hours, longest)


@dataclass(frozen=True)
class TestSheet:
    passed: bool
    note: str = ""
    top_speed: str = ""
    occurred_at: datetime | None = None


def road_test(
    actor: Actor, ticket_id: int, sheet: TestSheet, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[RoadTest]:  # fmt: skip
    """Record the road test. A failed one opens the ticket again; the hold stays either way."""
    actor.need("second_check")

    def apply(work: Work) -> RoadTest:
        ticket = open_for_change(work, ticket_id, expected_version)
        if ticket.state != Ticket.State.RELEASED:
            raise refuse("not_released", _("Release the vehicle for its road test first."))
        if not sheet.passed and not sheet.note.strip():
            raise refuse("note_missing", _("Say what was felt, and at what speed."), field="note")
        refuse_too_long(RoadTest, top_speed_typed=sheet.top_speed)
        outing = ticket.releases.latest("id")
        fact = work.fact(sheet.occurred_at)
        if not outing.occurred_at <= fact["occurred_at"] <= outing.until:
            message = _(
                "The release stands from %(start)s to %(end)s. Say when it was driven, or release "
                "it again."
            ) % {"start": _clock(outing.occurred_at, ticket), "end": _clock(outing.until, ticket)}
            raise refuse("outside_release", message, field="occurred_at")
        speed = complain.speed_m_s(sheet.top_speed, ticket.vehicle, "top_speed")
        row = RoadTest.objects.create(
            **fact, ticket=ticket, release=outing, passed=sheet.passed,
            top_speed_typed=sheet.top_speed.strip(), top_speed_m_s=speed, note=sheet.note.strip(),
        )  # fmt: skip
        to = Ticket.State.TESTED if sheet.passed else Ticket.State.OPEN
        moves.move(ticket, moves.TICKET_MOVES, to)
        work.trail("road_test", row, vehicle=ticket.vehicle, after={"passed": sheet.passed})
        return row

    return run("road_test", actor, at, apply, request)


def _clock(moment: datetime, ticket: Ticket) -> str:
    """The hour at the yard, with its day."""
    return spoken_date(moment, ticket.vehicle, "DATETIME_FORMAT")


def close_ticket(
    actor: Actor, ticket_id: int, *, at: datetime, outcome: str = "",
    saw: frozenset[UUID] | None = None, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[Ticket]:  # fmt: skip
    """Close: every line complete, checked and tested; holds lifted and rechecks made with it."""
    actor.need("close_ticket")

    def apply(work: Work) -> Ticket:
        ticket = open_for_change(work, ticket_id, expected_version)
        seen.same_work(ticket, saw)
        job = closing.Job.of(ticket, ticket.vehicle)
        problems = closing.problems(job)
        if problems:
            raise Refused(tuple(problems))
        moves.move(ticket, moves.TICKET_MOVES, Ticket.State.CLOSED, outcome=outcome.strip(),
                   closed_at=work.at, closed_by=work.actor.person)  # fmt: skip
        aftermath.after_close(work, job)
        ticket_left_the_plan(work, job.vehicle, ticket.pk)
        work.trail("close_ticket", ticket, vehicle=job.vehicle,
                   after={"lines": len(job.views)}, tell=("patterns",))  # fmt: skip
        return ticket

    return run("close_ticket", actor, at, apply, request)
