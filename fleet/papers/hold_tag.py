"""The tag for the steering wheel of a held vehicle: half a letter sheet, or A5."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.papers import blocks, typeset, vehicle_words
from fleet.papers.blocks import Head
from fleet.papers.vehicle_file import subject
from fleet.reads.days import zone_of
from fleet.records.inspections import mark_of
from fleet.records.models import Hold, Vehicle

HALF_LETTER = {"width": 139.7, "height": 215.9}
A5 = {"width": 148.0, "height": 210.0}
# More reasons would push the number to call off the sheet; the rest is counted.
MOST_REASONS = 3


def hold_tag(vehicle: Vehicle, holds: Sequence[Hold], units: str, at: datetime) -> bytes:
    """One sheet, whatever holds it. `holds` are the open ones, oldest first, at least one."""
    head = Head(_("Hold tag"), subject(vehicle), at, zone_of(vehicle.yard), units)
    data = blocks.frame(head) | {
        "sheet": A5 if units == "metric" else HALF_LETTER,
        "tag": _tag(vehicle, holds),
    }
    return typeset.pdf("tag", data, at)


def _tag(vehicle: Vehicle, holds: Sequence[Hold]) -> dict[str, Any]:
    more = len(holds) - MOST_REASONS
    also = ngettext("and %d reason more", "and %d reasons more", more) % more if more > 0 else ""
    return {
        "punch": _("Punch here; string through."),
        # Translators: the great words of the tag, a line each; short words read from afar.
        "order": _("HELD|DO NOT|DRIVE").split("|"),
        "unit": vehicle.unit_number,
        "why-head": _("Why"),
        "holds": [_reason(hold) for hold in holds[:MOST_REASONS]],
        "more": also,
        "call-head": _("Call the yard before anybody moves it: %(yard)s")
        % {"yard": vehicle.yard.name},
        "call": vehicle.yard.on_call_number,
        "small": [
            _(
                "Only a passed second check lifts the hold. Leave the tag on the wheel until then. "
                "A vehicle with violent axle oscillation is towed."
            ),
            blocks.governs(),
        ],
    }


def _reason(hold: Hold) -> dict[str, str]:
    mark = mark_of(hold.finding.code) if hold.finding else ""
    return {"why": hold.words, "mark": mark, "since": _since(hold)}


def _since(hold: Hold) -> str:
    return _("since %(when)s, placed by %(who)s") % {
        "when": vehicle_words.moment(hold.placed_at),
        "who": hold.placed_by.name,
    }
