"""The demo's designs with their torque figures, and its torque tools with their calibrations."""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from fleet.calc.units import parse_length
from fleet.operations import specs
from fleet.operations.demo import inputs
from fleet.operations.demo.people import ZONE
from fleet.operations.demo.world import DemoTool
from fleet.operations.errors import Problem, Refused
from fleet.operations.extensions import lever_m
from fleet.operations.linkage_specs import Linkage, Threads, columns
from fleet.operations.tools import torque_nm
from fleet.operations.work import Work
from fleet.records.models import (
    Calibration,
    Design,
    JointKind,
    Layout,
    LayoutJoint,
    TorqueSpec,
    TorqueTool,
    Yard,
)

CALIBRATED_EVERY = 350
LASTS = 365
NOON = time(12)


def make_designs() -> dict[str, Design]:
    layouts = {layout.code: layout for layout in Layout.objects.all()}
    rows = [
        Design(
            name=row["name"], make=row["make"],
            **{axis: layouts[row[axis]] for axis in ("axle", "linkage", "knuckle", "hub")},
            **_angles(row),
            **_linkage(row),
            toe_low_m=parse_length(row["toe"][0], "in").si,
            toe_high_m=parse_length(row["toe"][1], "in").si,
            toe_typed=" – ".join([row["toe"][0], f"{row['toe'][1]} in"]),
            toe_source=_manual(row),
        )
        for row in inputs.read("designs")
    ]  # fmt: skip
    return {design.name: design for design in Design.objects.bulk_create(rows)}


def _angles(row: dict[str, Any]) -> dict[str, Any]:
    """Caster and camber as `alignment_specs.set_alignment` stores them."""
    found: dict[str, Any] = {}
    for what in ("caster", "camber"):
        low, high = row[what]
        found |= {
            f"{what}_low_degrees": float(low), f"{what}_high_degrees": float(high),
            f"{what}_typed": f"{low} – {high}", f"{what}_source": _manual(row),
        }  # fmt: skip
    return found


def _linkage(row: dict[str, Any]) -> dict[str, Any]:
    """What turns of the sleeves are worked out from; one design has none of it on file yet."""
    told = row.get("linkage_figures")
    if told is None:
        return {}
    problems: list[Problem] = []
    new = Linkage(
        tie_rod=told["tie_rod"], steering_arm=told["steering_arm"],
        sleeve=Threads(told["thread"]), gear_ratio=told.get("gear_ratio", ""),
        pitman_arm=told.get("pitman_arm", ""), drag_sleeve=Threads(told.get("drag_thread", "")),
        longer_link=told.get("longer_link", ""), source=_manual(row),
    )  # fmt: skip
    found = columns(new, problems)
    if problems:
        raise Refused(tuple(problems))
    return found


def _manual(design: dict[str, Any]) -> str:
    return f"{design['name']} service manual, invented"


def make_figures(work: Work, designs: dict[str, Design]) -> None:
    """Factory figures of every joint that a wrench is put to, then the shop's own."""
    kinds = {kind.code: kind for kind in JointKind.objects.all()}
    for row in inputs.read("designs"):
        has = _kinds_of(designs[row["name"]])
        for figure in inputs.read("figures")["factory"]:
            for code in sorted(has.intersection(figure["kinds"])):
                specs._apply(work, _factory(row, designs[row["name"]], kinds[code], figure))
    for shop in inputs.read("figures")["shop"]:
        design, kind = designs[shop["design"]], kinds[shop["kind"]]
        low, high = _sides(shop["figure"])
        specs._apply(work, specs.NewSpec(
            design.pk, kind.pk, TorqueSpec.Origin.SHOP, low, high, shop["condition"],
            shop["source"], is_target=shop["target"], thread=shop["thread"],
            strength_class=shop["strength"],
        ))  # fmt: skip


def _factory(
    row: dict[str, Any], design: Design, kind: JointKind, figure: dict[str, Any]
) -> specs.NewSpec:
    size = row["class"]
    low, high = _sides(figure[size])
    thread = figure["threads"][size]
    return specs.NewSpec(
        design.pk, kind.pk, TorqueSpec.Origin.FACTORY, low, high, figure["condition"],
        figure.get(f"{size}_source") or _manual(row), thread=thread,
        strength_class=figure["strength"] if thread else "", sequence=figure.get("sequence", ""),
        new_fastener=figure.get("new", False),
    )  # fmt: skip


def _sides(figure: list[str]) -> tuple[str, str]:
    """Low and high as written: the unit stands once, at the end."""
    if len(figure) == 1:
        return f"{figure[0]} lbf·ft", ""
    return figure[0], f"{figure[1]} lbf·ft"


def _kinds_of(design: Design) -> set[str]:
    layouts = [design.axle_id, design.linkage_id, design.knuckle_id, design.hub_id]
    common = LayoutJoint.objects.filter(layout__axis=Layout.Axis.COMMON)
    places = LayoutJoint.objects.filter(layout__in=layouts) | common
    return set(places.values_list("kind__code", flat=True))


def make_tools(work: Work, yards: dict[str, Yard], today: date, first_day: date) -> list[DemoTool]:
    """Each tool with a calibration a year; one was dropped, and failed when it was looked at."""
    return [
        _high_reader(work, row, yards, today)
        if row["due_in"] is None
        else _sound_tool(work, row, yards, today, first_day)
        for row in inputs.read("tools")["tools"]
    ]


def _make(row: dict[str, Any], yards: dict[str, Yard]) -> TorqueTool:
    return TorqueTool.objects.create(
        code=row["code"],
        name=row["name"],
        kind=row["kind"],
        yard=yards[row["yard"]],
        low_nm=torque_nm(row["low"], "low"),
        high_nm=torque_nm(row["high"], "high"),
        lever_typed=row.get("lever", ""),
        lever_m=lever_m(row.get("lever", "")),
    )


def _sound_tool(
    work: Work, row: dict[str, Any], yards: dict[str, Yard], today: date, first_day: date
) -> DemoTool:
    tool = _make(row, yards)
    last = today + timedelta(days=row["due_in"])
    for good_until in _yearly(last, first_day):
        _calibrate(work, tool, good_until - timedelta(days=LASTS), deviation=0.012)
    until = _noon(last) if last < today else _noon(today + timedelta(days=1))
    return DemoTool(tool, (row["yard"],), _noon(first_day), until)


def _yearly(last: date, first_day: date) -> Iterator[date]:
    """The days until which it was good, oldest first; the first one covers the first day."""
    days = [last]
    while days[-1] - timedelta(days=LASTS) > first_day:
        days.append(days[-1] - timedelta(days=CALIBRATED_EVERY))
    return reversed(days)


def _high_reader(work: Work, row: dict[str, Any], yards: dict[str, Yard], today: date) -> DemoTool:
    """Calibrated, dropped with nobody writing it down, used on, and found out a year later."""
    story = inputs.read("tools")["high_reader"]
    tool = _make(row, yards)
    bought = today - timedelta(days=-story["calibrated"])
    failed = today - timedelta(days=-story["failed"])
    _calibrate(work, tool, bought, deviation=0.009)
    _calibrate(work, tool, failed, deviation=story["reads_high_by"], passed=False)
    tool.in_use = False
    tool.save(update_fields=["in_use"])
    return DemoTool(
        tool,
        tuple(story["share_of_work"]),
        _noon(bought),
        _noon(failed),
        share=story["share_of_work"],
    )


def _calibrate(
    work: Work, tool: TorqueTool, on: date, *, deviation: float, passed: bool = True
) -> None:
    """As `tools.calibrate` writes it."""
    at = _noon(on)
    work = Work(work.actor, at)
    until = on + timedelta(days=LASTS) if passed else None
    row = Calibration.objects.create(
        **work.fact(None), tool=tool, passed=passed, worst_deviation=deviation, good_until=until,
        certificate=f"{tool.code}/{on:%Y%m%d}",
    )  # fmt: skip
    tool.good_until, tool.doubted_since = until, None if passed else at
    tool.save(update_fields=["good_until", "doubted_since"])
    work.trail("calibrate", row, after={"passed": passed})


def _noon(day: date) -> datetime:
    return datetime.combine(day, NOON, tzinfo=ZoneInfo(ZONE))


def specs_by_design() -> dict[int, dict[int, TorqueSpec]]:
    """The figure that a wrench is set to, by design and joint kind."""
    found: dict[int, dict[int, TorqueSpec]] = {}
    for spec in TorqueSpec.objects.filter(is_target=True, is_current=True):
        found.setdefault(spec.design_id, {})[spec.kind_id] = spec
    return found
