"""The inspection sheet on paper: for the floor, with a pencil, where no screen goes."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from fleet.papers import blocks, typeset
from fleet.papers.blocks import Block, Head
from fleet.papers.drawing import Drawing
from fleet.papers.vehicle_file import subject
from fleet.reads.days import zone_of
from fleet.reads.inspections import SheetRow
from fleet.reads.joints import GROUPS
from fleet.reads.rules import RuleNow
from fleet.records.base import in_language
from fleet.records.inspections import mark_of
from fleet.records.models import FindingCode, Hold, Joint, Mark, Vehicle

# What has a box of its own; the last two are written in the note.
BOXES = [code for code in FindingCode if code != FindingCode.NOT_FITTED]


def inspection_sheet(
    vehicle: Vehicle,
    rows: Sequence[SheetRow],
    holds: Sequence[Hold],
    methods: Mapping[str, RuleNow],
    drawing: Drawing | None,
    units: str,
    at: datetime,
    address: str = "",
) -> bytes:
    """Every joint that is fitted, in walking order; a code opens the sheet's own page, where its
    address is known."""
    head = Head(
        _("Inspection sheet"), subject(vehicle), at, zone_of(vehicle.yard), units, wide=True
    )
    data = blocks.frame(head) | {
        "blocks": _opening(vehicle, holds, methods, drawing, address),
        "findings": [{"name": str(capfirst(code.label)), "mark": mark_of(code)} for code in BOXES],
        "heads": {
            "joint": _("Joint"),
            "how": _("How looked at"),
            "figure": _("Figure on file"),
            "note": _("Measured, tool, note; why not reached"),
        },
        "groups": _groups(rows),
    }
    return typeset.pdf("sheet", data, at)


def _opening(
    vehicle: Vehicle,
    holds: Sequence[Hold],
    methods: Mapping[str, RuleNow],
    drawing: Drawing | None,
    address: str,
) -> list[Block]:
    first = [
        blocks.heading(_("Inspection: %(unit)s") % {"unit": vehicle.unit_number}, 1),
        *(blocks.held(hold) for hold in holds),
        *(blocks.text(words, "caution") for words in cautions(methods)),
        blocks.text(blocks.governs(), "caution"),
    ]
    made = [
        *([blocks.beside(first, sheet_code(vehicle, address))] if address else first),
        blocks.signs([_("Date and time"), _("By; second person"), _("At the wheel")]),
        blocks.signs([
            _("Meter, %(unit)s") % {"unit": vehicle.meter_unit},
            _("On its wheels, or raised on stands; engine"), _("Kind; ride height; plow"),
        ]),
    ]  # fmt: skip
    if drawing is not None:
        made.append(blocks.picture(drawing.svg, drawing.alt))
    note = _(
        "Left and right from the driver's seat. A joint left blank was not looked at. At a joint "
        "in bold a finding may hold the vehicle."
    )
    return [*made, blocks.text(note, "soft")]


def sheet_code(vehicle: Vehicle, address: str) -> Block:
    """The code that opens a vehicle's inspection sheet on a telephone or a tablet."""
    alt = _("Code that opens the inspection sheet of %(unit)s") % {"unit": vehicle.unit_number}
    return blocks.code(address, alt)


def cautions(methods: Mapping[str, RuleNow]) -> list[str]:
    """What the dry steer, the raised looks and the wrench must not be done without."""
    told = (methods.get(code) for code in ("dry_steer", "lift_and_rock", "wrench"))
    found = [(rule.name, in_language(rule.data.get("caution", {}))) for rule in told if rule]
    return [f"{name}. {words}" for name, words in found if words]


def _groups(rows: Sequence[SheetRow]) -> list[dict[str, Any]]:
    groups: dict[str, list[dict[str, Any]]] = {}
    for row in rows:
        if row.row.joint.fitted != Joint.Fitted.NOT_FITTED:
            groups.setdefault(row.row.joint.kind.group, []).append(_joint(row))
    return [
        {"name": str(GROUPS.get(code, code)), "joints": found} for code, found in groups.items()
    ]


def _joint(row: SheetRow) -> dict[str, Any]:
    """One row: the joint behind the mark of its state, which no words beside it say."""
    spec, state = row.spec, Mark(row.row.mark)
    apart = row.row.joint.fitted == Joint.Fitted.APART
    return {
        "name": row.row.joint.name,
        "holds": row.row.joint.kind.holds,
        "mark": state.value,
        "says": "" if apart else row.row.word or str(state.label),
        "must": _("apart") if apart else "",
        "figure": f"{spec.typed}, {spec.get_origin_display()}" if spec else "",
    }
