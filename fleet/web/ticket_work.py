"""A ticket as its page shows it: lines with what each lacks, the steps, what stands in the way."""

from collections import Counter
from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.operations import closing, lines
from fleet.operations.errors import Problem
from fleet.operations.foretell_line import LineTold, Place, bands_of, told
from fleet.operations.line_view import LineView
from fleet.reads.line_words import Recorded, said_once
from fleet.reads.ticket_facts import LineFacts, StepFacts, line_facts, step_facts
from fleet.records.models import Person, Ticket
from fleet.web.forms import Pointer
from fleet.web.self_check import SelfCheckNow, self_check_now
from fleet.web.templatetags.figures import moment

T = Ticket.State
LACKS = ("missing", "must")
# Where a problem without a line is put right.
WAYS = {
    "second_check_missing": "ticket_check",
    "line_missing": "line_new",
    "no_lines": "line_new",
    "held_joint": "line_new",
    "not_assembled": "line_new",
    "not_enough": "line_new",
}


@dataclass(frozen=True)
class LineWork:
    view: LineView
    lacks: list[Problem]
    recorded: Recorded
    facts: LineFacts
    told: LineTold


@dataclass(frozen=True)
class Step:
    """One step out of a ticket; `state` is done, now, later or not_needed."""

    name: str
    state: str
    note: str = ""
    url: str = ""
    button: str = ""


@dataclass(frozen=True)
class TicketWork:
    lines: list[LineWork]
    steps: list[Step]
    in_the_way: list[Pointer]
    facts: StepFacts
    self_check: SelfCheckNow | None


def ticket_work(ticket: Ticket, person: Person) -> TicketWork:
    """Everything the page of one ticket shows; the number of queries does not grow with lines."""
    job = closing.Job.of(ticket)
    kept = line_facts(ticket)
    people = _people_named(job, person)
    # The figures on file are of one design: every line has the same.
    specs = job.views[0].specs if job.views else {}
    bands = bands_of(specs)
    work = [
        LineWork(
            view,
            [] if ticket.is_over else lines.lacks(view, job.vehicle),
            said_once(view.fields(job.vehicle), view.data, people),
            kept.get(view.line.entry_id, LineFacts()),
            told(Place(view.line.action, job.vehicle, view.line.joint, specs, bands), view.data),
        )
        for view in job.views
    ]
    problems = [] if ticket.is_over else closing.problems(job)
    facts = step_facts(ticket)
    return TicketWork(
        lines=work,
        steps=_steps(job, facts, problems),
        in_the_way=_in_short(problems, ticket),
        facts=facts,
        self_check=self_check_now(job, facts, person, timezone.now()),
    )


def _people_named(job: closing.Job, person: Person) -> dict[str, str]:
    """Names for the ids that lines keep of people; asked only where a line has one."""
    asked = any(f["type"] == "person" for view in job.views for f in view.rule.data["fields"])
    rows = Person.visible_to(person) if asked else Person.visible_to(person).none()
    return {str(row.pk): row.name for row in rows}


def _in_short(problems: list[Problem], ticket: Ticket) -> list[Pointer]:
    """What a line lacks stands at the line, on the same page: here only how much it is."""
    counts = Counter(p.line_id for p in problems if p.line_id and p.code in LACKS)
    names = {p.line_id: str(p.line) for p in problems}
    short = [
        Pointer(ngettext("%d thing missing", "%d things missing", n) % n, f"#line-{pk}", names[pk])
        for pk, n in counts.items()
    ]
    return [*short, *(pointer(p, ticket) for p in problems if p.code not in LACKS)]


def pointer(problem: Problem, ticket: Ticket) -> Pointer:
    """A problem in words, and the way to where it is put right."""
    text = str(problem.message)
    if problem.line_id and problem.code != "line_missing":
        place = reverse("line_record", args=[ticket.pk, problem.line_id])
        return Pointer(text, f"{place}#id_{problem.field}", str(problem.line))
    if problem.code == "road_test_missing":
        step = "ticket_release" if ticket.state == T.CHECKED else "ticket_road_test"
        return Pointer(text, reverse(step, args=[ticket.pk]))
    if problem.code == "joint_apart":
        return Pointer(text, reverse("vehicle", args=[ticket.vehicle.unit_number]) + "#joints")
    if problem.code == "joints_unseen":
        return Pointer(text, reverse("inspection_new", args=[ticket.vehicle.unit_number]))
    name = WAYS.get(problem.code)
    return Pointer(text, reverse(name, args=[ticket.pk]) if name else "")


def _steps(job: closing.Job, facts: StepFacts, problems: list[Problem]) -> list[Step]:
    """Lines, second check, release, road test, close: in order, the present one marked."""
    ticket = job.ticket
    needed = job.needs_check or job.found_nothing or facts.check is not None
    present = _present(ticket, needed, problems)
    names = ["lines", *(["check", "release", "road_test"] if needed else []), "close"]
    order = names.index(present) if present in names else len(names)
    return [_step(name, at - order, ticket, facts) for at, name in enumerate(names)]


def _present(ticket: Ticket, needed: bool, problems: list[Problem]) -> str:
    after = {T.CHECKED: "release", T.RELEASED: "road_test", T.TESTED: "close"}
    if ticket.is_over:
        return ""
    if ticket.state in after:
        return after[T(ticket.state)]
    work_left = [p for p in problems if p.code != "second_check_missing"]
    if work_left:
        return "lines"
    return "check" if needed else "close"


def _step(name: str, ahead: int, ticket: Ticket, facts: StepFacts) -> Step:
    words = {
        "lines": (_("Lines complete"), "", ""),
        "check": (
            _("Second check, by somebody who did no line"),
            "ticket_check",
            _("Second check"),
        ),
        "release": (
            _("Released for a road test only"),
            "ticket_release",
            _("Release for a road test"),
        ),
        "road_test": (_("Road test"), "ticket_road_test", _("Record the road test")),
        "close": (_("Close: lifts this ticket's holds"), "ticket_close", _("Close the ticket")),
    }
    text, url, button = words[name]
    state = "now" if ahead == 0 else "done" if ahead < 0 else "later"
    if ticket.state == T.CANCELLED:
        state = "later"
    note = _note(name, facts, ticket) if state == "done" else ""
    link = reverse(url, args=[ticket.pk]) if url and state == "now" else ""
    return Step(text, state, note, link, button)


def _note(name: str, facts: StepFacts, ticket: Ticket) -> str:
    """Who took a step, and when or until when."""
    if name == "check" and facts.check:
        return f"{facts.check.by.name}, {moment(facts.check.occurred_at)}"
    if name == "release" and facts.outing:
        return _("%(driver)s, %(place)s, until %(until)s") % {
            "driver": facts.outing.driver,
            "place": facts.outing.place,
            "until": moment(facts.outing.until),
        }
    if name == "road_test" and facts.passed_test:
        return f"{facts.passed_test.by.name}, {moment(facts.passed_test.occurred_at)}"
    if name == "close" and ticket.closed_by:
        return f"{ticket.closed_by.name}, {moment(ticket.closed_at)}"
    return ""
