"""An inspection: the sheet to fill in, and what came of one that was recorded."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from fleet.operations import inspect
from fleet.operations.still_owed import still_owed
from fleet.operations.work import Done
from fleet.reads.complaints import complaints
from fleet.reads.days import today_at, zone_of
from fleet.reads.due import owed
from fleet.reads.inspections import inspection_story, inspections, sheet_rows
from fleet.reads.joints import GROUPS
from fleet.reads.photos import photos_of_inspection
from fleet.reads.rules import rules
from fleet.reads.tools import tools
from fleet.reads.triage import LookStep, OrderOfLooking, order_of_looking
from fleet.reads.vehicles import holds_on
from fleet.records.models import Complaint, Inspection, InspectionKind, Person, Recheck, Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, reader
from fleet.web.foretold import foretold_by
from fleet.web.forms import Ask, Sheet, form_page, sent
from fleet.web.front_end import FrontEnd, front_end_of
from fleet.web.sheet import Entry, SheetForm

# Which sheet pays off a recheck of a kind.
SHEET_FOR = {
    Recheck.Kind.RETORQUE: InspectionKind.RETORQUE,
    Recheck.Kind.WHEEL_NUTS: InspectionKind.RETORQUE,
    Recheck.Kind.ROUTINE: InspectionKind.ROUTINE,
    Recheck.Kind.ANNUAL: InspectionKind.ANNUAL,
    Recheck.Kind.SWEEP: InspectionKind.SWEEP,
}
# Digits that a number may have before no database row can bear it.
LONGEST_ID = 18
# A sheet for what falls due together looks no further ahead.
MOST_DAYS = 31
CONDITIONS = (
    "kind",
    "at_wheel",
    "second_person",
    "on_wheels",
    "engine_on",
    "ride_height",
    "plough_on",
    "meter",
    "occurred_at",
    "tool",
    "thread_condition",
)


@dataclass(frozen=True)
class Section:
    """Joints that are looked at together, and why now."""

    title: Any
    entries: list[Entry]
    reason: str = ""
    folded: bool = False


@needs("inspect")
@about_vehicle
def inspection_new(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    person, now = reader(request), timezone.now()
    complaint, recheck = _why(request, person, vehicle)
    together = _together(request, person, vehicle, now)
    kind = _kind(request, complaint, recheck, together)
    form = SheetForm(
        sent(request),
        sheet_rows(vehicle, now),
        initial={"kind": kind},
        people=Person.visible_to(person).exclude(pk=person.pk).filter(is_active=True),
        tools=tools(person).filter(in_use=True, yard=vehicle.yard_id),
    )
    form.foretell = partial(foretold_by, person, vehicle)
    sheet = Sheet(
        title=_("Inspection: %(unit)s") % {"unit": vehicle.unit_number},
        button=_("Record the sheet"),
        back=reverse("vehicle", args=[vehicle.unit_number]),
        back_text=vehicle.unit_number,
        template="inspection/sheet.html",
        more={
            "vehicle": vehicle,
            "holds": holds_on(vehicle),
            "complaint": complaint,
            "front": _front_end(vehicle, form.entries, now),
            "sections": _sections(form.entries, complaint, recheck, together),
            # The id of a joint takes the place of the 0.
            "foretell_at": reverse("inspection_foretell", args=[vehicle.unit_number, 0]),
            "conditions": [form[name] for name in CONDITIONS],
            **_methods(),
        },
    )

    def verb(ask: Ask) -> Done[Inspection]:
        typed = form.sheet(vehicle, complaint, rules("finding"))
        return inspect.record_inspection(ask.actor, typed, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page_of)


def _front_end(vehicle: Vehicle, entries: list[Entry], now: datetime) -> FrontEnd:
    """The drawing as the sheet's map: a tap leads to the joint's own fields."""
    rows = [entry.known.row for entry in entries]
    return front_end_of(vehicle, rows, now, lambda joint: f"#j{joint.pk}")


def _methods() -> dict[str, Any]:
    """The methods by name, and the two whose cautions stand on the sheet."""
    methods = rules("method")
    return {
        "methods": {key: rule.name for key, rule in methods.items()},
        "dry_steer": methods.get("dry_steer"),
        "wrench": methods.get("wrench"),
    }


def _page_of(row: Any) -> str:
    return reverse("inspection_detail", args=[row.pk])


def _why(
    request: HttpRequest, person: Person, vehicle: Vehicle
) -> tuple[Complaint | None, Recheck | None]:
    """What the sheet was opened for; an address that names something else is not found."""
    complaint = recheck = None
    if request.GET.get("complaint"):
        mine = complaints(person).filter(vehicle=vehicle)
        complaint = in_scope(mine, pk=request.GET["complaint"])
    if request.GET.get("recheck"):
        recheck = owed(person).filter(vehicle=vehicle, pk=_number(request.GET["recheck"])).first()
    return complaint, recheck


def _together(
    request: HttpRequest, person: Person, vehicle: Vehicle, now: datetime
) -> list[Recheck]:
    """What falls due on this vehicle within so many days, for a sheet over all of it."""
    days = min(_number(request.GET.get("due", "")), MOST_DAYS)
    if not days:
        return []
    last = today_at(vehicle.yard, now) + timedelta(days=days)
    return list(owed(person).filter(vehicle=vehicle, falls_on__lte=last))


def _number(typed: str) -> int:
    return int(typed) if typed.isdecimal() and len(typed) <= LONGEST_ID else 0


def _kind(
    request: HttpRequest, complaint: Complaint | None, recheck: Recheck | None,
    together: list[Recheck],
) -> str:  # fmt: skip
    asked = request.GET.get("kind", "")
    if asked in InspectionKind.values:
        return asked
    if complaint is not None:
        return InspectionKind.COMPLAINT
    if recheck is not None:
        return SHEET_FOR.get(Recheck.Kind(recheck.kind), InspectionKind.RECHECK)
    return _kind_of_all(together) if together else InspectionKind.ROUTINE


def _kind_of_all(together: list[Recheck]) -> str:
    """The one sheet that pays them all: the yearly look pays a routine too, any sheet the rest."""
    kinds = {SHEET_FOR.get(Recheck.Kind(row.kind), InspectionKind.RECHECK) for row in together}
    for wanted in (InspectionKind.ANNUAL, InspectionKind.ROUTINE):
        if wanted in kinds:
            return wanted
    return kinds.pop() if len(kinds) == 1 else InspectionKind.RECHECK


def _sections(
    entries: list[Entry], complaint: Complaint | None, recheck: Recheck | None,
    together: list[Recheck],
) -> list[Section]:  # fmt: skip
    if complaint is not None:
        return _for_complaint(entries, complaint)
    if recheck is not None and recheck.joint_id is not None:
        return _for_recheck(entries, recheck)
    if any(row.joint_id for row in together):
        return _for_all(entries, together)
    return _walk(entries)


def _walk(entries: list[Entry]) -> list[Section]:
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        groups.setdefault(entry.joint.kind.group, []).append(entry)
    return [Section(GROUPS.get(code, code), found) for code, found in groups.items()]


def _for_complaint(entries: list[Entry], complaint: Complaint) -> list[Section]:
    """The order of looking, each step with its reason; then the rest of the walk."""
    order, by_joint = order_of_looking(complaint), {entry.joint.pk: entry for entry in entries}
    found = [
        Section(step.title, [by_joint[joint.pk] for joint in step.joints], _why_here(step, order))
        for step in order.steps
    ]
    rest = Section(
        _("Then the rest, in walking order"),
        [by_joint[joint.pk] for joint in order.rest],
        _("Nothing points to these more than to others."),
    )
    return [*found, rest] if order.rest else found


def _why_here(step: LookStep, order: OrderOfLooking) -> str:
    found = _("Found behind %(found)s of %(like)s like complaints.") % {
        "found": step.found,
        "like": order.like,
    }
    return " ".join(part for part in (step.reason, found if order.like else "") if part)


def _for_recheck(entries: list[Entry], recheck: Recheck) -> list[Section]:
    """The joint that is owed first, what else is owed on the vehicle next, the rest folded."""
    first = [e for e in entries if e.joint.pk == recheck.joint_id]
    also = [e for e in entries if e not in first and e.known.owed]
    rest = [e for e in entries if e not in first and e not in also]
    sections = [
        Section(_("Owed"), first),
        Section(_("Also owed on this vehicle"), also),
        Section(_("Other joints"), rest, folded=not any(e.typed["code"] for e in rest)),
    ]
    return [section for section in sections if section.entries]


def _for_all(entries: list[Entry], together: list[Recheck]) -> list[Section]:
    """What falls due together first; with a look over the whole front end nothing is folded."""
    ids = {row.joint_id for row in together}
    first = [e for e in entries if e.joint.pk in ids]
    rest = [e for e in entries if e.joint.pk not in ids]
    folded = None not in ids and not any(e.typed["code"] for e in rest)
    sections = [
        Section(_("Due together"), first),
        Section(_("Other joints"), rest, folded=folded),
    ]
    return [section for section in sections if section.entries]


@needs("view_history")
def inspection_detail(request: HttpRequest, inspection_id: int) -> HttpResponse:
    inspection = in_scope(inspections(reader(request)), pk=inspection_id)
    with timezone.override(zone_of(inspection.vehicle.yard)):
        story = inspection_story(inspection)
        looked_at = [row.finding for row in story.findings]
        owed_yet = still_owed(inspection, looked_at, story.methods)
        for row in story.findings:
            row.owed.extend(owed_yet.get(row.finding.pk, []))
        context = {
            "inspection": inspection,
            "vehicle": inspection.vehicle,
            "holds": holds_on(inspection.vehicle),
            "story": story,
            "photos": photos_of_inspection(reader(request), inspection),
        }
        return render(request, "inspection/detail.html", context)
