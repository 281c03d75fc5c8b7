"""A torque tool's uses on work that is not in this record: told, and corrected by a later fact."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from fleet.calc.calendar import start_of_local_day
from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.once import Request
from fleet.operations.tools import day_of, for_change
from fleet.operations.words import refuse_too_long
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import ToolUse, TorqueTool

# In one entry (own): more than a wrench makes in many years.
MOST = 100_000


@dataclass(frozen=True)
class NewUse:
    """How many times it was used on other work, and on which day, the last of them where there
    were several."""

    tool_id: int
    uses: int
    on: date
    reason: str = ""


def record_tool_use(
    actor: Actor, new: NewUse, *, at: datetime, request: Request | None = None
) -> Done[ToolUse]:
    """Put uses on other work on file. They count to those that the calibration is good for."""
    actor.need("edit_tools")
    refuse_too_long(ToolUse, reason=new.reason)

    def apply(work: Work) -> ToolUse:
        tool = for_change(actor, new.tool_id)
        _refuse_number(new.uses, 1)
        if new.on > day_of(tool, at):
            raise refuse("in_the_future", _("This day is still to come."), field="on")
        row = ToolUse.objects.create(
            **work.fact(_end_of(tool, new.on, at)), tool=tool, uses=new.uses,
            reason=new.reason.strip(),
        )  # fmt: skip
        after = {"tool": tool.code, "uses": row.uses, "on": str(new.on)}
        work.trail("record_tool_use", row, reason=row.reason, after=after)
        return row

    return run("record_tool_use", actor, at, apply, request)


def correct_tool_use(
    actor: Actor, use_id: int, uses: int, reason: str, *, at: datetime,
    request: Request | None = None,
) -> Done[ToolUse]:  # fmt: skip
    """Another number in the place of one that was wrong, 0 where there was none; both stay on
    file. Its day stays."""
    actor.need("edit_tools")
    refuse_too_long(ToolUse, reason=reason)

    def apply(work: Work) -> ToolUse:
        old = find(ToolUse, actor, use_id, _("use of a torque tool"))
        tool = for_change(actor, old.tool_id)
        if ToolUse.objects.filter(corrects=old).exists():
            message = _("This was corrected before. Correct the newer entry.")
            raise refuse("corrected_already", message)
        _refuse_number(uses, 0)
        if not reason.strip():
            raise refuse("reason_missing", _("Say why it is corrected."), field="reason")
        row = ToolUse.objects.create(
            **work.fact(old.occurred_at), tool=tool, uses=uses, reason=reason.strip(),
            corrects=old,
        )  # fmt: skip
        work.trail("correct_tool_use", row, reason=row.reason,
                   before={"uses": old.uses}, after={"tool": tool.code, "uses": uses})  # fmt: skip
        return row

    return run("correct_tool_use", actor, at, apply, request)


def _refuse_number(uses: int, least: int) -> None:
    if not least <= uses <= MOST:
        message = _("Type how many times, from %(least)d to %(most)d.")
        raise refuse("uses_wrong", message % {"least": least, "most": MOST}, field="uses")


def _end_of(tool: TorqueTool, on: date, at: datetime) -> datetime:
    """The last moment of that day at its yard: on the day of a calibration they count as made
    after it (own, the cautious way)."""
    following = start_of_local_day(on + timedelta(days=1), tool.yard.time_zone)
    return min(following - timedelta(seconds=1), at)
