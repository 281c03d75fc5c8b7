"""How an operation of a tablet is read, and which verb does it."""

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _
from rest_framework import serializers

from api.errors import flat
from api.sheets import sheet_of
from api.tablet_bodies import BODIES
from fleet.operations import close_out, inspect, meters, refused_sheet, repair, tablet_returns
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.holds import place_hold
from fleet.operations.once import Request
from fleet.operations.seen import Saw
from fleet.operations.tablet_kept import Sent
from fleet.operations.tablet_log import Doing, Plan
from fleet.operations.tablet_refs import line_of, ticket_id
from fleet.operations.work import Done
from fleet.records.models import Person

Said = dict[str, Any]


@dataclass(frozen=True)
class Sender:
    """What the fields of a body ask of a request: who sent it."""

    user: Person


def read(person: Person, sent: Sent) -> Plan:
    """Understand one operation for whoever signed it.

    Raises Refused with each field that is wrong, and Waits where it names what is not here yet.
    """
    said = _body(person, sent)
    actor = Actor(person, "tablet")
    if "line" in said:
        line = line_of(actor, said["line"])
        return Plan(str(line.ticket_id), lambda doing: _ON_LINE[sent.verb](doing, line.pk, said))
    if "ticket" in said:
        on = ticket_id(actor, said["ticket"])
        return Plan(str(on), lambda doing: _ON_TICKET[sent.verb](doing, on, said))
    return Plan("", lambda doing: _ALONE[sent.verb](doing, said))


def _body(person: Person, sent: Sent) -> Said:
    shape = BODIES.get(sent.verb)
    if shape is None:
        message = _("This server does not know “%(verb)s”: it is older than the tablet's page.")
        raise refuse("verb_unknown", message % {"verb": sent.verb[:40]})
    try:
        content = json.loads(sent.body)
    except ValueError:
        raise refuse("body_broken", _("What was sent can't be read.")) from None
    asked = shape(data=content, context={"request": Sender(person)})
    try:
        asked.is_valid(raise_exception=True)
    except serializers.ValidationError as error:
        raise Refused(tuple(Problem(**one) for one in flat(error.detail))) from None
    return dict(asked.validated_data)


def _common(doing: Doing) -> dict[str, Any]:
    return {"at": doing.at, "request": doing.request}


def _inspection(doing: Doing, said: Said) -> Done[Any]:
    """A sheet; one that is refused still holds the vehicle for what warrants it."""
    sheet = sheet_of(said, doing.actor.person)
    sheet = replace(sheet, occurred_at=doing.moment, uid=doing.sent.uid)
    try:
        return inspect.record_inspection(doing.actor, sheet, **_common(doing))
    except Refused:
        once = Request(f"{doing.request.key}:hold", doing.request.body_hash)
        refused_sheet.hold_what_warrants(doing.actor, sheet, at=doing.at, request=once)
        raise


def _hold(doing: Doing, said: Said) -> Done[Any]:
    joint = said.get("joint")
    return place_hold(
        doing.actor, said["vehicle"].pk, said["text"], joint_id=joint.pk if joint else None,
        occurred_at=doing.moment, **_common(doing),
    )  # fmt: skip


def _meter(doing: Doing, said: Said) -> Done[Any]:
    reading = meters.Reading(
        said["vehicle"].pk, said["reading"], occurred_at=doing.moment, uid=doing.sent.uid
    )
    return meters.record_meter(doing.actor, reading, **_common(doing))


def _open_ticket(doing: Doing, said: Said) -> Done[Any]:
    complaint = said.get("complaint")
    new = repair.NewTicket(
        said["vehicle"].pk, said.get("title", ""), complaint.pk if complaint else None,
        tuple((line["action"], line.get("joint")) for line in said.get("lines", ())), join=True,
    )  # fmt: skip
    return repair.open_ticket(doing.actor, new, **_common(doing))


def _set_aside(doing: Doing, said: Said) -> Done[Any]:
    return tablet_returns.set_aside(
        doing.actor, said["operation"], said["reason"], **_common(doing)
    )


def _add_line(doing: Doing, ticket: int, said: Said) -> Done[Any]:
    return repair.add_line(
        doing.actor, ticket, said["action"], said.get("joint"), join=True, **_common(doing)
    )


def _second_check(doing: Doing, ticket: int, said: Said) -> Done[Any]:
    named = {name: said[name] for name in ("note", "how") if name in said}
    sheet = close_out.CheckSheet(
        said["passed"], said["dry_steer"], occurred_at=doing.moment, saw=said["saw"], **named
    )
    return close_out.second_check(doing.actor, ticket, sheet, **_common(doing))


def _release(doing: Doing, ticket: int, said: Said) -> Done[Any]:
    out = close_out.Release(said["driver"], said["place"], said.get("hours"), doing.moment)
    return close_out.release(doing.actor, ticket, out, **_common(doing))


def _road_test(doing: Doing, ticket: int, said: Said) -> Done[Any]:
    sheet = close_out.TestSheet(
        said["passed"], said.get("note", ""), said.get("top_speed", ""), doing.moment
    )
    return close_out.road_test(doing.actor, ticket, sheet, **_common(doing))


def _close(doing: Doing, ticket: int, said: Said) -> Done[Any]:
    return close_out.close_ticket(
        doing.actor, ticket, outcome=said.get("outcome", ""), saw=said["saw"], **_common(doing)
    )


def _record_line(doing: Doing, line: int, said: Said) -> Done[Any]:
    entry = repair.Entry(
        line, said["typed"], doing.moment, said.get("done_by", ""), doing.sent.uid,
        Saw(said["saw"]),
    )  # fmt: skip
    return repair.record_line(doing.actor, entry, **_common(doing))


def _drop_line(doing: Doing, line: int, said: Said) -> Done[Any]:
    return repair.drop_line(doing.actor, line, said["reason"], **_common(doing))


_ALONE: dict[str, Callable[[Doing, Said], Done[Any]]] = {
    "record_inspection": _inspection,
    "place_hold": _hold,
    "record_meter": _meter,
    "open_ticket": _open_ticket,
    "set_aside": _set_aside,
}
_ON_TICKET: dict[str, Callable[[Doing, int, Said], Done[Any]]] = {
    "add_line": _add_line,
    "second_check": _second_check,
    "release": _release,
    "road_test": _road_test,
    "close_ticket": _close,
}
_ON_LINE: dict[str, Callable[[Doing, int, Said], Done[Any]]] = {
    "record_line": _record_line,
    "drop_line": _drop_line,
}
