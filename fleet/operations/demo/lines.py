"""Lines of the demo's tickets: what is typed, and the facts that it proves."""

from typing import Any

from fleet.calc import requirements
from fleet.calc.units import parse_torque
from fleet.operations import evidence, looks
from fleet.operations.demo import inputs
from fleet.operations.demo.book import Gesture
from fleet.operations.demo.truck import Spot, Truck
from fleet.operations.demo.world import World, typed_torque
from fleet.operations.words import value
from fleet.reads.rules import RuleNow
from fleet.records.models import LineEntry, PartChange, TicketLine, ToeReading, TorqueReading

GOOD_LOTS = ("J-1180", "J-1214", "K-2231", "L-3007", "M-3346")
YES_NO = {"yes": True, "no": False}


def typed(
    world: World, truck: Truck, action: str, spot: Spot | None, gesture: Gesture,
    more: dict[str, Any],
) -> dict[str, Any]:  # fmt: skip
    """What the technician types: the usual, the figure and the tool, and what the story says."""
    found = dict(inputs.read("entries")["actions"].get(action, {}))
    part = inputs.read("entries")["parts"].get(action)
    if part:
        lot = GOOD_LOTS[int(truck.rng.integers(len(GOOD_LOTS)))]
        found |= {"part_number": part, "part_lot": lot}
    if action == "full_alignment":
        found["sheet"] = f"BW-{gesture.at:%y%m%d}-{truck.vehicle.unit_number}"
    if action == "set_toe" and truck.vehicle.yard.far:
        found |= inputs.read("entries")["far_toe"]
    if spot is not None and spot.spec is not None and "torque" not in found:
        found["torque"] = typed_torque(spot.spec)[0]
        found["thread_condition"] = spot.spec.thread_condition
    for prefix in evidence.PULLS:
        kind = evidence.ELSEWHERE.get((action, prefix))
        if kind is not None:
            figure, tool, threads = _figure_of(world, truck, kind, gesture)
            found |= {f"{prefix}torque": figure, f"{prefix}tool": tool,
                      f"{prefix}thread_condition": threads}  # fmt: skip
    found |= more
    if "torque" in found:
        torque = parse_torque(found["torque"], "lbf·ft").si
        found.setdefault("tool", world.tool_for(truck, torque, gesture.at).code)
    return found


def _figure_of(world: World, truck: Truck, kind: str, gesture: Gesture) -> tuple[str, str, str]:
    """The figure of another joint that the work pulls, a tool for it, and its threads."""
    spot = truck.spot(kind)
    if spot is None or spot.spec is None:
        raise LookupError(f"{truck.vehicle} has no figure for {kind}")
    figure, torque = typed_torque(spot.spec)
    return figure, world.tool_for(truck, torque, gesture.at).code, spot.spec.thread_condition


def record(
    world: World, truck: Truck, gesture: Gesture, line: TicketLine, rule: RuleNow,
    spot: Spot | None, more: dict[str, Any],
) -> None:  # fmt: skip
    """The line's entry with its torque, toe and part, as `repair.record_line` stores them."""
    fields = world.fields_for(rule, truck, spot)
    wanted = {f["name"] for f in fields}
    given = typed(world, truck, rule.key, spot, gesture, more)
    known = {name: text for name, text in given.items() if name in wanted}
    data = dict(requirements.read_fields(fields, known).values)
    if short := requirements.missing(fields, data):
        raise ValueError(f"the demo types too little for {rule.key} at {spot}: {short}")
    entry = LineEntry(
        **world.book.fact(gesture.by, gesture.at), line=line, data=data,
        rule_version=rule.version, use_si=truck.readings[-1][1],
    )  # fmt: skip
    world.book.keep(entry, gesture.at)
    line.entry, line.rule_version = entry, rule.version
    world.book.trail(gesture, "record_line", entry, truck.vehicle, after={"complete": True})
    if line.action == "set_toe":
        _toe(world, truck, entry)
    if spot is not None:
        _part(world, truck, entry, spot)
        _torques(world, truck, line, entry, spot)


def _toe(world: World, truck: Truck, entry: LineEntry) -> None:
    for told in evidence.tape_readings(entry.data):
        row = ToeReading(
            **world.book.fact(entry.by, entry.occurred_at), vehicle=truck.vehicle,
            line_entry=entry, **told, span_m=value(entry.data, "toe_span"),
            height_m=value(entry.data, "toe_height"),
            ride_height=value(entry.data, "ride_height"), use_si=entry.use_si,
        )  # fmt: skip
        world.book.keep(row, entry.occurred_at)


def _part(world: World, truck: Truck, entry: LineEntry, spot: Spot) -> None:
    number = value(entry.data, "part_number")
    if not number:
        return
    spot.lot = value(entry.data, "part_lot") or ""
    row = PartChange(
        **world.book.fact(entry.by, entry.occurred_at), joint=spot.joint, number=number,
        lot=spot.lot, use_si=entry.use_si, line_entry=entry,
    )  # fmt: skip
    world.book.keep(row, entry.occurred_at)
    truck.renew(spot)


def _torques(world: World, truck: Truck, line: TicketLine, entry: LineEntry, own: Spot) -> None:
    """The torque at the line's own joint, or at the one beside it that was pulled."""
    for prefix in evidence.PULLS:
        torque, code = value(entry.data, f"{prefix}torque"), value(entry.data, f"{prefix}tool")
        if torque is None or not code:
            continue
        kind = evidence.ELSEWHERE.get((line.action, prefix))
        spot = (truck.spot(kind, own.joint.side) if kind else None) or own
        tool = next(tool.row for tool in world.tools if tool.row.code == code)
        row = TorqueReading(
            **world.book.fact(entry.by, entry.occurred_at), joint=spot.joint, line_entry=entry,
            tool=tool, tool_in_date=True, spec=spot.spec, torque_nm=torque,
            typed=entry.data[f"{prefix}torque"]["typed"], band=looks.band(torque, spot.spec),
            turned=line.action != "retorque" or value(entry.data, "turned") == "yes",
            assembled=line.action != "retorque", degrees=value(entry.data, "degrees"),
            thread_condition=value(entry.data, f"{prefix}thread_condition") or "",
            new_fastener=YES_NO.get(str(value(entry.data, f"{prefix}new_fastener"))),
            use_si=entry.use_si,
        )  # fmt: skip
        world.book.keep(row, entry.occurred_at)
        if row.turned:
            truck.tighten(spot, code, entry.occurred_at)
