"""Inspection sheets of the demo, stored as `operations.inspect` and `respond` store them."""

from datetime import datetime
from typing import Any

from fleet.calc.units import parse_length
from fleet.operations import looks, settle
from fleet.operations.demo import owing
from fleet.operations.demo.book import Gesture, draft
from fleet.operations.demo.owing import Found
from fleet.operations.demo.readings import project, read_meter
from fleet.operations.demo.truck import Spot, Truck
from fleet.operations.demo.walk import Told
from fleet.operations.demo.world import World, typed_torque
from fleet.operations.judge import judge
from fleet.operations.looks import Look, Seen
from fleet.operations.rechecks import Start
from fleet.records.models import (
    Complaint,
    Finding,
    FindingCode,
    Inspection,
    Recheck,
    TorqueReading,
    TorqueTool,
)

SILENT = (FindingCode.NOT_REACHED, FindingCode.NOT_FITTED)


def record(
    world: World, truck: Truck, gesture: Gesture, kind: str, told: list[Told],
    complaint: Complaint | None = None,
) -> Found:  # fmt: skip
    """One sheet with its meter reading, findings and torques; the calling ones are returned."""
    reading = read_meter(world, truck, gesture)
    project(truck)
    dry = any(one.method == "dry_steer" for one in told)
    row = Inspection(
        **world.book.fact(gesture.by, gesture.at), vehicle=truck.vehicle, kind=kind,
        complaint=complaint, at_wheel=world.crews[truck.vehicle.yard_id].driver.name if dry else "",
        on_wheels=True, engine_on=False, ride_height=True, reading=reading, use_si=reading.use_si,
    )  # fmt: skip
    world.book.keep(row, gesture.at)
    found = [_finding(world, truck, row, one) for one in told]
    for finding, seen in found:
        world.book.keep(finding, gesture.at)
        _torque(world, truck, finding, seen)
    owing.settle_sheet(world, truck, gesture, row, found)
    calling = _respond(world, truck, gesture, found)
    world.book.trail(gesture, "record_inspection", row, truck.vehicle,
                     after={"kind": kind, "findings": len(found)})  # fmt: skip
    for finding, _seen in found:
        if finding.code not in SILENT:
            truck.spots[finding.joint_id].last_code = finding.code
    return calling


def _finding(world: World, truck: Truck, sheet: Inspection, told: Told) -> tuple[Finding, Seen]:
    spot = told.spot
    seen = _seen(world, truck, told, sheet.occurred_at)
    rule = world.table["response"][spot.kind.response]
    verdict = judge(truck.vehicle, seen, rule, spot.last_code == FindingCode.MOVED)
    owed = _next_owed(truck, spot)
    row = draft(
        Finding, **world.book.fact(sheet.by, sheet.occurred_at), inspection=sheet, joint=spot.joint,
        code=told.code, method=told.method, degrees=seen.degrees, play_typed=told.play,
        turned=told.code == FindingCode.MOVED if seen.by_wrench else None, play_m=seen.play_m,
        limit_m=verdict.limit_m, limit_citation=verdict.citation, answer=verdict.answer,
        response=verdict.response, reason=told.reason, why=sheet.kind, use_si=sheet.use_si,
        due_recheck=owed, due_on=owed and owed.due_on, due_use_si=owed and owed.due_use_si,
        rule_version=rule.version, spec=spot.spec,
    )  # fmt: skip
    return row, seen


def _seen(world: World, truck: Truck, told: Told, at: datetime) -> Seen:
    """One look as the operations understand it."""
    tool: TorqueTool | None = None
    torque, torque_nm = "", None
    if told.method == "wrench" and told.spot.spec is not None:
        torque, torque_nm = typed_torque(told.spot.spec)
        tool = world.tool_for(truck, torque_nm, at)
    return Seen(
        told.spot.joint,
        Look(told.spot.joint.pk, told.code, told.method, told.degrees, told.play, torque,
             tool.pk if tool else None, told.spot.spec.thread_condition if torque and
             told.spot.spec else "", told.reason),
        spec=told.spot.spec, degrees=float(told.degrees) if told.degrees else None,
        play_m=parse_length(told.play, "in").si if told.play else None, torque_nm=torque_nm,
        tool=tool,
    )  # fmt: skip


def _next_owed(truck: Truck, spot: Spot) -> Recheck | None:
    """What was due first of the joint's own and of the looks at every joint."""
    rows = [
        owed.row
        for (joint, _ladder), owed in truck.live.items()
        if joint == spot.joint.pk or (joint is None and owed.row.kind in settle.WHOLE)
    ]
    return min(rows, key=lambda row: row.falls_on, default=None)


def _torque(world: World, truck: Truck, finding: Finding, seen: Seen) -> None:
    """The wrench's evidence; a fastener that turned begins a new spell."""
    if seen.tool is None or not seen.torque_nm or not seen.by_wrench:
        return
    spot = truck.spots[finding.joint_id]
    turned = finding.code == FindingCode.MOVED
    row = draft(
        TorqueReading, **world.book.fact(finding.by, finding.occurred_at), joint=spot.joint,
        finding=finding, tool=seen.tool, tool_in_date=True, spec=spot.spec, typed=seen.look.torque,
        torque_nm=seen.torque_nm, band=looks.band(seen.torque_nm, spot.spec), turned=turned,
        degrees=seen.degrees, use_si=finding.use_si,
        thread_condition=seen.look.thread_condition,
    )  # fmt: skip
    world.book.keep(row, finding.occurred_at)
    if turned:
        truck.tighten(spot, seen.tool.code, finding.occurred_at)


def _respond(world: World, truck: Truck, gesture: Gesture, found: Found) -> Found:
    """What calls for work; play inside its line also starts a recheck of its own."""
    calling = [pair for pair in found if pair[0].response != Finding.Response.NOTE]
    for finding, seen in calling:
        spot = truck.spots[seen.joint.pk]
        key = world.table["response"][spot.kind.response].data["play"].get("recheck")
        if key and finding.answer == Finding.Answer.INSIDE:
            start = Start(finding.occurred_at, finding.use_si, finding=finding)
            owing.start_ladders(world, truck, gesture, key, start, spot)
    return calling


def kind_of(rows: list[Recheck]) -> str:
    """A sheet that only pulls wrenches is a retorque; else a recheck."""
    retorque: list[Any] = [row.kind == Recheck.Kind.RETORQUE for row in rows]
    return "retorque" if all(retorque) else "recheck"
