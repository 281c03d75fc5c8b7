"""Published limits of steering lash and linkage play, as data. Figures as printed, in inches.

A fleet adds a regime of its own (a state's rule, another country's) in the same shape and hands
it to the functions of `fleet.calc.limits`. Published regimes differ by more than a factor of
two, so a limit always says which it is from.
"""

from typing import NotRequired, TypedDict


class Lash(TypedDict):
    """Free play at the rim of the steering wheel.

    `manual` and `power`: (wheel diameter, limit) in inches, rising; the first row also stands
    for every smaller wheel. `arc_degrees`, where the rule has it: what holds for a diameter that
    is not listed, for manual and power steering.
    """

    citation: str
    manual: list[tuple[float, str]]
    power: list[tuple[float, str]]
    arc_degrees: NotRequired[tuple[float, float]]


class Linkage(TypedDict):
    """Play in the linkage at the tread of the tire: (from this rim diameter on, limit)."""

    citation: str
    rows: list[tuple[float, str]]


class Regime(TypedDict):
    """One set of rules. A `linkage` is by weight class; a class left out has no figure."""

    title: str
    lash: dict[str, Lash]
    linkage: dict[str, Linkage]


#: Gross vehicle weight rating of 10,000 lb or less, and above it.
LIGHT, HEAVY = "light", "heavy"
WEIGHT_CLASSES = (LIGHT, HEAVY)
ANY = "any"

_LASH_570 = [(16.0, "2"), (18.0, "2 1/4"), (20.0, "2 1/2"), (22.0, "2 3/4")]

REGIMES: dict[str, Regime] = {
    "us-570": {
        "title": "49 CFR Part 570, vehicle in use inspection standards (a model for states)",
        "lash": {
            LIGHT: {"citation": "49 CFR 570.7(a)", "manual": _LASH_570, "power": _LASH_570},
            HEAVY: {
                "citation": "49 CFR 570.60(a) Table 2",
                "manual": _LASH_570,
                "power": _LASH_570,
            },
        },
        "linkage": {
            LIGHT: {"citation": "49 CFR 570.7(b)", "rows": [(0.0, "1/4")]},
            HEAVY: {
                "citation": "49 CFR 570.60(b) Table 3",
                "rows": [(0.0, "1/4"), (16.01, "3/8"), (18.01, "1/2")],
            },
        },
    },
    "us-393": {
        "title": "49 CFR 393.209, steering wheel systems of commercial motor vehicles",
        "lash": {
            ANY: {
                "citation": "49 CFR 393.209(b)",
                "manual": [
                    (16.0, "2"),
                    (18.0, "2 1/4"),
                    (19.0, "2 3/8"),
                    (20.0, "2 1/2"),
                    (21.0, "2 5/8"),
                    (22.0, "2 3/4"),
                ],
                "power": [
                    (16.0, "4 1/4"),
                    (18.0, "4 3/4"),
                    (19.0, "5"),
                    (20.0, "5 1/4"),
                    (21.0, "5 1/2"),
                    (22.0, "5 3/4"),
                ],
                "arc_degrees": (14.0, 30.0),
            },
        },
        # 393.209(d): joints not worn, faulty or welded. It prints no figure.
        "linkage": {},
    },
}

#: Joints of which no regime here prints a figure: the maker's limit or a person decides.
NO_GENERAL_FIGURE: dict[str, str] = {
    "ball joint": "wear indicator or maker's limit; 49 CFR 570.8 prints no figure",
    "kingpin": "maker's limit",
    "wheel bearing": "maker's end play",
    "track bar": "no published figure; any play holds by default (common practice, no source)",
}
