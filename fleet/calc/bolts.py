"""A bolt, its proof load, and the clamp load of a torque by ``T = K d F``.

Where the relation does not hold it is refused with a reason (`refusal`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.calc.fastener_tables import METRIC, UNIFIED, StrengthClass
from fleet.calc.fastener_text import Thread, parse_thread_and_class

#: Why ``T = K d F`` says nothing of some fasteners, by how they are held. The codes are stable.
REFUSALS: dict[str, tuple[str, str]] = {
    "slotted_stud": ("tapered_stud", "the taper takes the torque, not the thread alone"),
    "tapered_shaft": ("tapered_shaft", "the nut draws a taper home (Pitman arm, draw key)"),
    "clamp": ("clamp", "the torque bends the clamp; its load is not the bolt's alone"),
    "stud_nuts": ("hub_nut", "hub and wheel nuts seat on cones or preload a bearing"),
    "adjusting_nut": ("adjusting_nut", "a wheel-bearing nut sets end play, not a clamp load"),
    "angle": ("to_yield", "angle and to-yield bolts are replaced, never judged by torque"),
    "pressed": ("no_thread", "pressed in: no thread carries it"),
    "none": ("no_thread", "no fastener here"),
}
_METRIC_DEPTH, _UNIFIED_DEPTH = 0.9381942, 0.9743


class TorqueRefused(ValueError):
    """The relation does not hold for this fastener.

    Attributes
    ----------
    code : {"tapered_stud", "tapered_shaft", "clamp", "hub_nut", "adjusting_nut", "to_yield", \
"no_thread", "prevailing"}
        Stable, to translate by.
    reason : str
        Plain words.
    """

    def __init__(self, code: str, reason: str) -> None:
        self.code, self.reason = code, reason
        super().__init__(reason)

    def __reduce__(self) -> tuple[type["TorqueRefused"], tuple[str, str]]:
        return type(self), (self.code, self.reason)


@dataclass(frozen=True, slots=True)
class Fastener:
    """A bolt or stud: its thread, its class and how it is held.

    Attributes
    ----------
    thread : Thread
    strength_class : StrengthClass
    held_by : str
        ``"bolt"``, ``"slotted_bolt"``, ``"u_bolt"`` (each leg), or a key of `REFUSALS`.
    """

    thread: Thread
    strength_class: StrengthClass
    held_by: str = "bolt"

    def __str__(self) -> str:
        grade = "" if self.thread.series == METRIC else "grade "
        return f"{self.thread.name} {grade}{self.strength_class.name}"


def parse_fastener(text: str, held_by: str = "bolt") -> Fastener:
    """Read a fastener as people write it.

    Parameters
    ----------
    text : str
        ``M14 x 2 10.9``, ``M10x1.5 class 10.9``, ``9/16-18 UNF grade 8``; a metric thread
        without its pitch is the coarse one.
    held_by : str
        As in `Fastener`.

    Raises
    ------
    FastenerTextError
        With the place that failed, a stable code and an example to type instead.

    Examples
    --------
    >>> str(parse_fastener("M14 × 2 10.9")), str(parse_fastener("9/16-18 UNF grade 8"))
    ('M14 x 2 10.9', '9/16-18 UNF grade 8')
    """
    thread, strength_class = parse_thread_and_class(text)
    return Fastener(thread, strength_class, held_by)


def tensile_stress_area(
    diameter: ArrayLike, pitch: ArrayLike, series: str = METRIC
) -> NDArray[np.float64]:
    """Compute the tensile stress area of a thread.

    Parameters
    ----------
    diameter, pitch : array_like
        Nominal diameter and pitch, metres; they broadcast. The pitch of an inch thread is
        0.0254 m over its threads an inch.
    series : {"metric", "inch"}

    Returns
    -------
    ndarray
        Square metres.

    Raises
    ------
    ValueError
        For a series not known, a pitch not above zero or a thread deeper than the bolt.

    Notes
    -----
    Metric ``pi/4 (d - 0.9381942 P)^2``, inch ``pi/4 (d - 0.9743 P)^2``: the circle midway
    between root and pitch diameter.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th edition, notes to Tables 8-1 and 8-2.

    Examples
    --------
    >>> float(tensile_stress_area(0.010, 0.0015).round(8))
    5.799e-05
    """
    if series not in (METRIC, UNIFIED):
        raise ValueError(f"series must be {METRIC!r} or {UNIFIED!r}")
    size, step = np.asarray(diameter, dtype=float), np.asarray(pitch, dtype=float)
    root = size - (_METRIC_DEPTH if series == METRIC else _UNIFIED_DEPTH) * step
    if not np.all(np.isfinite(root) & (step > 0) & (root > 0)):
        raise ValueError(
            "diameter and pitch must be finite, above zero, the thread within the bolt"
        )
    return np.asarray(np.pi / 4 * root**2)


def proof_load(fastener: Fastener) -> float:
    """Return the load that a fastener must bear without lasting stretch, newtons.

    >>> round(proof_load(parse_fastener("M10 x 1.5 10.9")))
    48131
    """
    thread = fastener.thread
    area = float(tensile_stress_area(thread.diameter, thread.pitch, thread.series))
    return area * fastener.strength_class.proof_stress(thread.diameter)


def clamp_load(
    torque: ArrayLike, diameter: ArrayLike, nut_factor: ArrayLike
) -> NDArray[np.float64]:
    """Compute the clamp load of a torque: ``F = T / (K d)``.

    Parameters
    ----------
    torque : array_like
        Newton metres, not below zero.
    diameter : array_like
        Nominal diameter, metres.
    nut_factor : array_like
        K, dimensionless. All three broadcast.

    Returns
    -------
    ndarray
        Newtons.

    Examples
    --------
    >>> float(clamp_load(54.232718, 0.010, 0.20).round())
    27116.0
    """
    moment, size, k = (np.asarray(one, dtype=float) for one in (torque, diameter, nut_factor))
    if not (np.all(np.isfinite(moment)) and np.all(moment >= 0)):
        raise ValueError("torque must be finite and not below zero")
    if not (np.all(np.isfinite(size * k)) and np.all(size > 0) and np.all(k > 0)):
        raise ValueError("diameter and nut_factor must be finite and above zero")
    return np.asarray(moment / (k * size))


def refusal(held_by: str) -> TorqueRefused | None:
    """Return why ``T = K d F`` does not hold for a way of holding, or None where it does.

    >>> refusal("slotted_stud").code, refusal("bolt")
    ('tapered_stud', None)
    """
    found = REFUSALS.get(held_by)
    return TorqueRefused(*found) if found else None
