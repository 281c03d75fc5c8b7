"""What a finding calls for: noted, a ticket line, or a hold. The table is data."""

from dataclasses import dataclass

from fleet.calc import limits
from fleet.operations.looks import Seen
from fleet.reads.rules import RuleNow
from fleet.records.models import Finding, FindingCode, Vehicle

# The regime whose lines are used until the fleet says otherwise (own): the lower one.
REGIME = "us-570"
HEAVY_KG = 4_536  # 10,000 lb, where 49 CFR 570 changes from subpart A to B


@dataclass(frozen=True)
class Verdict:
    response: str
    answer: str = ""
    limit_m: float | None = None
    citation: str = ""


def judge(vehicle: Vehicle, seen: Seen, rule: RuleNow, moved_before: bool) -> Verdict:
    """Judge one look by its joint's row of the response table."""
    code, row = seen.look.code, rule.data
    if code == FindingCode.PLAY:
        return _judge_play(vehicle, seen, row)
    if code == FindingCode.MOVED:
        moved = row["moved"]
        far = seen.degrees is not None and seen.degrees >= moved["hold_from_degrees"]
        if far:
            return Verdict(Finding.Response.HOLD)
        return Verdict(moved["second_running"] if moved_before else moved["otherwise"])
    return Verdict(row.get(code, Finding.Response.NOTE))


def _judge_play(vehicle: Vehicle, seen: Seen, row: dict[str, dict[str, str]]) -> Verdict:
    limit = limit_for(vehicle, seen.joint.kind.limit)
    answer = limits.assess_play(seen.play_m, limit).answer.value
    return Verdict(
        response=row["play"][answer],
        answer=answer,
        limit_m=limit.value if limit else None,
        citation=limit.citation if limit else "",
    )


def limit_for(vehicle: Vehicle, table: str) -> limits.Limit | None:
    """The published line for a joint on this vehicle, or None where there is none."""
    weight = limits.HEAVY if (vehicle.gross_weight_kg or 0) > HEAVY_KG else limits.LIGHT
    if table == "linkage_play":
        return limits.linkage_play_limit(REGIME, weight, vehicle.wheel_diameter_m)
    if table == "steering_lash" and vehicle.steering_wheel_m:
        return limits.steering_wheel_lash_limit(
            REGIME, vehicle.steering_wheel_m, vehicle.power_steering, weight_class=weight
        )
    return None
