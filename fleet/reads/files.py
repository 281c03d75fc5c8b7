"""File requests: open ones first, and how each ended."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Case, Count, Exists, F, Min, OuterRef, QuerySet, Value, When

from fleet.reads.days import today_at
from fleet.records.models import FileAnswer, FileRequest, Person, Yard


def file_requests(person: Person) -> QuerySet[FileRequest]:
    """Every request in scope: open ones first, soonest wanted first; then the newest."""
    rows = FileRequest.visible_to(person).select_related(
        "vehicle__yard", "vehicle__design", "by", "answer__by"
    )
    over = Exists(FileAnswer.objects.filter(request=OuterRef("pk")))
    # Among those that are over the day wanted says nothing: it is one and the same there.
    soonest = Case(When(answer=None, then=F("wanted_by")), default=Value(date.min))
    return rows.annotate(over=over).order_by("over", soonest, "-occurred_at", "-id")


@dataclass(frozen=True)
class Wanted:
    """How many files are asked for, and the first day on which one is wanted."""

    count: int
    first: date | None


def files_wanted(person: Person, yards: list[Yard]) -> Wanted | None:
    """For whoever may see file requests; one query."""
    if not person.may("view_files"):
        return None
    rows = FileRequest.visible_to(person).filter(vehicle__yard__in=yards, answer=None).order_by()
    found = rows.aggregate(count=Count("pk"), first=Min("wanted_by"))
    return Wanted(found["count"], found["first"])


def is_late(asked: FileRequest, now: datetime) -> bool:
    """Wanted by a day that is past at the vehicle's yard, and not ended."""
    return asked.end is None and asked.wanted_by < today_at(asked.vehicle.yard, now)
