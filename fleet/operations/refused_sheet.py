"""A sheet from far away is refused, and somebody saw a joint that warrants a hold: it holds now.

Placing a hold needs nobody's acceptance. The sheet stays with its person to be put right; the
hold does not wait for that.
"""

from datetime import datetime
from functools import partial

from django.utils.translation import gettext as _

from fleet.operations import holds
from fleet.operations.actor import Actor
from fleet.operations.foretell import Foretold, foretell
from fleet.operations.inspect import Sheet
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, run
from fleet.records.base import in_every_language
from fleet.records.inspections import BAD
from fleet.records.models import Finding, FindingCode, Hold, Joint, Vehicle


def hold_what_warrants(
    actor: Actor, sheet: Sheet, *, at: datetime, request: Request | None = None
) -> Done[Vehicle]:
    """Place a hold for each joint of a refused sheet whose finding calls for one."""
    actor.need("place_hold")

    def apply(work: Work) -> Vehicle:
        vehicle = work.lock(sheet.vehicle_id)
        when = work.moment(sheet.occurred_at)
        for told in foretell(work.actor.person, vehicle, sheet.looks, when):
            if told.seen is not None and _warrants(told):
                said = in_every_language(partial(_words, told.seen.joint, told.look.code))
                holds.place(work, vehicle, Hold.Reason.FINDING, said, joint=told.seen.joint,
                            placed_at=when)  # fmt: skip
        return vehicle

    return run("hold_what_warrants", actor, at, apply, request)


def _warrants(told: Foretold) -> bool:
    """What is judged so; and on a grave joint what can't be judged as it was typed."""
    if told.judged is not None:
        return told.judged.verdict.response == Finding.Response.HOLD
    grave = told.seen is not None and told.seen.joint.kind.holds
    return grave and told.look.code in (*BAD, FindingCode.PLAY)


def _words(joint: Joint, code: str) -> str:
    return _("%(joint)s: %(finding)s; its sheet was refused and is to be put right") % {
        "joint": joint.name,
        "finding": FindingCode(code).label,
    }
