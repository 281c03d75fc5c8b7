"""Every address that answers a GET, with arguments from what is on file about one vehicle."""

from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import urlencode

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from fleet.records.models import (
    AwayDay,
    ClosedDay,
    Complaint,
    DayOff,
    Delivery,
    Feed,
    FileRequest,
    Finding,
    Hold,
    Inspection,
    IntervalProposal,
    Joint,
    JointKind,
    MeterReading,
    Pattern,
    Person,
    Photo,
    PlanRun,
    ReadOver,
    Recheck,
    Rule,
    RuleException,
    SelfCheckLeave,
    Sweep,
    Tablet,
    TabletOperation,
    Ticket,
    TicketLine,
    ToolUse,
    TorqueSpec,
    TorqueTool,
    Vehicle,
    Visit,
    Webhook,
    YardMove,
)

# Signing in and out, and what is no list or page of records.
LEFT_OUT = (
    "account_", "set_language", "welcome", "api-nowhere", "api-schema", "api-documents", "healthz",
    "api-tablet-",
)  # fmt: skip

# Pages of one rule: the ladder of the track bar, and its first version.
RULE_PAGES = ("rule", "rule_change", "rule_back", "api-rule-change", "api-rule-preview")


def addresses(vehicle: Vehicle, *, whole: bool = True) -> dict[str, str]:
    """By name, in the order of the site's own list; all of them, unless `whole` is not asked for:
    then those of which nothing is on file are left out."""
    known = _arguments(vehicle)
    asked = _asked(known["joint_id"])
    given = {
        str(found.name): _of(found, known)
        for found in _patterns(get_resolver().url_patterns)
        if _is_read(found)
    }
    missing = {name for name, kwargs in given.items() if None in kwargs.values()}
    assert not (whole and missing), f"nothing on file for {sorted(missing)}"
    return {
        name: reverse(name, kwargs=kwargs) + asked.get(name, "")
        for name, kwargs in given.items()
        if name not in missing
    }


def _asked(joint_id: int) -> dict[str, str]:
    """What stands behind the question mark of an address that says nothing without it."""
    said = {"code": "play", "method": "dry_steer", "play": "1/8"}
    by_joint = {f"j{joint_id}-{name}": value for name, value in said.items()}
    asked = {
        "inspection_foretell": by_joint, "api-joint-foretell": said,
        "understood": {"kind": "length", "text": "46 5/16"},
        "api-understood": {"kind": "length", "text": "46 5/16"},
    }  # fmt: skip
    return {name: f"?{urlencode(query)}" for name, query in asked.items()}


def _patterns(found: list[Any]) -> Iterator[URLPattern]:
    for each in found:
        if isinstance(each, URLResolver):
            yield from _patterns(each.url_patterns)
        else:
            yield each


def _is_read(found: URLPattern) -> bool:
    methods: Mapping[str, str] | None = getattr(found.callback, "actions", None)
    name = found.name or ""
    # Its first answer writes down what it told of; how often it asks is told by its own test.
    if name in ("", "feed", "digest_off") or name.startswith(LEFT_OUT):
        return False
    return methods is None or "get" in methods


def _of(found: URLPattern, known: Mapping[str, Any]) -> dict[str, Any]:
    """An API address calls every key `pk`: there its own name says whose."""
    names = found.pattern.converters
    return {name: known.get(f"{found.name}.{name}", known.get(name)) for name in names}


def _arguments(vehicle: Vehicle) -> dict[str, Any]:
    mine: dict[str, Any] = {"vehicle": vehicle}
    ticket = _newest(Ticket, **mine)
    found = {
        "api-complaint": _newest(Complaint, **mine),
        "api-complaint-order": _newest(Complaint, **mine), "api-design": vehicle.design_id,
        "api-due-one": _newest(Recheck, **mine, state="owed"),
        "api-due-road-test": _newest(Recheck, **mine, state="owed"),
        "api-rule-exception-end": _newest(RuleException, **mine),
        "api-due-put-off": _newest(Recheck, **mine, state="owed"),
        "api-due-put-off-back": _newest(Recheck, **mine, state="owed"),
        "api-file-request": _newest(FileRequest, **mine),
        "api-finding": _newest(Finding, joint__vehicle=vehicle), "api-hold": _newest(Hold, **mine),
        "api-inspection": _newest(Inspection, **mine), "api-joint": _first(Joint, **mine),
        "api-joint-life": _first(Joint, **mine), "api-joint-foretell": _first(Joint, **mine),
        "api-pattern": _newest(Pattern), "api-interval": _newest(IntervalProposal),
        "api-person": _first(Person, all_yards=True, role="manager"), "api-rule": _first(Rule),
        "api-spec": _first(TorqueSpec), "api-sweep": _newest(Sweep),
        "api-sweep-joints": _newest(Sweep), "api-ticket": ticket,
        "api-visit": _newest(Visit, **mine), "api-plan-run": _newest(PlanRun, yard=vehicle.yard),
        "api-ticket-leaves": ticket, "api-yard-move": _newest(YardMove, **mine),
    }  # fmt: skip
    kind = JointKind.objects.order_by("pk").values_list("code", flat=True)[0]
    return {f"{name}.pk": pk for name, pk in found.items()} | {
        "unit_number": vehicle.unit_number, "slug": vehicle.yard.slug, "ticket_id": ticket,
        "joint_id": _first(Joint, **mine), "complaint_id": found["api-complaint"],
        "inspection_id": found["api-inspection"], "hold_id": found["api-hold"],
        "reading_id": _newest(MeterReading, **mine), "line_id": _first(TicketLine, ticket=ticket),
        "request_id": found["api-file-request"],
        "person_id": _first(Person, postings__yard=vehicle.yard, role="technician"),
        "yard_id": vehicle.yard_id, "tool_id": _first(TorqueTool),
        "use_id": _newest(ToolUse), "design_id": vehicle.design_id,
        "recheck_id": _newest(Recheck, **mine, state="owed", road_test=True),
        "code": _first(TorqueTool, "code"),
        "move_id": found["api-yard-move"], "leave_id": _newest(SelfCheckLeave, ticket=ticket),
        "feed_id": _newest(Feed), "webhook_id": _newest(Webhook),
        "delivery_id": _newest(Delivery), "api-webhook.pk": _newest(Webhook),
        "api-delivery.pk": _newest(Delivery),
        "visit_id": _newest(Visit, **mine), "run_id": _newest(PlanRun, yard=vehicle.yard),
        "closed_id": _newest(ClosedDay, yard=vehicle.yard),
        "off_id": _newest(DayOff, person__postings__yard=vehicle.yard),
        "away_id": _newest(AwayDay, **mine),
        "tablet_id": _newest(Tablet), "read_over_id": _newest(ReadOver),
        "operation_id": _newest(TabletOperation),
        "uid": _newest(Pattern, "uid"), "api-joint-kind.code": kind,
        "photo.uid": _newest(Photo, "uid", **mine),
        "interval.uid": _newest(IntervalProposal, "uid"),
        "interval_back.uid": _newest(IntervalProposal, "uid"),
        "due_put_off.recheck_id": _newest(Recheck, **mine, state="owed"),
        "due_put_off_back.recheck_id": _newest(Recheck, **mine, state="owed"),
        "exception_id": _newest(RuleException, **mine),
        **{f"{name}.kind": "ladder" for name in RULE_PAGES},
        **{f"{name}.key": "track_bar" for name in RULE_PAGES},
        "version": 1,
        **{f"{name}.uid": _newest(Sweep, "uid") for name in ("sweep", "sweep_close", "sweep_back")},
        "api-problem.code": "not-valid", "kind": "vehicles", "who": "driver", "language": "en",
    }  # fmt: skip


def _first(model: Any, column: str = "pk", **only: Any) -> Any:
    return model.objects.filter(**only).order_by("pk").values_list(column, flat=True).first()


def _newest(model: Any, column: str = "pk", **only: Any) -> Any:
    return model.objects.filter(**only).order_by("-pk").values_list(column, flat=True).first()
