"""What a finding calls for: noted, a ticket line, or a hold. The table is data."""

from dataclasses import dataclass

from fleet.calc import limits
from fleet.operations.looks import Seen
from fleet.reads.rules import LINES, RuleNow, settings_now
from fleet.records.models import Finding, FindingCode, Vehicle

# The regime whose lines are used where the fleet's setting names none (own): the lower one.
REGIME = "us-570"
HEAVY_KG = LINES[10_000]  # where 49 CFR 570 changes from subpart A to B


@dataclass(frozen=True)
class Verdict:
    """What a look calls for; for play also the answer, and the line that it was held against."""

    response: str
    answer: str = ""
    limit: limits.Limit | None = None

    @property
    def limit_m(self) -> float | None:
        return self.limit.value if self.limit else None

    @property
    def citation(self) -> str:
        return self.limit.citation if self.limit else ""


def regime_now() -> str:
    """The fleet's own choice of rules; one that is not known here counts as none."""
    chosen = str(settings_now().get("limit_regime", REGIME))
    return chosen if chosen in limits.REGIMES else REGIME


def judge(
    vehicle: Vehicle, seen: Seen, rule: RuleNow, moved_before: bool, regime: str = REGIME
) -> Verdict:
    """Judge one look by its joint's row of the response table."""
    code, row = seen.look.code, rule.data
    if code == FindingCode.PLAY:
        limit = limit_for(vehicle, seen.joint.kind.limit, regime)
        answer = limits.assess_play(seen.play_m, limit).answer.value
        return Verdict(row["play"][answer], answer, limit)
    if code == FindingCode.MOVED:
        moved = row["moved"]
        far = seen.degrees is not None and seen.degrees >= moved["hold_from_degrees"]
        if far:
            return Verdict(Finding.Response.HOLD)
        return Verdict(moved["second_running"] if moved_before else moved["otherwise"])
    return Verdict(row.get(code, Finding.Response.NOTE))


def limit_for(vehicle: Vehicle, table: str, regime: str = REGIME) -> limits.Limit | None:
    """The published line for a joint on this vehicle, or None where there is none."""
    weight = limits.HEAVY if (vehicle.gross_weight_kg or 0) > HEAVY_KG else limits.LIGHT
    if table == "linkage_play":
        return limits.linkage_play_limit(regime, weight, vehicle.wheel_diameter_m)
    if table == "steering_lash" and vehicle.steering_wheel_m:
        return limits.steering_wheel_lash_limit(
            regime, vehicle.steering_wheel_m, vehicle.power_steering, weight_class=weight
        )
    return None
