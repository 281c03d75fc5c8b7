"""What a ticket's page says beside its lines: toe read, checks, outings, holds."""

from dataclasses import dataclass

from fleet.records.models import (
    Complaint,
    Hold,
    Joint,
    RoadRelease,
    RoadTest,
    SecondCheck,
    SelfCheckLeave,
    Ticket,
    TicketLine,
    ToeReading,
    Vehicle,
)


@dataclass
class LineFacts:
    """What an entry's figures came to."""

    toe_found: ToeReading | None = None
    toe_left: ToeReading | None = None


def line_facts(ticket: Ticket) -> dict[int | None, LineFacts]:
    """By line entry; one query."""
    found: dict[int | None, LineFacts] = {}
    for toe in ToeReading.objects.filter(line_entry__line__ticket=ticket):
        facts = found.setdefault(toe.line_entry_id, LineFacts())
        if toe.as_left:
            facts.toe_left = toe
        else:
            facts.toe_found = toe
    return found


@dataclass(frozen=True)
class StepFacts:
    """Every step taken, newest first, and the holds that the close lifts."""

    checks: list[SecondCheck]
    leaves: list[SelfCheckLeave]
    releases: list[RoadRelease]
    tests: list[RoadTest]
    holds: list[Hold]
    dropped: list[TicketLine]

    @property
    def check(self) -> SecondCheck | None:
        return next((check for check in self.checks if check.passed), None)

    @property
    def outing(self) -> RoadRelease | None:
        return self.releases[0] if self.releases else None

    @property
    def passed_test(self) -> RoadTest | None:
        return next((test for test in self.tests if test.passed), None)


def step_facts(ticket: Ticket) -> StepFacts:
    """Six queries, however many lines."""
    dropped = ticket.lines.filter(state=TicketLine.State.DROPPED)
    return StepFacts(
        checks=list(ticket.second_checks.select_related("by", "leave__by")),
        leaves=list(ticket.self_check_leaves.select_related("by", "technician", "taken_back__by")),
        releases=list(ticket.releases.select_related("by")),
        tests=list(ticket.road_tests.select_related("by")),
        holds=list(ticket.holds.select_related("lifted_by", "finding").order_by("placed_at", "id")),
        dropped=list(dropped.select_related("joint__kind")),
    )


def joints_to_work_on(vehicle: Vehicle) -> list[Joint]:
    """The joints that a line may be about, in walking order."""
    rows = Joint.objects.filter(vehicle=vehicle).exclude(fitted=Joint.Fitted.NOT_FITTED)
    return list(rows.select_related("kind"))


def complaints_waiting(vehicle: Vehicle) -> list[Complaint]:
    """Complaints that no ticket answers yet, newest first."""
    return list(vehicle.complaints.filter(tickets=None)[:10])
