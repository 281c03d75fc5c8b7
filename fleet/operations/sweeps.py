"""Sweeps: a doubted tool, lot or way of tightening, and a recheck at every joint it touched."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.operations import rechecks, state
from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.moves import changed_under_you
from fleet.operations.once import Request
from fleet.operations.words import refuse_too_long
from fleet.operations.work import Done, Work, find, run, same_version
from fleet.reads.rules import rule
from fleet.reads.sweeps.progress import figure_of, joints_of
from fleet.reads.sweeps.touched import Doubt, believed, last_touched, touched
from fleet.records.models import Joint, Recheck, Sweep, SweepJoint, TorqueTool, Vehicle

LADDER = "sweep"
WRENCH = "wrench"
State, Stands = Sweep.State, SweepJoint.Stands


@dataclass(frozen=True)
class NewSweep:
    """What a manager says is doubted; the tool's last good day where `since` is left out."""

    of: str
    reason: str
    since: datetime | None = None
    tool_id: int | None = None
    number: str = ""
    lot: str = ""
    practice: str = ""


def doubt_of(new: NewSweep, actor: Actor, at: datetime) -> Doubt:
    """What is doubted, checked and with its moments; raises Refused."""
    refuse_too_long(Sweep, number=new.number, lot=new.lot, practice=new.practice, reason=new.reason)
    if new.of not in Sweep.Of.values:
        raise refuse("of_unknown", _("Choose a tool, a lot or a way of tightening."), field="of")
    since, until = new.since, at
    if new.of == Sweep.Of.TOOL:
        told = believed(_tool(actor, new.tool_id))
        since, until = since or told.last_good, told.good_again or at
    elif not (new.lot if new.of == Sweep.Of.LOT else new.practice).strip():
        field = str(new.of)
        raise refuse(f"{field}_missing", _("Say which is doubted."), field=field)
    if since is None:
        message = _("Give the last day on which it was known to be good.")
        raise refuse("since_missing", message, field="since")
    if since >= until:
        message = _("This is after it was good again. Give the last day before that.")
        raise refuse("since_late", message, field="since")
    return Doubt(new.of, since, until, new.tool_id, new.number.strip(), new.lot.strip(),
                 new.practice.strip())  # fmt: skip


def _tool(actor: Actor, tool_id: int | None) -> TorqueTool:
    if tool_id is None:
        raise refuse("tool_missing", _("Choose the torque tool."), field="tool")
    return find(TorqueTool, actor, tool_id, _("torque tool"))


def open_sweep(
    actor: Actor, new: NewSweep, *, at: datetime, request: Request | None = None
) -> Done[Sweep]:
    """List every joint it touched since its last good day, and make a recheck where one is due."""
    actor.need("sweep")

    def apply(work: Work) -> Sweep:
        doubt = doubt_of(new, actor, at)
        if not new.reason.strip():
            raise refuse("reason_missing", _("Say why it is doubted."), field="reason")
        found = joints_to_list(actor, doubt)
        sweep = _opened(work, doubt, new.reason.strip())
        made = _owed(work, [row for row in found if _stands(row) == Stands.LOOK])
        SweepJoint.objects.bulk_create(_listed(sweep, row, made.get(row.pk)) for row in found)
        said = {"sweep": str(sweep), "joints": len(found), "rechecks": len(made)}
        work.trail("open_sweep", sweep, reason=sweep.reason, after=said)
        state.refresh(list(made))
        return sweep

    return run("open_sweep", actor, at, apply, request)


def joints_to_list(actor: Actor, doubt: Doubt) -> list[Joint]:
    """The joints that it touched. Raises Refused where it touched none in that time, with the
    day on which it last did."""
    found = list(touched(actor.person, doubt))
    if found:
        return found
    before = last_touched(actor.person, doubt)
    if before is None:
        message = _("It touched no joint of your yards up to now: there is nothing to look at.")
    else:
        message = _(
            "It touched no joint of your yards in that time. The last before it was on %(day)s: "
            "give an earlier day."
        ) % {"day": date_format(localtime(before), "DATE_FORMAT")}
    raise refuse("nothing_touched", message, field="since")


def _opened(work: Work, doubt: Doubt, reason: str) -> Sweep:
    try:
        with transaction.atomic():
            return Sweep.objects.create(
                of=doubt.of, tool_id=doubt.tool_id, number=doubt.number, lot=doubt.lot,
                practice=doubt.practice, since=doubt.since, until=doubt.until, reason=reason,
                opened_at=work.at, opened_by=work.actor.person,
            )  # fmt: skip
    except IntegrityError:
        message = _("A sweep of this is open already. Close it or take it back first.")
        raise refuse("open_already", message) from None


def _stands(row: Any) -> str:
    """As `touched` has judged it."""
    return str(row.stands)


def _listed(sweep: Sweep, row: Any, recheck: Recheck | None) -> SweepJoint:
    return SweepJoint(
        sweep=sweep, joint=row, stands=row.stands, touched_at=row.touched_at,
        torque_id=row.torque_id, part_id=row.part_id, recheck=recheck,
    )  # fmt: skip


def _owed(work: Work, joints: list[Joint]) -> dict[int, Recheck]:
    """A recheck at each joint; one that another sweep made and that is owed yet serves both."""
    vehicles = work.lock_all({joint.vehicle_id for joint in joints})
    ladder = rule("ladder", LADDER)
    live = Recheck.objects.filter(joint__in=joints, ladder=LADDER, state__in=Recheck.LIVE)
    owed = {row.joint_id: row for row in live if row.joint_id is not None}
    new = []
    for joint in joints:
        if joint.pk not in owed:
            vehicle = vehicles[joint.vehicle_id]
            use = getattr(vehicle, "use", None)
            start = rechecks.Start(work.at, use.last_use_si if use else None)
            row = rechecks.drafted(vehicle, ladder, start, use, joint=joint)
            row.methods, row.hold_at_twice = _methods(joint), joint.kind.holds
            new.append(row)
    Recheck.objects.bulk_create(new)
    _told(work, new, vehicles)
    return owed | {row.joint_id: row for row in new if row.joint_id is not None}


def _methods(joint: Joint) -> list[str]:
    """The wrench where there is a fastener to put it on; else what shows play there."""
    return [WRENCH] if WRENCH in joint.kind.moved_methods else list(joint.kind.play_methods)


def _told(work: Work, made: Iterable[Recheck], vehicles: dict[int, Vehicle]) -> None:
    work.trail_written(
        work.entry_written(
            "make_recheck", row, vehicle=vehicles[row.vehicle_id], after=rechecks.said_of(row)
        )
        for row in made
    )


def close_sweep(
    actor: Actor, sweep_id: int, said: str = "", *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[Sweep]:  # fmt: skip
    """End it with its figure. What is left unlooked needs a word, and stays owed."""
    actor.need("sweep")

    def apply(work: Work) -> Sweep:
        sweep = _open_one(work, sweep_id, expected_version)
        figure = figure_of(sweep)
        if figure["left"] and not said.strip():
            message = ngettext(
                "%(n)s joint is not looked at yet. Look at it first, or say why not.",
                "%(n)s joints are not looked at yet. Look at them first, or say why not.",
                figure["left"],
            )
            raise refuse("joints_left", message % {"n": figure["left"]}, field="said")
        _end(work, sweep, State.CLOSED, said, figure)
        work.trail("close_sweep", sweep, reason=sweep.said,
                   after={"sweep": str(sweep), **figure})  # fmt: skip
        return sweep

    return run("close_sweep", actor, at, apply, request)


def take_sweep_back(
    actor: Actor, sweep_id: int, said: str, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[Sweep]:  # fmt: skip
    """It was opened by mistake: what it alone made is owed no longer; what was found stays."""
    actor.need("sweep")

    def apply(work: Work) -> Sweep:
        if not said.strip():
            raise refuse("reason_missing", _("Say why it is taken back."), field="said")
        sweep = _open_one(work, sweep_id, expected_version)
        dropped = _dropped(work, sweep, said.strip())
        _end(work, sweep, State.TAKEN_BACK, said, figure_of(sweep))
        work.trail("take_sweep_back", sweep, reason=sweep.said,
                   after={"sweep": str(sweep), "rechecks": len(dropped)})  # fmt: skip
        state.refresh([row.joint_id for row in dropped if row.joint_id is not None])
        return sweep

    return run("take_sweep_back", actor, at, apply, request)


def _dropped(work: Work, sweep: Sweep, why: str) -> list[Recheck]:
    others = SweepJoint.objects.filter(sweep__state=State.OPEN).exclude(sweep=sweep)
    rows = Recheck.objects.filter(swept_by__sweep=sweep, state__in=Recheck.LIVE)
    wanted = rows.exclude(pk__in=others.exclude(recheck=None).values("recheck"))
    vehicles = work.lock_all(wanted.values_list("vehicle_id", flat=True))
    found = list(wanted.all())
    Recheck.objects.filter(pk__in=[row.pk for row in found]).update(
        state=Recheck.State.DROPPED, drop_reason=why[:200]
    )
    work.trail_written(
        work.entry_written("drop_recheck", row, vehicle=vehicles[row.vehicle_id], reason=why)
        for row in found
    )
    return found


def _open_one(work: Work, sweep_id: int, expected: int | None) -> Sweep:
    """The sweep under its lock: its version moves first. Only who sees all of it may end it."""
    sweep = find(Sweep, work.actor, sweep_id, _("sweep"))
    same_version(sweep, expected)
    mine = Sweep.objects.filter(pk=sweep.pk, version=sweep.version, state=State.OPEN)
    if mine.update(version=F("version") + 1) != 1:
        raise changed_under_you(str(sweep))
    sweep.refresh_from_db()
    everywhere = SweepJoint.objects.filter(sweep=sweep)
    if everywhere.count() != joints_of(work.actor.person, sweep).count():
        message = _(
            "Some of its joints are in yards that are not yours. Somebody of all yards ends it."
        )
        raise refuse("not_all_yours", message)
    return sweep


def _end(work: Work, sweep: Sweep, to: str, said: str, figure: dict[str, Any]) -> None:
    refuse_too_long(Sweep, said=said)
    sweep.state, sweep.said, sweep.figure = to, said.strip(), figure
    sweep.ended_at, sweep.ended_by = work.at, work.actor.person
    sweep.save(update_fields=["state", "said", "figure", "ended_at", "ended_by"])
