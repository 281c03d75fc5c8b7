"""Moved to the yard only: a trained person's decision on a held vehicle. The hold stays."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from fleet.operations import complain, holds, used
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.words import hours_problem, refuse_too_long, spoken_date, too_long
from fleet.operations.work import Done, Work, find, run
from fleet.reads.rules import setting
from fleet.reads.yard_moves import Standing, end_of, has_oscillated, newest_moves, standing
from fleet.records.base import in_every_language
from fleet.records.holds import keeping_in
from fleet.records.models import Hold, Vehicle, YardMove, YardMoveEnd

H = YardMoveEnd.How


@dataclass(frozen=True)
class Leave:
    """What was decided, as typed. `hours` empty means the longest that the fleet allows.

    After an oscillation the vehicle is towed; `why_not_towed` says in words why it can't be, and
    `tow_ruled_out` confirms it.
    """

    vehicle_id: int
    route: str
    speed_typed: str
    hours: float | None = None
    why_not_towed: str = ""
    tow_ruled_out: bool = False


def decide_move(
    actor: Actor, leave: Leave, *, at: datetime, request: Request | None = None
) -> Done[YardMove]:
    """Let a held vehicle be moved to the yard and nowhere else. Whoever decides it is named."""
    actor.need("decide_move")

    def apply(work: Work) -> YardMove:
        vehicle = work.lock(leave.vehicle_id)
        before = _may_decide(work, vehicle)
        longest, oscillated = float(setting("yard_move_hours")), has_oscillated(vehicle)
        speed, problems = _read(leave, vehicle, longest)
        problems += _tow_it(leave) if oscillated else []
        if problems or speed is None:
            raise Refused(tuple(problems))
        row = YardMove.objects.create(
            **work.fact(None), vehicle=vehicle, follows=before, route=leave.route.strip(),
            speed_typed=leave.speed_typed.strip(), speed_m_s=speed,
            until=work.at + timedelta(hours=leave.hours or longest), after_oscillation=oscillated,
            why_not_towed=leave.why_not_towed.strip(), tow_ruled_out=leave.tow_ruled_out,
        )  # fmt: skip
        after = {"route": row.route, "speed": row.speed_typed, "until": str(row.until)}
        work.trail("decide_move", row, vehicle=vehicle, after=after, reason=row.why_not_towed[:300])
        return row

    return run("decide_move", actor, at, apply, request)


def _may_decide(work: Work, vehicle: Vehicle) -> YardMove | None:
    """Who decides, and of what; returns the leave before this one, which is over."""
    holds.refuse_out_of_fleet(vehicle)
    if not work.actor.person.trained:
        message = _("Only a trained person decides on a move to the yard. Ask one to decide it.")
        raise refuse("not_trained", message)
    if not Hold.objects.filter(keeping_in(work.at), vehicle=vehicle).exists():
        raise refuse("not_held", _("Nothing holds this vehicle: it needs no leave to be moved."))
    before = newest_moves().filter(vehicle=vehicle).first()
    if before is not None and standing(before, work.at) == Standing.STANDS:
        message = _(
            "It may already be moved until %(until)s, decided by %(who)s. Take that back first."
        ) % {"until": spoken_date(before.until, vehicle, "DATETIME_FORMAT"), "who": before.by.name}
        raise refuse("move_stands", message)
    return before


def _read(leave: Leave, vehicle: Vehicle, longest: float) -> tuple[float | None, list[Problem]]:
    """The speed in metres a second, and all that is wrong with what was typed."""
    typed = {"route": leave.route, "speed_typed": leave.speed_typed,
             "why_not_towed": leave.why_not_towed}  # fmt: skip
    found = too_long(YardMove, typed) + hours_problem(leave.hours, longest)
    if not leave.route.strip():
        message = _("Say by which roads it goes to the yard.")
        found.append(Problem("route_missing", message, field="route"))
    try:
        speed = complain.speed_m_s(leave.speed_typed, vehicle)
    except Refused as refused:
        return None, [*found, *refused.problems]
    if not speed:
        message = _("Say how fast it may go at most, like 20 mph.")
        found.append(Problem("speed_missing", message, field="speed_typed"))
    return speed, found


def _tow_it(leave: Leave) -> list[Problem]:
    """After an oscillation towing is the default (common practice, no source)."""
    found = []
    if not any(letter.isalpha() for letter in leave.why_not_towed):
        message = _("Tow it: its axle has oscillated. If it can't be towed, say why in words.")
        found.append(Problem("tow_it", message, field="why_not_towed"))
    if not leave.tow_ruled_out:
        message = _("Tow it, or confirm that it can't be towed.")
        found.append(Problem("tow_it", message, field="tow_ruled_out"))
    return found


@dataclass(frozen=True)
class End:
    """How a leave ended; `occurred_at` is when the vehicle arrived, now unless said."""

    how: str
    note: str = ""
    occurred_at: datetime | None = None


def end_move(
    actor: Actor, move_id: int, end: End, *, at: datetime, request: Request | None = None
) -> Done[YardMoveEnd]:
    """Say that the vehicle has arrived, or take the leave back before its time."""
    actor.need("end_move")

    def apply(work: Work) -> YardMoveEnd:
        found = find(YardMove, actor, move_id, _("leave to move it"))
        vehicle = work.lock(found.vehicle_id)
        move = YardMove.objects.select_related("end").get(pk=move_id)
        fact = work.fact(end.occurred_at if end.how == H.ARRIVED else None)
        _may_end(work, move, end, fact["occurred_at"])
        row = YardMoveEnd.objects.create(**fact, move=move, how=end.how, note=end.note.strip())
        work.trail("end_move", row, vehicle=vehicle, after={"how": row.how}, reason=row.note)
        if row.occurred_at > move.until:
            used.raise_used(work, vehicle, in_every_language(
                lambda: _("It arrived after its leave to be moved had lapsed.")
            ))  # fmt: skip
        return row

    return run("end_move", actor, at, apply, request)


def _may_end(work: Work, move: YardMove, end: End, moment: datetime) -> None:
    if end_of(move) is not None:
        raise refuse("move_over", _("This leave is over: it was ended before."))
    if YardMove.objects.filter(follows=move).exists():
        raise refuse("move_over", _("This leave is over: another one was given after it."))
    if end.how not in H.values:
        message = _("Say whether it has arrived or the leave is taken back.")
        raise refuse("how_unknown", message, field="how")
    if end.how == H.TAKEN_BACK and standing(move, work.at) == Standing.LAPSED:
        raise refuse("move_over", _("This leave has lapsed: there is nothing to take back."))
    if end.how == H.TAKEN_BACK and not end.note.strip():
        raise refuse("note_missing", _("Say why it is taken back."), field="note")
    if moment < move.occurred_at:
        message = _("That is before the leave was given. Type when it arrived.")
        raise refuse("before_leave", message, field="occurred_at")
    refuse_too_long(YardMoveEnd, note=end.note)
