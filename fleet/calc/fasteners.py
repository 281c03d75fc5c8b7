"""Fasteners: threads and classes, clamp load from torque, a shop's figure beside the factory's.

The maker's figure for the vehicle at hand governs; nothing here replaces it.
"""

from dataclasses import dataclass

from fleet.calc.bolts import (
    REFUSALS,
    Fastener,
    TorqueRefused,
    clamp_load,
    parse_fastener,
    proof_load,
    refusal,
    tensile_stress_area,
)
from fleet.calc.fastener_tables import NUT_FACTORS
from fleet.calc.fastener_text import FastenerTextError, Thread, parse_class, parse_thread
from fleet.calc.slotted_nuts import SlotRefused, SlotTurn, degrees_to_next_slot, slotted_nut_turn
from fleet.calc.torque_checks import (
    ShareTorque,
    TorqueCheck,
    assess_torque,
    torque_for_share,
)

__all__ = [
    "NUT_FACTORS", "REFUSALS", "Fastener", "FastenerTextError", "ShareTorque", "ShopFigure",
    "SlotRefused", "SlotTurn", "Thread", "TorqueCheck", "TorqueRefused", "assess_torque",
    "clamp_load", "degrees_to_next_slot", "parse_class", "parse_fastener", "parse_thread",
    "proof_load", "refusal", "shop_above_factory", "slotted_nut_turn", "tensile_stress_area",
    "torque_for_share",
]  # fmt: skip

#: The verdicts that name proof load.
AT_PROOF = frozenset({"may_pass_proof", "past_proof"})
#: The slipperiest condition of the table: what lubricated threads may come to.
_SLIPPERIEST = "anti_seize"


@dataclass(frozen=True, slots=True)
class ShopFigure:
    """A shop's figure against the factory's, on one fastener.

    Attributes
    ----------
    above_factory : bool
        Whether its high side is above the factory's.
    lubricated : bool
        Whether the threads are eased by something while they are tightened (threadlocker too).
    may_pass_proof : bool
        Whether the shop's figure reaches proof load somewhere in the range.
    flagged : bool
        All three: the case that matters.
    shop, factory : TorqueCheck
        Under the condition given.
    shop_if_lubricated : TorqueCheck
        The shop's figure with anti-seize on the threads: what the habit comes to, whatever the
        condition recorded.
    """

    above_factory: bool
    lubricated: bool
    may_pass_proof: bool
    flagged: bool
    shop: TorqueCheck
    factory: TorqueCheck
    shop_if_lubricated: TorqueCheck


def shop_above_factory(
    shop: float | tuple[float, float],
    factory: float | tuple[float, float],
    fastener: Fastener,
    condition: str,
    tool_tolerance: float = 0.04,
    prevailing: float = 0.0,
) -> ShopFigure:
    """Compare a shop's torque figure with the factory's.

    Parameters
    ----------
    shop, factory : float or (float, float)
        A figure, or the low and the high side, newton metres.
    fastener, condition, tool_tolerance, prevailing
        As in `assess_torque`.

    Raises
    ------
    TorqueRefused
        As `assess_torque`.

    Notes
    -----
    Factory figures for a track bar's axle-end bolt are exceeded by half in experienced hands so
    that it stays tight (common practice, no source). Whether the bolt bears that depends on its
    size and on what is on its threads: so both are asked for, and the figures are shown.

    Examples
    --------
    >>> bolt = parse_fastener("M10 x 1.5 10.9")
    >>> found = shop_above_factory(81.35, 54.23, bolt, "oiled")
    >>> found.flagged, found.shop.verdict, found.factory.verdict
    (True, 'may_pass_proof', 'in_range')
    >>> shop_above_factory(54.23, 54.23, bolt, "oiled").flagged
    False
    """
    taken = assess_torque(shop, fastener, condition, tool_tolerance, prevailing)
    given = assess_torque(factory, fastener, condition, tool_tolerance, prevailing)
    eased = assess_torque(shop, fastener, _SLIPPERIEST, tool_tolerance, prevailing)
    above = _high_side(shop) > _high_side(factory)
    lubricated = NUT_FACTORS[condition].lubricated
    passes = taken.verdict in AT_PROOF
    flagged = above and lubricated and passes
    return ShopFigure(above, lubricated, passes, flagged, taken, given, eased)


def _high_side(torque: float | tuple[float, float]) -> float:
    return torque[1] if isinstance(torque, tuple) else torque
