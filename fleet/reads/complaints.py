"""Complaints: what was said, what it set off, and what the driver was told back."""

from dataclasses import dataclass

from django.db.models import QuerySet

from fleet.reads.vehicles import holds_on
from fleet.records.base import in_language
from fleet.records.models import Complaint, ComplaintAnswer, Hold, Inspection, Person, Rule, Ticket


@dataclass(frozen=True)
class ComplaintStory:
    # What the driver is told at once, by the rule that it was reported under.
    message: str
    holds: list[Hold]
    tickets: list[Ticket]
    inspections: list[Inspection]
    answers: list[ComplaintAnswer]


def complaints(person: Person) -> QuerySet[Complaint]:
    return Complaint.visible_to(person).select_related("vehicle__yard", "vehicle__design", "by")


def complaint_story(complaint: Complaint) -> ComplaintStory:
    """What came of one complaint; five queries."""
    said = Rule.objects.filter(
        kind="complaint", key=complaint.kind, version=complaint.rule_version
    ).first()
    return ComplaintStory(
        message=in_language(said.data["driver_message"]) if said else "",
        holds=holds_on(complaint.vehicle),
        tickets=list(complaint.tickets.all()),
        inspections=list(complaint.inspections.select_related("by")),
        answers=list(complaint.answers.select_related("by")),
    )
