"""What stands between a ticket and its close: every reason at once, each in words."""

from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _

from fleet.operations import actions, fittings, nothing
from fleet.operations.errors import Problem
from fleet.operations.line_view import LineView, views
from fleet.operations.lines import brought_by, lacks
from fleet.operations.running import moved_twice
from fleet.operations.words import value
from fleet.reads.rules import RuleNow, rules
from fleet.records.models import (
    Complaint,
    ComplaintKind,
    Finding,
    Hold,
    Ticket,
    Vehicle,
)


@dataclass(frozen=True)
class Job:
    """A ticket with its lines and rules, read once for judging and for what follows."""

    ticket: Ticket
    vehicle: Vehicle
    views: list[LineView]
    actions: dict[str, RuleNow]

    @classmethod
    def of(cls, ticket: Ticket, locked: Vehicle | None = None) -> "Job":
        """A ticket's job; `locked` is its vehicle where a verb holds its lock."""
        vehicle = locked or Vehicle.objects.select_related("design__linkage", "yard", "use").get(
            pk=ticket.vehicle_id
        )
        table = rules("action")
        return cls(ticket, vehicle, views(ticket, table), table)

    @property
    def done(self) -> set[str]:
        return {view.line.action for view in self.views}

    @property
    def opened_steering(self) -> bool:
        return any(actions.opens_steering(view.rule, view.line.joint) for view in self.views)

    @cached_property
    def holds(self) -> list[Hold]:
        """The open holds that closing this ticket lifts."""
        rows = self.ticket.holds.filter(lifted_at=None)
        return list(rows.select_related("joint__kind", "complaint"))

    @cached_property
    def complaints(self) -> list[Complaint]:
        """What the driver felt: the ticket's own complaint, and those that hold it."""
        mine = [self.ticket.complaint, *(hold.complaint for hold in self.holds)]
        rows = {one.pk: one for one in mine if one is not None}
        return sorted(rows.values(), key=lambda one: (one.occurred_at, one.pk))

    @property
    def oscillated(self) -> bool:
        return any(one.kind == ComplaintKind.AXLE_OSCILLATION for one in self.complaints)

    @property
    def needs_check(self) -> bool:
        """A hold to lift, a hold-warranting joint touched, or steering opened."""
        touched = self.opened_steering or any(view.holds for view in self.views)
        return bool(self.holds) or touched

    @property
    def found_nothing(self) -> bool:
        return not self.views and bool(self.complaints)


def problems(job: Job) -> list[Problem]:
    """Every reason why the ticket can't close now; empty when it can."""
    return [*work_problems(job), *_step_problems(job)]


def work_problems(job: Job) -> list[Problem]:
    """What the work itself still lacks: the second check asks for the same."""
    found = [problem for view in job.views for problem in lacks(view, job.vehicle)]
    found += _brought(job)
    found += _causes(job)
    found += fittings.in_the_way(job.vehicle)
    found += _held_joints(job)
    found += _complaint(job)
    if not job.views and not job.found_nothing:
        found.append(Problem("no_lines", _("The ticket has no line: add what was done.")))
    return found


def _brought(job: Job) -> list[Problem]:
    """'Set toe' and its like: lines that other lines ask for."""
    found = []
    for view in job.views:
        wanted = [[action] for action in brought_by(view.rule, view.line.joint)]
        for choice in wanted + view.rule.data.get("brings_one_of", []):
            if not set(choice) & job.done:
                names = " / ".join(job.actions[action].name for action in choice)
                message = _("%(line)s asks for a line “%(names)s”.") % {
                    "line": view.name,
                    "names": names,
                }
                found.append(Problem("line_missing", message, line=view.name, line_id=view.line.pk))
    return found


def _causes(job: Job) -> list[Problem]:
    """A second 'moved' running can't close as one more pull of the wrench, ours or a shop's.

    Work that looks at hole, shank, sleeve and bracket by itself asks for nothing more.
    """
    message = _(
        "It moved for the second time running: look for the cause first (hole, shank, sleeve, "
        "class, faces, tool), then record that it was looked for."
    )
    asked = [view for view in job.views if _asks_for_cause(view)]
    looked = {v.line.joint_id for v in asked if value(v.data, "cause_looked_for") is True}
    pulled = [view for view in asked if view.line.joint_id not in looked]
    twice = moved_twice({view.line.joint_id for view in pulled} - {None})
    return [
        Problem("cause_missing", message, field="cause_looked_for", line=view.name,
                line_id=view.line.pk)
        for view in pulled if view.line.joint_id in twice
    ]  # fmt: skip


def _asks_for_cause(view: LineView) -> bool:
    return any(field["name"] == "cause_looked_for" for field in view.rule.data["fields"])


def _held_joints(job: Job) -> list[Problem]:
    """A hold for a joint is answered by work on that joint, done since it was found so.

    What lay apart was answered for when it was set fitted, or not fitted.
    """
    here = [hold for hold in job.holds if hold.joint and hold.reason != Hold.Reason.APART]
    rows = sorted(here, key=lambda hold: hold.pk)
    asking = [hold.joint_id for hold in rows if hold.finding_id is not None]
    worst = Finding.objects.filter(joint__in=asking, response=Finding.Response.HOLD)
    found = list(worst.order_by("id"))
    return [
        Problem(
            "held_joint",
            _("%(joint)s holds the vehicle: no line since then answers “%(why)s”.")
            % {"joint": str(hold.joint), "why": hold.words},
            joint=str(hold.joint),
        )
        for hold in rows
        if not any(_answers(view, hold, found) for view in job.views)
    ]


def _answers(view: LineView, hold: Hold, found: list[Finding]) -> bool:
    """One hold stands for what was found first and for all that was found there since."""
    entry = view.line.entry
    if view.line.joint_id != hold.joint_id or entry is None:
        return False
    asked = [(hold.placed_at, "")]
    if hold.finding_id is not None:
        here = (one for one in found if one.joint_id == hold.joint_id)
        asked = [(one.occurred_at, one.code) for one in here if one.pk >= hold.finding_id]
    new_fastener = value(view.data, "new_fastener") == "yes"
    return all(
        entry.occurred_at >= when and actions.answers(view.rule, code, new_fastener=new_fastener)
        for when, code in asked
    )


def _complaint(job: Job) -> list[Problem]:
    """What does not cure what the driver felt can't close it alone."""
    if job.found_nothing:
        return nothing.problems(job.vehicle, job.complaints)
    table, found = rules("complaint") if job.complaints else {}, []
    for complaint in job.complaints:
        if job.views and not any(_may_cure(view, table[complaint.kind]) for view in job.views):
            message = _("%(work)s alone can't close “%(complaint)s”: look for the cause.") % {
                "work": ", ".join(view.rule.name for view in job.views),
                "complaint": complaint.get_kind_display(),
            }
            found.append(Problem("not_enough", message))
    return found


def _may_cure(view: LineView, complaint: RuleNow) -> bool:
    """Neither work that only hides it, nor any work at a joint that only shows it."""
    if view.line.action in complaint.data.get("cannot_close_with", []):
        return False
    if view.line.joint is None:
        return True
    kind = view.line.joint.kind
    return not {kind.code, kind.group} & set(complaint.data.get("cannot_close_at", []))


def _step_problems(job: Job) -> list[Problem]:
    """The steps still to take: second check, then road test."""
    if not job.needs_check and not job.found_nothing:
        return []
    state = job.ticket.state
    if state == Ticket.State.OPEN:
        message = _("The second check is missing: by somebody who did no line of this ticket.")
        return [Problem("second_check_missing", message)]
    if state in (Ticket.State.CHECKED, Ticket.State.RELEASED):
        return [Problem("road_test_missing", _("The road test has not been passed."))]
    return []
