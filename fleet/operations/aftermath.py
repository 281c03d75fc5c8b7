"""What a close brings about: lines made facts, holds lifted, rechecks made, states kept."""

from typing import Any

from fleet.operations import holds, state, toe
from fleet.operations.closing import Job
from fleet.operations.line_view import LineView
from fleet.operations.owing import Owing
from fleet.operations.rechecks import Start
from fleet.operations.words import value
from fleet.operations.work import Work
from fleet.reads.intervals.today import STANDING
from fleet.reads.rules import RuleNow, rules
from fleet.records.models import (
    FindingCode,
    Recheck,
    SecondCheck,
    TicketLine,
    ToeReading,
    TorqueReading,
    Vehicle,
    VehicleUse,
)


def after_close(work: Work, job: Job) -> None:
    """Everything that follows a close, in the close's own transaction."""
    ids = [view.line.pk for view in job.views]
    TicketLine.objects.filter(pk__in=ids).update(state=TicketLine.State.CLOSED)
    owing = Owing(work, job.vehicle, _use(job))
    ladders = rules("ladder")
    for view in job.views:
        _rechecks_of_line(owing, view, ladders)
    _rack(owing, job, ladders)
    _after_complaint(owing, job, ladders)
    owing.write()
    # Last: the holds tell of the complaints.
    _lift_holds(work, job)
    worked = [view.line.joint_id for view in job.views if view.line.joint_id]
    state.refresh([*worked, *(joint_id for joint_id, _ladder in owing.live if joint_id)])


def _lift_holds(work: Work, job: Job) -> None:
    if not job.holds:
        return
    check = SecondCheck.objects.filter(ticket=job.ticket, passed=True).order_by("-id").first()
    if check is not None:
        holds.lift(work, job.vehicle, job.holds, check)


def _use(job: Job) -> VehicleUse | None:
    return job.vehicle.use if hasattr(job.vehicle, "use") else None


def _start(owing: Owing, view: LineView | None) -> Start:
    use = owing.use.last_use_si if owing.use else None
    return Start(owing.work.at, use, line=view.line if view else None)


def _rechecks_of_line(owing: Owing, view: LineView, ladders: dict[str, RuleNow]) -> None:
    data, joint = view.rule.data, view.line.joint
    kind = joint.kind.code if joint else ""
    key = data.get("ladder") or data.get("ladder_by_kind", {}).get(kind)
    start = _start(owing, view)
    _sweep(owing, view)
    if joint is not None and FindingCode.PLAY in data["answers"]:
        owing.drop(joint, "inside_line", "part replaced")
        owing.drop(joint, Recheck.Kind.SWEEP, "part replaced")
    if key and key != "steering_opened":
        owing.start_ladders(ladders, key, start, joint)
    for other in ladders.values():
        trigger = other.data.get("trigger")
        if trigger and value(view.data, trigger["field"]) == trigger["is"]:
            owing.start_ladders(ladders, other.key, start, joint)
    for torque in view.torques or ():
        if torque.turned or torque.assembled:
            # What is owed there was for the fastener as it was before.
            owing.drop(torque.joint, STANDING, "done again")
            owing.start_interval(torque.joint, start)


def _sweep(owing: Owing, view: LineView) -> None:
    """A wrench that is believed answers a sweep: the joint is tight by it now."""
    for torque in view.torques or ():
        row = owing.live.get((torque.joint.pk, Recheck.Kind.SWEEP))
        if row is not None and torque.tool_in_date and torque.band != TorqueReading.Band.BELOW:
            owing.done(row, owing.work.at, done_by_line=view.line)


def _rack(owing: Owing, job: Job, ladders: dict[str, RuleNow]) -> None:
    """Steering opened: the rack is owed, unless this ticket had it on the rack."""
    if "full_alignment" in job.done:
        line = next(v.line for v in job.views if v.line.action == "full_alignment")
        for row in [row for row in owing.live.values() if row.kind == Recheck.Kind.RACK]:
            owing.done(row, owing.work.at, done_by_line=line)
        return
    if not job.opened_steering:
        return
    ladder = ladders["steering_opened"]
    far = ladder.data["far_yard"]
    if job.vehicle.yard.far and _held_its_toe(job, far["conditions"]):
        ladder = RuleNow(ladder.key, ladder.version, {**ladder.data, "rungs": far["rungs"]})
    owing.make(ladder, _start(owing, None))


def _held_its_toe(job: Job, wanted: dict[str, Any]) -> bool:
    """Three tape readings in spec, wheel centred, nothing bent: a far yard has longer.

    By whichever basis the toe was judged. A reading is a pair of tape figures as left: the three
    on one entry, or one each of several.
    """
    line = next((view for view in job.views if view.line.action == "set_toe"), None)
    sides = toe.specified(line.data, job.vehicle) if line else None
    if line is None or sides is None:
        return False
    toes = ToeReading.objects.filter(line_entry__line__ticket=job.ticket, as_left=True).exclude(
        line_entry__line__state=TicketLine.State.DROPPED
    )
    left = list(toes.values_list("toe_m", flat=True))
    return held_toe(line.data, left, sides, wanted, centred="centre_wheel" in job.done)


def held_toe(
    data: dict[str, Any], left: list[float], sides: tuple[float, float], wanted: dict[str, Any],
    *, centred: bool,
) -> bool:  # fmt: skip
    """Whether these readings as left, and what was said beside them, hold for the longer time."""
    low, high = sides[0] - toe.ROUNDING_M, sides[1] + toe.ROUNDING_M
    in_spec = sum(low <= reading <= high for reading in left)
    straight = _said(data, "nothing_bent", "all_straight")
    centred = centred or _said(data, "wheel_centred", "wheel_straight")
    return straight and centred and in_spec >= wanted["tape_readings_in_spec"]


def _said(data: dict[str, Any], *names: str) -> bool:
    return any(value(data, name) is True for name in names)


def _after_complaint(owing: Owing, job: Job, ladders: dict[str, RuleNow]) -> None:
    key = "oscillation_closed" if job.oscillated else "nothing_found"
    if job.oscillated or job.found_nothing:
        owing.make(ladders[key], _start(owing, None))


def standing(vehicle: Vehicle) -> bool:
    """Whether the vehicle's standing rechecks were ever made."""
    return Recheck.objects.filter(vehicle=vehicle, ladder="routine").exists()
