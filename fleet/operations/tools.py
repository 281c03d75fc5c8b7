"""Torque tools: calibrated, compared, dropped; and whether one may be believed on a day."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Subquery, Sum
from django.utils.translation import gettext as _

from fleet.calc import units
from fleet.calc.read_back import DEFAULT_UNITS
from fleet.operations import extensions
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.words import refuse_too_long, unit_error
from fleet.operations.work import Done, Work, find, run
from fleet.reads.rules import settings_now
from fleet.reads.tools import MOST_USES, elsewhere
from fleet.records.models import (
    Calibration,
    ToolComparison,
    ToolMishap,
    TorqueReading,
    TorqueTool,
    Yard,
)

PULLS = 3
# So that 130 is within 4 % of 125.
ROUNDING = 1e-9


@dataclass(frozen=True)
class NewTool:
    code: str
    name: str
    kind: str
    low_typed: str
    high_typed: str
    yard_id: int
    lever_typed: str = ""


def add_tool(
    actor: Actor, new: NewTool, *, at: datetime, request: Request | None = None
) -> Done[TorqueTool]:
    """Put a torque tool on file; it is not believed until it has been calibrated."""
    actor.need("edit_tools")

    def apply(work: Work) -> TorqueTool:
        _may_add(actor, new)
        low, high = torque_nm(new.low_typed, "low"), torque_nm(new.high_typed, "high")
        if high <= low:
            message = _("The range ends above where it starts.")
            raise refuse("high_below_low", message, field="high")
        tool = TorqueTool.objects.create(
            code=new.code.strip(), name=new.name.strip(), kind=new.kind, yard_id=new.yard_id,
            low_nm=low, high_nm=high, lever_typed=new.lever_typed.strip(),
            lever_m=extensions.lever_m(new.lever_typed),
        )  # fmt: skip
        work.trail("add_tool", tool)
        return tool

    return run("add_tool", actor, at, apply, request)


def set_lever(
    actor: Actor, tool_id: int, typed: str, *, at: datetime, request: Request | None = None
) -> Done[TorqueTool]:
    """Put a tool's length on file, drive to grip. What was pulled before keeps its torque."""
    actor.need("edit_tools")
    refuse_too_long(TorqueTool, lever_typed=typed)

    def apply(work: Work) -> TorqueTool:
        tool = for_change(actor, tool_id)
        found = extensions.lever_m(typed)
        if found is None:
            message = _("Measure from the square drive to the middle of the grip, like 18 in.")
            raise refuse("lever_missing", message, field="lever")
        before = {"lever": tool.lever_typed}
        tool.lever_typed, tool.lever_m = typed.strip(), found
        tool.save(update_fields=["lever_typed", "lever_m"])
        work.trail("set_lever", tool, before=before, after={"lever": tool.lever_typed})
        return tool

    return run("set_lever", actor, at, apply, request)


def _may_add(actor: Actor, new: NewTool) -> None:
    refuse_too_long(TorqueTool, code=new.code, name=new.name, lever_typed=new.lever_typed)
    if not new.code.strip():
        raise refuse("code_missing", _("Give the code on the tool."), field="code")
    if TorqueTool.objects.filter(code__iexact=new.code.strip()).exists():
        raise refuse("code_taken", _("Another tool has this code."), field="code")
    if new.kind not in TorqueTool.Kind.values:
        raise refuse("kind_unknown", _("Choose the kind of tool from the list."), field="kind")
    if not Yard.visible_to(actor.person).filter(pk=new.yard_id).exists():
        raise refuse("yard_wrong", _("Choose one of your yards."), field="yard")


def calibrate(
    actor: Actor, tool_id: int, certificate: str, *, passed: bool, on: date, at: datetime,
    good_until: date | None = None, worst_deviation: float | None = None,
    request: Request | None = None,
) -> Done[Calibration]:  # fmt: skip
    """Put a calibration on file. A pass ends doubt; a fail takes the tool out of belief."""
    actor.need("edit_tools")
    refuse_too_long(Calibration, certificate=certificate)

    def apply(work: Work) -> Calibration:
        tool = for_change(actor, tool_id)
        if on > day_of(tool, at):
            raise refuse("in_the_future", _("This day is still to come."), field="on")
        until = good_until or on + timedelta(days=settings_now()["tool_interval_days"])
        row = Calibration.objects.create(
            **work.fact(min(datetime.combine(on, at.timetz()), at)), tool=tool, passed=passed,
            certificate=certificate, worst_deviation=worst_deviation,
            good_until=until if passed else None,
        )  # fmt: skip
        tool.good_until, tool.doubted_since = standing_at(tool, work.at)
        tool.save(update_fields=["good_until", "doubted_since"])
        work.trail("calibrate", row, after={"passed": passed})
        return row

    return run("calibrate", actor, at, apply, request)


def report_mishap(
    actor: Actor, tool_id: int, what: str, *, at: datetime, request: Request | None = None
) -> Done[ToolMishap]:
    """A drop or an overload: the tool is doubted until it is calibrated again."""
    actor.need("record_line")
    refuse_too_long(ToolMishap, what=what)
    if not what.strip():
        raise refuse("what_missing", _("Say what happened to it."), field="what")

    def apply(work: Work) -> ToolMishap:
        tool = for_change(actor, tool_id)
        row = ToolMishap.objects.create(**work.fact(None), tool=tool, what=what)
        tool.doubted_since = tool.doubted_since or work.at
        tool.save(update_fields=["doubted_since"])
        work.trail("report_mishap", row, reason=what)
        return row

    return run("report_mishap", actor, at, apply, request)


def compare(
    actor: Actor, tool_id: int, beside_id: int, figure: str, pulls: tuple[str, ...], *,
    at: datetime, request: Request | None = None,
) -> Done[ToolComparison]:  # fmt: skip
    """Three pulls at the figure beside an in-date tool; never after a drop."""
    actor.need("record_line")

    def apply(work: Work) -> ToolComparison:
        tool = for_change(actor, tool_id)
        beside = find(TorqueTool, actor, beside_id, _("torque tool"))
        _may_compare(tool, beside, pulls, work.at)
        rules = settings_now()
        target = torque_nm(figure, "figure")
        read = [torque_nm(pull, "pulls") for pull in pulls]
        worst = max(abs(pull - target) / target for pull in read)
        agrees = worst <= rules["tool_compare_tolerance"] + ROUNDING
        until = day_of(tool, work.at) + timedelta(days=rules["tool_compare_days"])
        row = ToolComparison.objects.create(
            **work.fact(None), tool=tool, beside=beside, figure_nm=target, pulls_nm=read,
            worst_share=worst, agrees=agrees, good_until=until if agrees else None,
        )  # fmt: skip
        work.trail("compare_tool", row, after={"worst": round(worst, 4), "agrees": agrees})
        return row

    return run("compare_tool", actor, at, apply, request)


def _may_compare(
    tool: TorqueTool, beside: TorqueTool, pulls: tuple[str, ...], at: datetime
) -> None:
    if tool.doubted_since is not None:
        message = _("%(tool)s was dropped or failed: calibrate it, a comparison is not enough.")
        raise refuse("tool_doubted", message % {"tool": tool.code})
    if beside.pk == tool.pk:
        raise refuse("same_tool", _("Compare it beside another tool."), field="beside")
    if doubt(beside, at) is not None:
        message = _("%(tool)s is itself out of date. Compare beside a tool that is in date.")
        raise refuse("tool_out_of_date", message % {"tool": beside.code}, field="beside")
    if len(pulls) != PULLS:
        raise refuse("pulls", _("Give three pulls at the figure."), field="pulls")


def day_of(tool: TorqueTool, when: datetime) -> date:
    return when.astimezone(ZoneInfo(tool.yard.time_zone)).date()


def for_change(actor: Actor, tool_id: int) -> TorqueTool:
    """The tool, locked until the transaction ends: what befalls it is kept in order."""
    tool = find(TorqueTool, actor, tool_id, _("torque tool"))
    return TorqueTool.objects.select_for_update(of=("self",)).select_related("yard").get(pk=tool.pk)


def standing_at(tool: TorqueTool, when: datetime) -> tuple[date | None, datetime | None]:
    """Good until which day, and doubted since when, as the facts up to a moment say.

    A pass ends the doubt of what came before it; one that is entered late ends no later doubt.
    """
    rows = Calibration.objects.filter(tool=tool, occurred_at__lte=when)
    last = rows.order_by("-occurred_at", "-id").first()
    mishaps = ToolMishap.objects.filter(tool=tool, occurred_at__lte=when).order_by("occurred_at")
    if last is None:
        first = mishaps.first()
        return None, first.occurred_at if first else None
    if not last.passed:
        return None, last.occurred_at
    since = mishaps.filter(occurred_at__gt=last.occurred_at).first()
    return last.good_until, since.occurred_at if since else None


def _standing(tool: TorqueTool, when: datetime) -> tuple[date | None, datetime | None]:
    """As kept with the tool; for what is entered late, as it was then."""
    if Calibration.objects.filter(tool=tool, occurred_at__gt=when).exists():
        return standing_at(tool, when)
    return tool.good_until, tool.doubted_since


def doubt(tool: TorqueTool, when: datetime, torque: float | None = None) -> Problem | None:
    """Why a tool can't be believed at a moment, or None where it can.

    A comparison is good at the figure that it was made at: give the torque that was pulled.
    """
    names = {"tool": tool.code}
    good_until, doubted_since = _standing(tool, when)
    if doubted_since is not None and doubted_since <= when:
        message = _("Torque tool %(tool)s is doubted since a drop or a failed calibration.")
        return Problem("tool_doubted", message % names, field="tool")
    day = day_of(tool, when)
    in_date = good_until is not None and day <= good_until
    uses = _uses_up(tool, when) if in_date else 0
    if in_date and not uses:
        return None
    if torque is not None and _compared(tool, when, torque):
        return None
    if in_date:
        message = _(
            "Torque tool %(tool)s has done its %(uses)s uses since it was calibrated. Use one "
            "that is in date, or compare it at the figure beside one."
        )
        told = {**names, "uses": f"{uses:,}"}
        return Problem("tool_uses_up", message % told, field="tool")
    message = _(
        "Torque tool %(tool)s is out of calibration (good until %(day)s). Use one that is in "
        "date, or compare it at the figure beside one."
    )
    shown = good_until or _("never calibrated")
    return Problem("tool_out_of_date", message % {**names, "day": shown}, field="tool")


def _uses_up(tool: TorqueTool, when: datetime) -> int:
    """How many uses it was good for, where it has done as many; else 0.

    Counted once for a sheet or a line: the pulls of one sheet are judged alike.
    """
    kept: int | None = tool.__dict__.get("_uses_up")
    if kept is None:
        most = int(settings_now().get("tool_interval_uses", MOST_USES))
        passed = Calibration.objects.filter(tool=tool, passed=True, occurred_at__lte=when)
        since = passed.order_by("-occurred_at", "-id").values("occurred_at")[:1]
        pulls = TorqueReading.objects.filter(tool=tool, occurred_at__lte=when)
        others = elsewhere(tool=tool, occurred_at__lte=when, occurred_at__gt=Subquery(since))
        done = pulls.filter(occurred_at__gt=Subquery(since)).count()
        done += others.aggregate(n=Sum("uses"))["n"] or 0
        tool.__dict__["_uses_up"] = kept = most if done >= most else 0
    return kept


def _compared(tool: TorqueTool, when: datetime, torque: float) -> bool:
    """Whether it agreed with an in-date tool at this figure, in the days before."""
    figures = ToolComparison.objects.filter(
        tool=tool, agrees=True, good_until__gte=day_of(tool, when), occurred_at__lte=when
    ).values_list("figure_nm", flat=True)
    tolerance = float(settings_now()["tool_compare_tolerance"]) if figures else 0.0
    return any(abs(torque / figure - 1) <= tolerance + ROUNDING for figure in figures)


def in_range(tool: TorqueTool, torque: float) -> bool:
    return bool(tool.low_nm <= torque <= tool.high_nm)


def torque_nm(typed: str, field: str) -> float:
    """A typed torque in N·m, or Refused naming the field."""
    try:
        return units.parse_torque(typed, DEFAULT_UNITS["torque"]).si
    except units.UnitError as error:
        raise Refused((unit_error(error, field),)) from error
