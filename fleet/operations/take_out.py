"""One vehicle's file taken out, as paper or as data: it leaves an entry in the trail.

The file carries people's names, and once it is out nobody here sees who reads it. Who took which
days of it, and when, is all that can be kept. The vehicle itself does not change: its version
stays, so that nobody's form is refused for it.
"""

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import TrailEntry, Vehicle


@dataclass(frozen=True)
class Taken:
    """Which days, as known or as happened, in which form; the request it answers, if one."""

    form: str
    since: date | None = None
    until: date | None = None
    basis: str = ""
    request_id: int | None = None


def take_out(
    actor: Actor, vehicle_id: int, taken: Taken, *, at: datetime, request: Request | None = None
) -> Done[TrailEntry]:
    """Note that a vehicle's file leaves. The door hands it over only after this."""
    actor.need("take_file")

    def apply(work: Work) -> TrailEntry:
        vehicle = find(Vehicle, work.actor, vehicle_id, _("vehicle"))
        return work.trail("take_out", vehicle, vehicle=vehicle, after=_said(taken))

    return run("take_out", actor, at, apply, request)


def _said(taken: Taken) -> dict[str, str | int]:
    days = {"since": taken.since, "until": taken.until}
    said: dict[str, str | int] = {"form": taken.form}
    said |= {name: day.isoformat() for name, day in days.items() if day is not None}
    if taken.until is not None:
        said["basis"] = taken.basis
    if taken.request_id is not None:
        said["request"] = taken.request_id
    return said
