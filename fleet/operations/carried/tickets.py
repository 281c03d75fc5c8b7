"""The open tickets of a yard, each line with what asks for its figures and what stands there."""

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from django.db.models import Prefetch

from fleet.operations import line_view
from fleet.operations.carried.facts import Facts, moment
from fleet.operations.carried.vehicles import Yardful
from fleet.operations.seen import told
from fleet.reads.rules import RuleNow, rules
from fleet.reads.tickets import OVER
from fleet.records.models import (
    LineEntry,
    RoadRelease,
    RoadTest,
    SecondCheck,
    SelfCheckLeave,
    Ticket,
    TicketLine,
    Vehicle,
)


def tickets_by_vehicle(yardful: Yardful) -> dict[int, list[Facts]]:
    """Eight queries, however many tickets."""
    vehicles = {vehicle.pk: vehicle for vehicle in yardful.vehicles}
    lines = TicketLine.objects.select_related("joint__kind", "entry__by")
    # Whoever did any of it, dropped lines and replaced entries too, does not check it.
    entries = LineEntry.objects.select_related("by")
    rows = (
        Ticket.objects.filter(vehicle__in=vehicles).exclude(state__in=OVER)
        .select_related("opened_by").prefetch_related(
            Prefetch("lines", lines.prefetch_related(Prefetch("entries", entries))),
            Prefetch("self_check_leaves", SelfCheckLeave.objects.filter(taken_back=None)),
            Prefetch("second_checks", SecondCheck.objects.select_related("by")),
            Prefetch("releases", RoadRelease.objects.select_related("by")),
            Prefetch("road_tests", RoadTest.objects.select_related("by")),
        )
    )  # fmt: skip
    table = rules("action")
    found: dict[int, list[Facts]] = defaultdict(list)
    for ticket in rows:
        vehicle = vehicles[ticket.vehicle_id]
        found[vehicle.pk].append(_ticket(yardful, vehicle, ticket, table))
    return found


def _ticket(
    yardful: Yardful, vehicle: Vehicle, ticket: Ticket, table: Mapping[str, RuleNow]
) -> Facts:
    return {
        "id": ticket.pk, "uid": str(ticket.uid), "state": ticket.state, "title": ticket.title,
        "complaint": ticket.complaint_id, "version": ticket.version,
        "opened_at": moment(ticket.opened_at), "opened_by": ticket.opened_by.name,
        "lines": [
            _line(yardful, vehicle, line, table) for line in ticket.lines.all()
            if line.state != TicketLine.State.DROPPED
        ],
        "hands": [_hand(entry) for line in ticket.lines.all() for entry in line.entries.all()],
        "leaves": [
            {"person": leave.technician_id, "until": moment(leave.until)}
            for leave in ticket.self_check_leaves.all()
        ],
        "checks": [_check(check) for check in ticket.second_checks.all()],
        "releases": [
            {"driver": out.driver, "place": out.place, "at": moment(out.occurred_at),
             "until": moment(out.until), "by_name": out.by.name} for out in ticket.releases.all()
        ],
        "tests": [
            {"passed": test.passed, "at": moment(test.occurred_at), "by_name": test.by.name,
             "note": test.note} for test in ticket.road_tests.all()
        ],
    }  # fmt: skip


def _hand(entry: LineEntry) -> Facts:
    return {"by": entry.by_id, "done_by": entry.done_by, "at": moment(entry.occurred_at)}


def _check(check: SecondCheck) -> Facts:
    return {"passed": check.passed, "at": moment(check.occurred_at), "by": check.by_id,
            "by_name": check.by.name, "how": check.how, "note": check.note}  # fmt: skip


def _line(
    yardful: Yardful, vehicle: Vehicle, line: TicketLine, table: Mapping[str, RuleNow]
) -> Facts:
    specs = yardful.specs.get(vehicle.design_id, {})
    entry = line.entry
    facts: Any = line_view.about(table[line.action], vehicle, line.joint, specs)
    return {
        "id": line.pk, "uid": str(line.uid), "action": line.action, "joint": line.joint_id,
        "state": line.state, "facts": facts,
        "entry": {**told(entry), "done_by": entry.done_by} if entry else None,
    }  # fmt: skip
