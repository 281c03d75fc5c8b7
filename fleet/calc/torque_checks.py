"""What a torque or a band of torques does to a bolt, as a range of clamp loads.

One figure on one wrench gives clamp loads that differ by a third and more. The maker's figure
for the vehicle at hand governs; nothing here replaces it.
"""

from dataclasses import dataclass

import numpy as np

from fleet.calc.bolts import Fastener, TorqueRefused, clamp_load, proof_load, refusal
from fleet.calc.fastener_tables import NUT_FACTORS

_PREVAILING = ("prevailing", "the prevailing torque leaves nothing of the figure")

#: Shares of proof load.
LOOSE_BELOW, HIGH_FROM, PROOF = 0.5, 0.9, 1.0


@dataclass(frozen=True, slots=True)
class TorqueCheck:
    """What a torque does to a fastener.

    Attributes
    ----------
    clamp_low, clamp_high : float
        Clamp load, newtons, over the range of K, the band and the tool's tolerance.
    share_of_proof_low, share_of_proof_high : float
        The same as shares of the proof load.
    verdict : {"loose", "in_range", "high", "may_pass_proof", "past_proof"}
        Stable, to translate by. ``"in_range"`` is about clamp load only: no joint is called good.
    citation : str
        Where the nut factors and the proof stress are from.
    proof : float
        Proof load, newtons.
    nut_factor_low, nut_factor_high : float
        The range of K that was taken.
    note : str
        As `fastener_tables.NutFactor.note`.
    """

    clamp_low: float
    clamp_high: float
    share_of_proof_low: float
    share_of_proof_high: float
    verdict: str
    citation: str
    proof: float
    nut_factor_low: float
    nut_factor_high: float
    note: str = ""


def factor_range(
    condition: str, nut_factor: tuple[float, float] | None
) -> tuple[float, float, str, str]:
    """Return low K, high K, citation and note, for a condition or as given."""
    if nut_factor is None:
        known = NUT_FACTORS.get(condition)
        if known is None:
            raise ValueError(f"condition must be one of {tuple(NUT_FACTORS)}")
        return known.low, known.high, known.citation, known.note
    low, high = nut_factor
    if not 0 < low <= high < np.inf:
        raise ValueError("nut_factor must be (low, high), above zero and rising")
    return low, high, "as given", ""


def assess_torque(
    torque: float | tuple[float, float],
    fastener: Fastener,
    condition: str,
    tool_tolerance: float = 0.04,
    prevailing: float = 0.0,
    *,
    nut_factor: tuple[float, float] | None = None,
) -> TorqueCheck:
    """Say what a torque or a band does to a fastener, over all that is not known.

    Parameters
    ----------
    torque : float or (float, float)
        The figure, or the low and the high side of a spec, newton metres.
    fastener : Fastener
    condition : {"dry", "oiled", "anti_seize", "threadlocker"}
        Of the threads; gives the range of K (`fastener_tables.NUT_FACTORS`).
    tool_tolerance : float
        The tool's, as a share; 4 % is the permissible deviation of ISO 6789 above 10 N·m (from
        memory, unverified).
    prevailing : float
        Torque that turns the nut before it seats, newton metres; subtracted.
    nut_factor : (float, float), optional
        A range of K of one's own instead of the condition's.

    Returns
    -------
    TorqueCheck

    Raises
    ------
    TorqueRefused
        Tapered studs, clamps, hub and wheel nuts, wheel-bearing nuts, to-yield bolts; and a
        prevailing torque that is no less than the figure.

    Notes
    -----
    Loose when even the high side is under half of proof load, high when it reaches nine tenths,
    may pass proof when it reaches proof load, past proof when the low side does (all own). The
    scatter is counted once: in the range of K, plus the tool's tolerance.

    Examples
    --------
    A habit on lubricated threads:

    >>> from fleet.calc.bolts import parse_fastener
    >>> check = assess_torque(81.349, parse_fastener("M10 x 1.5 10.9"), "anti_seize")
    >>> check.verdict, round(check.clamp_low), round(check.clamp_high)
    ('past_proof', 48809, 70502)
    """
    low, high = _band(torque, fastener, tool_tolerance, prevailing)
    k_low, k_high, from_where, note = factor_range(condition, nut_factor)
    size, proof = fastener.thread.diameter, proof_load(fastener)
    least = float(clamp_load(low, size, k_high))
    most = float(clamp_load(high, size, k_low))
    citation = f"K: {from_where}; {fastener.strength_class.citation}"
    shares = least / proof, most / proof
    return TorqueCheck(
        least, most, *shares, _verdict(*shares), citation, proof, k_low, k_high, note
    )


def _band(
    torque: float | tuple[float, float], fastener: Fastener, tolerance: float, prevailing: float
) -> tuple[float, float]:
    """Return the torques that may really stand on the thread, without what turns the nut."""
    _allow(fastener, tolerance, prevailing)
    low, high = torque if isinstance(torque, tuple) else (torque, torque)
    if not 0 < low <= high < np.inf:
        raise ValueError("torque must be finite, above zero, its low side first")
    least, most = low * (1 - tolerance) - prevailing, high * (1 + tolerance) - prevailing
    if least <= 0:
        raise TorqueRefused(*_PREVAILING)
    return least, most


def _allow(fastener: Fastener, tolerance: float, prevailing: float) -> None:
    if refused := refusal(fastener.held_by):
        raise refused
    if not (0 <= tolerance < 1 and 0 <= prevailing < np.inf):
        raise ValueError("tool_tolerance must be a share, prevailing a torque, neither below zero")


def _verdict(low: float, high: float) -> str:
    if low >= PROOF:
        return "past_proof"
    if high >= PROOF:
        return "may_pass_proof"
    if high >= HIGH_FROM:
        return "high"
    return "loose" if high < LOOSE_BELOW else "in_range"


@dataclass(frozen=True, slots=True)
class ShareTorque:
    """Torques that have to do with a share of proof load, newton metres.

    Attributes
    ----------
    stays_under : float
        Up to this figure no bolt in the range carries more than the share.
    surely_reaches : float
        From this figure on every bolt in the range carries at least the share.
    """

    stays_under: float
    surely_reaches: float


def torque_for_share(
    share: float,
    fastener: Fastener,
    condition: str,
    tool_tolerance: float = 0.04,
    prevailing: float = 0.0,
    *,
    nut_factor: tuple[float, float] | None = None,
) -> ShareTorque:
    """Turn a share of proof load into torques; `assess_torque` the other way round.

    Parameters
    ----------
    share : float
        Of proof load, above zero.
    fastener, condition, tool_tolerance, prevailing, nut_factor
        As in `assess_torque`.

    Returns
    -------
    ShareTorque
        To think with, never a specification: the maker's figure governs.

    Examples
    --------
    >>> from fleet.calc.bolts import parse_fastener
    >>> found = torque_for_share(0.75, parse_fastener("M12 x 1.75 10.9"), "oiled")
    >>> round(found.stays_under, 1), round(found.surely_reaches, 1)
    (90.8, 131.1)
    """
    _allow(fastener, tool_tolerance, prevailing)
    if not 0 < share < np.inf:
        raise ValueError("share must be finite and above zero")
    k_low, k_high, _, _ = factor_range(condition, nut_factor)
    moment = share * proof_load(fastener) * fastener.thread.diameter
    return ShareTorque(
        (k_low * moment + prevailing) / (1 + tool_tolerance),
        (k_high * moment + prevailing) / (1 - tool_tolerance),
    )
