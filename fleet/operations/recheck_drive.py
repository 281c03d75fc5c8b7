"""The road test that a recheck asks for beside its look: after an oscillation was closed.

Oscillation is never provoked. Speed goes up in steps, and the first sign ends the drive.
"""

import re
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from django.utils.translation import gettext as _

from fleet.operations import holds, rechecks, use
from fleet.operations.actor import Actor
from fleet.operations.complain import speed_m_s
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.owing import Owing
from fleet.operations.words import refuse_too_long
from fleet.operations.work import Done, Work, find, run
from fleet.reads.rules import setting
from fleet.records.base import in_every_language
from fleet.records.holds import keeping_in
from fleet.records.models import Finding, Hold, Recheck, RecheckDrive, Vehicle

# One speed alone is no step (own); the first sign may come at the first.
LEAST_STEPS = 2
_APART = re.compile(r"[;,]|\band\b|\bto\b", re.IGNORECASE)
_UNIT = re.compile(r"[A-Za-z/]+$")


@dataclass(frozen=True)
class Drive:
    """The drive as typed: the speeds in the order driven, like "20, 35, 45 mph"."""

    recheck_id: int
    driver: str
    place: str
    speeds: str
    passed: bool
    note: str = ""
    occurred_at: datetime | None = None


def drive_recheck(
    actor: Actor, drive: Drive, *, at: datetime, request: Request | None = None
) -> Done[RecheckDrive]:
    """Record the road test of a recheck. Not passed holds the vehicle at once."""
    actor.need("inspect")

    def apply(work: Work) -> RecheckDrive:
        recheck = find(Recheck, actor, drive.recheck_id, _("recheck"))
        vehicle = work.lock(recheck.vehicle_id)
        recheck.refresh_from_db()
        fact = work.fact(drive.occurred_at)
        speeds = _read(vehicle, recheck, drive, fact["occurred_at"])
        row = RecheckDrive.objects.create(
            **fact, recheck=recheck, driver=drive.driver.strip(), place=drive.place.strip(),
            speeds_typed=drive.speeds.strip(), speeds_m_s=speeds, passed=drive.passed,
            note=drive.note.strip(), use_si=use.use_now(vehicle),
        )  # fmt: skip
        work.trail("drive_recheck", row, vehicle=vehicle, after={"passed": row.passed})
        _follow(work, vehicle, recheck, row)
        return row

    return run("drive_recheck", actor, at, apply, request)


def _follow(work: Work, vehicle: Vehicle, recheck: Recheck, row: RecheckDrive) -> None:
    if row.passed:
        owing = Owing(work, vehicle, use.state_of(vehicle))
        recheck.driven_by = row
        _both(owing, recheck)
        owing.write()
        return
    said = in_every_language(
        lambda: _("Road test of a recheck, not passed: %(note)s") % {"note": row.note}
    )
    # Nobody's ticket yet: the one that answers it takes it up.
    holds.place(work, vehicle, Hold.Reason.FINDING, said, recheck=recheck,
                ticket=holds.open_ticket_of(vehicle))  # fmt: skip


def looked(owing: Owing, recheck: Recheck, finding: Finding) -> None:
    """The look is made: the recheck is done, or waits for its road test."""
    if not recheck.road_test:
        owing.done(recheck, finding.occurred_at, done_by_finding=finding)
        return
    recheck.looked_by_finding = finding
    _both(owing, recheck)


def _both(owing: Owing, recheck: Recheck) -> None:
    """Done only with look and road test, at the later of the two."""
    look, drive = recheck.looked_by_finding, recheck.driven_by
    if look is None or drive is None:
        owing.half(recheck, {"looked": look is not None, "driven": drive is not None})
        return
    owing.done(recheck, max(look.occurred_at, drive.occurred_at), done_by_finding=look)


def _read(vehicle: Vehicle, recheck: Recheck, drive: Drive, when: datetime) -> list[float]:
    """The speeds in metres a second, or Refused with all that can't stand."""
    if recheck.state not in Recheck.LIVE or not recheck.road_test:
        raise refuse("not_owed", _("No road test is owed here."))
    refuse_too_long(RecheckDrive, driver=drive.driver, place=drive.place)
    problems = _problems(vehicle, recheck, drive, when)
    speeds: list[float] = []
    try:
        speeds = speeds_of(drive.speeds, vehicle, LEAST_STEPS if drive.passed else 1)
    except Refused as refused:
        problems += refused.problems
    if problems:
        raise Refused(tuple(problems))
    return speeds


def _problems(vehicle: Vehicle, recheck: Recheck, drive: Drive, when: datetime) -> list[Problem]:
    found = []
    if not drive.driver.strip():
        found.append(Problem("driver_missing", _("Name the driver."), field="driver"))
    if not drive.place.strip():
        found.append(Problem("place_missing", _("Say where it was driven."), field="place"))
    if not drive.passed and not drive.note.strip():
        message = _("Say what was felt, and at what speed.")
        found.append(Problem("note_missing", message, field="note"))
    if when < recheck.started_at:
        message = _("This was before the recheck was owed.")
        found.append(Problem("before_it_was_owed", message, field="occurred_at"))
    # A first sign is recorded whenever it comes; a drive that passed has to be allowed to count.
    return found + (_may_count(vehicle, recheck, when) if drive.passed else [])


def _may_count(vehicle: Vehicle, recheck: Recheck, when: datetime) -> list[Problem]:
    found = []
    if Hold.objects.filter(keeping_in(when), vehicle=vehicle).exists():
        message = _("The vehicle is held: it is driven only when a ticket has released it.")
        found.append(Problem("held", message))
    share = rechecks.share_at(recheck, vehicle, when, use.use_now(vehicle))
    if share < float(setting("retorque_counts_from")):
        message = _("Before half its distance or days it counts for nothing: drive it later.")
        found.append(Problem("before_half", message, field="occurred_at"))
    return found


def speeds_of(typed: str, vehicle: Vehicle, least: int) -> list[float]:
    """Speeds in steps; one unit at the end stands for all."""
    parts = [part.strip() for part in _APART.split(typed) if part.strip()]
    unit = _UNIT.search(parts[-1]) if parts else None
    ending = f" {unit[0]}" if unit else ""
    read = [
        speed_m_s(part if _UNIT.search(part) else f"{part}{ending}", vehicle, "speeds")
        for part in parts
    ]
    speeds = [speed for speed in read if speed is not None]
    rising = all(lower < higher for lower, higher in pairwise(speeds))
    if len(speeds) < least or not rising:
        message = _("Speed goes up in steps: give each step reached, like 20, 35, 45 mph.")
        raise refuse("no_steps", message, field="speeds")
    return speeds
