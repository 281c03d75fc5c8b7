"""Threads, strength classes and nut factors as data, each with where it is from.

Pitches are those of ISO 261 as ISO 898-1 lists them, and of ASME B1.1 (UNC and UNF). Proof
stresses are read in charts that quote ISO 898-1 and SAE J429, not in the standards themselves.
M6, M18 to M24 and 1/4, 5/16, 7/8 and 1 in stand from memory, unverified: their pitches only, as
every area is computed.
"""

from dataclasses import dataclass

INCH = 0.0254
MILLIMETRE = 0.001
KSI = 6_894_757.293168361
MPA = 1e6

METRIC, UNIFIED = "metric", "inch"

#: Nominal diameter in millimetres: the coarse pitch first, then the fine ones.
METRIC_PITCHES: dict[int, tuple[float, ...]] = {
    6: (1.0,),
    8: (1.25, 1.0),
    10: (1.5, 1.25, 1.0),
    12: (1.75, 1.5, 1.25),
    14: (2.0, 1.5),
    16: (2.0, 1.5),
    18: (2.5, 1.5),
    20: (2.5, 1.5),
    22: (2.5, 1.5),
    24: (3.0, 2.0),
}

#: Nominal diameter in inches as written, its value, and threads an inch: UNC, UNF.
UNIFIED_THREADS: dict[str, tuple[float, int, int]] = {
    "1/4": (0.25, 20, 28),
    "5/16": (0.3125, 18, 24),
    "3/8": (0.375, 16, 24),
    "7/16": (0.4375, 14, 20),
    "1/2": (0.5, 13, 20),
    "9/16": (0.5625, 12, 18),
    "5/8": (0.625, 11, 18),
    "3/4": (0.75, 10, 16),
    "7/8": (0.875, 9, 14),
    "1": (1.0, 8, 12),
}


@dataclass(frozen=True, slots=True)
class StrengthClass:
    """Proof stress of one class of bolt.

    Attributes
    ----------
    name : str
        ``"10.9"``, or ``"8"`` for a grade of SAE J429.
    series : {"metric", "inch"}
        The threads it goes with.
    rows : tuple of (float, float)
        Largest diameter (metres, included) and proof stress (Pa), rising by diameter.
    citation : str
        Where it is printed.
    """

    name: str
    series: str
    rows: tuple[tuple[float, float], ...]
    citation: str

    def proof_stress(self, diameter: float) -> float:
        """Return the proof stress at a nominal diameter, Pa.

        >>> CLASSES["8.8"].proof_stress(0.016) / MPA, CLASSES["8.8"].proof_stress(0.018) / MPA
        (580.0, 600.0)
        """
        for largest, stress in self.rows:
            if diameter <= largest + _SAME:
                return stress
        raise ValueError(f"{self.name} has no figure for a diameter of {diameter:g} m")


#: Under any step of size: a diameter at a boundary belongs to the row that ends there.
_SAME = 1e-6
_ISO = "ISO 898-1, proof stress (read in charts quoting it)"
_SAE = "SAE J429, proof stress (read in charts quoting it)"


def _iso(name: str, *rows: tuple[float, float]) -> StrengthClass:
    in_si = tuple((size * MILLIMETRE, stress * MPA) for size, stress in rows)
    return StrengthClass(name, METRIC, in_si, _ISO)


def _sae(name: str, *rows: tuple[float, float]) -> StrengthClass:
    return StrengthClass(
        name, UNIFIED, tuple((size * INCH, stress * KSI) for size, stress in rows), _SAE
    )


#: The proof load printed for M16 class 8.8 (91,000 N) is 580 MPa's, so 16 mm belongs to 580;
#: one chart has it at 600.
CLASSES: dict[str, StrengthClass] = {
    one.name: one
    for one in (
        _iso("8.8", (16, 580), (39, 600)),
        _iso("10.9", (39, 830)),
        _iso("12.9", (39, 970)),
        _sae("2", (0.75, 55), (1.5, 33)),
        _sae("5", (1, 85), (1.5, 74)),
        _sae("8", (1.5, 120)),
    )
}


@dataclass(frozen=True, slots=True)
class NutFactor:
    """Range of K in ``T = K d F`` for a thread condition.

    Attributes
    ----------
    low, high : float
        The low one gives the high clamp load.
    citation : str
        Where the two sides are from.
    lubricated : bool
        Whether something on the threads eases them while they are tightened.
    note : str
        Stable code of what has to be said beside it, or empty.
    """

    low: float
    high: float
    citation: str
    lubricated: bool
    note: str = ""


_SHIGLEY = "Shigley 9e Table 8-15"

#: By thread condition. Published values of one condition differ by half: hence ranges.
NUT_FACTORS: dict[str, NutFactor] = {
    "dry": NutFactor(
        0.20,
        0.30,
        f"{_SHIGLEY}: zinc 0.20, nonplated black 0.30; a handbook has zinc dry at 0.295",
        lubricated=False,
        note="plating_not_recorded",
    ),
    "oiled": NutFactor(
        0.15,
        0.20,
        f"public engineering page: 0.15 to 0.20; {_SHIGLEY}: lubricated 0.18",
        lubricated=True,
    ),
    "anti_seize": NutFactor(
        0.12,
        0.16,
        f"public engineering page: 0.12 to 0.16; {_SHIGLEY}: anti-seize 0.12",
        lubricated=True,
    ),
    "threadlocker": NutFactor(
        0.15,
        0.30,
        "no published range read: from oiled to dry taken whole (own)",
        lubricated=True,
        note="no_source",
    ),
}
