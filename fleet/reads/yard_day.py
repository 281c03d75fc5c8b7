"""The Yard page: what must not go out today, what is late, and what waits for whom."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from fleet.reads import due, patterns, tickets, tools, vehicles
from fleet.reads.due import DueItem
from fleet.reads.few import Few, few
from fleet.reads.files import Wanted, files_wanted
from fleet.reads.patterns import PatternRow
from fleet.reads.rules import settings_now
from fleet.reads.tools import ToolRow
from fleet.records.models import Hold, Person, Ticket, Vehicle, Yard


@dataclass(frozen=True)
class YardDay:
    """Ten lists, each its first rows and how many there are."""

    held: Few[Vehicle]
    used_while_held: Few[Hold]
    overdue: Few[DueItem]
    this_week: Few[DueItem]
    waiting: Few[Ticket]
    past_check: Few[Ticket]
    patterns: Few[PatternRow]
    stale: Few[Vehicle]
    tools: Few[ToolRow]
    in_service: int
    # None for whoever may not see file requests.
    files: Wanted | None

    @property
    def nothing_here(self) -> bool:
        """No vehicle in service, and nothing of one that was: a yard before its first vehicle."""
        lists = (self.held, self.overdue, self.this_week, self.waiting, self.past_check, self.tools)
        return not self.in_service and not any(each.total for each in lists)


def yard_day(person: Person, yards: list[Yard], now: datetime) -> YardDay:
    """How it stands now in these yards; the number of queries does not grow with the fleet."""
    settings = settings_now()
    fleet = vehicles.vehicles(person).filter(yard__in=yards)
    owed = due.owed(person).filter(vehicle__yard__in=yards)
    jobs = tickets.tickets(person).filter(vehicle__yard__in=yards)
    late, soon = few(due.overdue(owed, yards, now)), few(due.due_this_week(owed, yards, now))
    items = due.due_items([*late.rows, *soon.rows], now)
    open_patterns = few(patterns.open_patterns(person, yards))
    warned = int(settings.get("tool_warning_days", tools.WARNING_DAYS))
    uses = int(settings.get("tool_interval_uses", tools.MOST_USES))
    mine = tools.tools(person).filter(yard__in=yards)
    wrenches = few(tools.tools_due(mine, yards, now, warned, uses))
    stale_days = int(settings.get("stale_meter_days", due.STALE_DAYS))
    return YardDay(
        held=few(vehicles.held_vehicles(fleet)),
        used_while_held=few(_used_while_held(person, yards)),
        overdue=Few(items[: len(late.rows)], late.total),
        this_week=Few(items[len(late.rows) :], soon.total),
        waiting=few(tickets.waiting_for_check(jobs)),
        past_check=few(tickets.past_check(jobs)),
        patterns=Few(patterns.pattern_rows(open_patterns.rows, person), open_patterns.total),
        stale=few(vehicles.with_stale_meter(fleet, now, stale_days)),
        tools=Few(tools.tool_rows(wrenches.rows, now, warned, uses), wrenches.total),
        files=files_wanted(person, yards),
        in_service=fleet.filter(status=Vehicle.Status.IN_SERVICE).count(),
    )


def _used_while_held(person: Person, yards: list[Yard]) -> QuerySet[Hold]:
    rows = Hold.visible_to(person).filter(vehicle__yard__in=yards, lifted_at=None)
    return rows.filter(reason=Hold.Reason.USED).select_related("vehicle__yard", "ticket")
