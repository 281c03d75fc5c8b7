"""Rechecks that an inspection pays off, and what follows each: the next rung, or half."""

from enum import StrEnum
from typing import Any

from fleet.calc.calendar import local_date
from fleet.calc.units import use_from_si
from fleet.operations import recheck_drive, rechecks, use
from fleet.operations.cell_intervals import standing_ladder
from fleet.operations.looks import Seen, sees
from fleet.operations.owing import Owing
from fleet.operations.respond import Found
from fleet.operations.work import Work
from fleet.reads.intervals.today import STANDING
from fleet.reads.rules import RuleNow, rules, settings_now
from fleet.records.inspections import SOUND
from fleet.records.models import Finding, FindingCode, Inspection, Joint, Recheck, Vehicle

SILENT = (FindingCode.NOT_REACHED, FindingCode.NOT_FITTED)
WHOLE = (Recheck.Kind.ROUTINE, Recheck.Kind.ANNUAL)


def settle(work: Work, vehicle: Vehicle, inspection: Inspection, found: Found) -> None:
    """Pay off what this sheet is a sufficient look for; what it is not stays owed."""
    owing = Owing(work, vehicle, use.state_of(vehicle))
    live = [row for row in owing.live.values() if row.started_at < inspection.occurred_at]
    ladders, from_share = rules("ladder"), settings_now()["retorque_counts_from"]
    by_joint = {finding.joint_id: (finding, seen) for finding, seen in found}
    for recheck in live:
        if recheck.joint_id is None:
            _settle_whole(owing, inspection, recheck, found, from_share)
            continue
        if recheck.joint_id not in by_joint:
            continue
        finding, seen = by_joint[recheck.joint_id]
        if shortfall(recheck, vehicle, finding, seen.proves, from_share):
            continue
        owing.done(recheck, finding.occurred_at, done_by_finding=finding)
        _follow(owing, recheck, finding, seen.joint, ladders)
    _first_after_moved(owing, found, live, ladders)
    _stands_again(owing, found)
    owing.write()


class Short(StrEnum):
    """Why a look does not pay what is owed; empty where it does."""

    NOTHING = ""
    NOT_REACHED = "not_reached"
    PROVES_NOTHING = "proves_nothing"
    BEFORE_ITS_TIME = "before_its_time"
    OTHER_METHOD = "other_method"
    BEFORE_HALF = "before_half"


def shortfall(
    recheck: Recheck, vehicle: Vehicle, finding: Finding, proves: bool, from_share: float
) -> Short:
    """Whether this finding is the look that was owed, and if not, why."""
    if finding.code in SILENT:
        return Short.NOT_REACHED
    if not proves:
        return Short.PROVES_NOTHING
    if _before_its_time(recheck, vehicle, finding):
        return Short.BEFORE_ITS_TIME
    if not _by_its_method(recheck, finding):
        return Short.OTHER_METHOD
    if finding.code in SOUND and _too_early(recheck, vehicle, finding, from_share):
        return Short.BEFORE_HALF
    return Short.NOTHING


def _before_its_time(recheck: Recheck, vehicle: Vehicle, finding: Finding) -> bool:
    """Before it has stood or been driven for long enough to tell; by its date it counts anyway."""
    if recheck.not_before is not None and finding.occurred_at < recheck.not_before:
        return True
    if recheck.not_before_use_si is None:
        return False
    today = local_date(finding.occurred_at, vehicle.yard.time_zone)
    if recheck.due_on is not None and today >= recheck.due_on:
        return False
    return finding.use_si is None or finding.use_si < recheck.not_before_use_si


def _by_its_method(recheck: Recheck, finding: Finding) -> bool:
    """Something bad found by another method pays too, as the work that it calls for makes its
    own rechecks; a fastener that moved tells nothing of play or cracks, and play nothing of
    cracks."""
    if not recheck.methods or finding.method in recheck.methods:
        return True
    if recheck.kind == Recheck.Kind.CRACKS:
        return finding.code == FindingCode.CRACKED
    return finding.code not in (*SOUND, FindingCode.MOVED)


def _too_early(recheck: Recheck, vehicle: Vehicle, finding: Finding, from_share: float) -> bool:
    """A sound look before half the distance proves little: the recheck stays owed.

    A sweep asks how the joint is now, not whether it holds: there any look counts.
    """
    if recheck.kind == Recheck.Kind.SWEEP:
        return False
    share = rechecks.share_at(recheck, vehicle, finding.occurred_at, finding.use_si)
    return share < from_share


def _follow(
    owing: Owing, recheck: Recheck, finding: Finding, joint: Joint, ladders: dict[str, RuleNow]
) -> None:
    """Sound: the next rung. Moved: the same again, in half the time. Else a line has it now."""
    ladder = _ladder_of(recheck, ladders)
    # After a sweep nothing follows of itself: what moved starts the ladder of its own kind.
    if ladder is None or recheck.kind == Recheck.Kind.SWEEP:
        return
    start = rechecks.Start(finding.occurred_at, finding.use_si, finding=finding, follows=recheck)
    if finding.code in SOUND and recheck.rung + 1 < len(ladder.data["rungs"]):
        owing.make(ladder, start, joint=joint, rung=recheck.rung + 1)
    elif finding.code == FindingCode.MOVED:
        after = ladders["after_moved"].data
        shorter = _with_length(ladder, recheck, owing.vehicle)
        owing.make(
            shorter, start, joint=joint, rung=recheck.rung,
            factor=after["factor"], floor=after["floor"],
        )  # fmt: skip


def _ladder_of(recheck: Recheck, ladders: dict[str, RuleNow]) -> RuleNow | None:
    """The ladder it is a rung of; one by an accepted interval is a ladder of its own."""
    if recheck.ladder == STANDING:
        return standing_ladder({}, recheck.rule_version)
    return ladders.get(recheck.ladder)


def _stands_again(owing: Owing, found: Found) -> None:
    """Where an interval was accepted for a joint of no ladder: again after each tight look, and
    after it was found moved and tightened."""
    for finding, seen in found:
        tight = finding.code == FindingCode.TIGHT and seen.by_wrench and seen.proves
        if tight or (finding.code == FindingCode.MOVED and finding.turned):
            start = rechecks.Start(finding.occurred_at, finding.use_si, finding=finding)
            owing.start_interval(seen.joint, start)


def _with_length(ladder: RuleNow, recheck: Recheck, vehicle: Vehicle) -> RuleNow:
    """The ladder with this rung as long as this recheck was, which may be halved already."""
    rungs: list[dict[str, Any]] = [dict(rung) for rung in ladder.data["rungs"]]
    rung = rungs[recheck.rung]
    if recheck.due_on is not None:
        first_day = local_date(recheck.started_at, vehicle.yard.time_zone)
        rung["days"] = (recheck.due_on - first_day).days
    if recheck.due_use_si is not None and recheck.start_use_si is not None:
        length = recheck.due_use_si - recheck.start_use_si
        key, unit = ("hours", "h") if vehicle.counts_hours else ("miles", "mi")
        rung[key] = float(use_from_si(length, unit))
    return RuleNow(ladder.key, ladder.version, {**ladder.data, "rungs": rungs})


def _settle_whole(
    owing: Owing, inspection: Inspection, recheck: Recheck, found: Found, from_share: float
) -> None:
    """What the whole front end owes: routine and yearly looks, and the dry steer."""
    vehicle, first = owing.vehicle, found[0][0]
    if recheck.kind == Recheck.Kind.DRY_STEER:
        seen = {f.joint_id for f, _seen in found if f.method == "dry_steer"}
        early = _too_early(recheck, vehicle, first, from_share)
        if not early and _hold_joints(vehicle, dry_steer_only=True) <= seen:
            recheck_drive.looked(owing, recheck, first)
        return
    if recheck.kind not in WHOLE or inspection.kind not in _pays(recheck.kind):
        return
    if _hold_joints(vehicle) - {f.joint_id for f, seen in found if _told(f, seen)}:
        return
    owing.done(recheck, inspection.occurred_at, done_by_finding=first)
    start = rechecks.Start(inspection.occurred_at, inspection.use_si, follows=recheck)
    key = "annual" if recheck.kind == Recheck.Kind.ANNUAL else vehicle.duty
    owing.start_standing(key, rules("routine")[key], start)


def _hold_joints(vehicle: Vehicle, *, dry_steer_only: bool = False) -> set[int]:
    """The joints that a look over the whole front end may not leave out."""
    wanted = vehicle.joints.filter(kind__holds=True, fitted=Joint.Fitted.FITTED)
    rows = wanted.values_list("pk", "kind__play_methods")
    return {pk for pk, methods in rows if not dry_steer_only or "dry_steer" in methods}


def _told(finding: Finding, seen: Seen) -> bool:
    """Whether a finding says how its joint is: reached, by a method that can see it there."""
    if finding.code in SOUND:
        return seen.proves and sees(seen.joint, finding.method)
    # 'Not fitted' of a joint that is on file as fitted contradicts the file and tells nothing.
    return finding.code not in SILENT


def _pays(kind: str) -> tuple[str, ...]:
    """The yearly look is made by its own sheet; a routine is paid by either."""
    return ("annual",) if kind == Recheck.Kind.ANNUAL else ("routine", "annual")


def _first_after_moved(
    owing: Owing, found: Found, live: list[Recheck], ladders: dict[str, RuleNow]
) -> None:
    """A fastener found moved where no retorque was owed was tightened: its own ladder starts."""
    owed = {(recheck.joint_id, recheck.kind) for recheck in live}
    by_kind = None
    for finding, seen in found:
        if finding.code != FindingCode.MOVED or not finding.turned:
            continue
        by_kind = by_kind or rules("action")["retorque"].data["ladder_by_kind"]
        ladder = ladders.get(by_kind.get(seen.joint.kind.code, ""))
        if ladder is None or (finding.joint_id, ladder.data["kind"]) in owed:
            continue
        start = rechecks.Start(finding.occurred_at, finding.use_si, finding=finding)
        owing.make(ladder, start, joint=seen.joint)
