"""Published limits of play, each with its citation, and what a measured play says.

A legal line is not a service limit, and nothing is called good here. The maker's service
information for the vehicle at hand governs.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from fleet.calc.limit_tables import (
    ANY,
    HEAVY,
    LIGHT,
    NO_GENERAL_FIGURE,
    REGIMES,
    WEIGHT_CLASSES,
    Lash,
    Regime,
)
from fleet.calc.units import parse_length

__all__ = [
    "HEAVY",
    "LIGHT",
    "NO_GENERAL_FIGURE",
    "REGIMES",
    "WEIGHT_CLASSES",
    "Answer",
    "Limit",
    "PlayAnswer",
    "assess_play",
    "linkage_play_limit",
    "steering_wheel_lash_limit",
]

_INCH = 0.0254
#: Tables print whole millimeters beside inches: 483 mm is the 19 in wheel.
_SAME_DIAMETER = 0.0005
#: A tenth of a micrometer, far under any reading: rounding never turns "at the line" into past.
_AT_THE_LINE = 1e-7
_LARGEST_WHEEL = 1.0


@dataclass(frozen=True, slots=True)
class Limit:
    """A published limit.

    Attributes
    ----------
    value : float
        Metres.
    as_printed : str
        The figure as the rule prints it, in `unit`; for a rule by angle, the angle.
    unit : str
        ``"in"``, or ``"deg"`` where the rule gives an angle at the rim.
    citation : str
        Where it is printed.
    note : str
        Empty, or why this row was taken: ``"next_lower"`` (the diameter is not listed),
        ``"by_angle"``, ``"rim_not_given"``. Stable, to translate by.
    """

    value: float
    as_printed: str
    unit: str
    citation: str
    note: str = ""


class Answer(StrEnum):
    """What a play says against a limit. None of these means that a joint is good."""

    PAST = "past"
    INSIDE = "inside"
    NO_LIMIT = "no_limit"
    UNMEASURED = "unmeasured"


@dataclass(frozen=True, slots=True)
class PlayAnswer:
    """An answer with the play (metres) and limit it rests on."""

    answer: Answer
    play: float | None
    limit: Limit | None


def steering_wheel_lash_limit(
    regime: str,
    wheel_diameter: float,
    power_assisted: bool,
    *,
    weight_class: str = LIGHT,
    regimes: Mapping[str, Regime] = REGIMES,
) -> Limit:
    """Look up the free play that a regime allows at the rim of the steering wheel.

    Parameters
    ----------
    regime : str
        ``"us-570"``, ``"us-393"`` or a key of `regimes`.
    wheel_diameter : float
        Diameter of the steering wheel, metres.
    power_assisted : bool
        Whether the steering is power assisted; the check is then made with the engine running.
    weight_class : {"light", "heavy"}
        Only decides which paragraph is cited where a regime prints the same figure twice.
    regimes : mapping
        Regimes as data, see `fleet.calc.limit_tables`.

    Returns
    -------
    Limit
        For a diameter that is not listed: by the regime's angle at the rim if it gives one, else
        the next lower listed diameter's, and `note` says so.

    Raises
    ------
    KeyError
        For a regime that is not known.
    ValueError
        For a diameter that is not between 0 and 1 m: inches passed by mistake.

    References
    ----------
    49 CFR 570.7(a), 570.60(a) Table 2 and 393.209(b). Appendix A to Part 396 is printed with
    4 1/2 in for a 16 in wheel with power steering in places, 393.209 has 4 1/4 in: the lower
    stands here.

    Examples
    --------
    >>> steering_wheel_lash_limit("us-393", 0.4572, True).as_printed
    '4 3/4'
    >>> unlisted = steering_wheel_lash_limit("us-570", 0.4318, True)
    >>> unlisted.as_printed, unlisted.note
    ('2', 'next_lower')
    """
    if not 0 < wheel_diameter <= _LARGEST_WHEEL:
        raise ValueError("wheel_diameter must be in metres, above 0 and at most 1")
    by_class = regimes[regime]["lash"]
    lash = by_class[ANY] if ANY in by_class else by_class[weight_class]
    rows = lash["power"] if power_assisted else lash["manual"]
    listed = [row for row in rows if row[0] * _INCH <= wheel_diameter + _SAME_DIAMETER]
    diameter, printed = listed[-1] if listed else rows[0]
    if not listed or abs(diameter * _INCH - wheel_diameter) <= _SAME_DIAMETER:
        return _printed(printed, lash["citation"])
    if "arc_degrees" in lash:
        return _by_angle(lash, wheel_diameter, power_assisted)
    return _printed(printed, lash["citation"], "next_lower")


def _printed(figure: str, citation: str, note: str = "") -> Limit:
    return Limit(parse_length(figure, "in").si, figure, "in", citation, note)


def _by_angle(lash: Lash, diameter: float, power_assisted: bool) -> Limit:
    degrees = lash["arc_degrees"][int(power_assisted)]
    arc = math.radians(degrees) * diameter / 2
    return Limit(arc, f"{degrees:g}", "deg", lash["citation"], "by_angle")


def linkage_play_limit(
    regime: str,
    weight_class: str,
    rim_diameter: float | None = None,
    *,
    regimes: Mapping[str, Regime] = REGIMES,
) -> Limit | None:
    """Look up the play that a regime allows in the linkage, at the tread of a front tire.

    Parameters
    ----------
    regime : str
        As in `steering_wheel_lash_limit`.
    weight_class : {"light", "heavy"}
        Gross vehicle weight rating of 10,000 lb or less, or above.
    rim_diameter : float, optional
        Nominal bead or rim diameter, metres; counts for heavy vehicles. Not given, the lowest
        limit stands and `note` says so.
    regimes : mapping
        Regimes as data.

    Returns
    -------
    Limit or None
        None where the regime prints no figure (393.209(d)): the maker's limit or a person
        decides. It is for linkage only: ball joints and bearings have no general figure.

    Examples
    --------
    >>> linkage_play_limit("us-570", "heavy", 0.5715).as_printed
    '1/2'
    >>> linkage_play_limit("us-393", "heavy") is None
    True
    """
    if weight_class not in WEIGHT_CLASSES:
        raise ValueError(f"weight_class must be one of {WEIGHT_CLASSES}")
    linkage = regimes[regime]["linkage"].get(weight_class)
    if linkage is None:
        return None
    rows = linkage["rows"]
    if rim_diameter is None:
        return _printed(rows[0][1], linkage["citation"], "rim_not_given" if len(rows) > 1 else "")
    if not 0 < rim_diameter <= _LARGEST_WHEEL:
        raise ValueError("rim_diameter must be in metres, above 0 and at most 1")
    figure = [figure for start, figure in rows if start * _INCH <= rim_diameter + 1e-9][-1]
    return _printed(figure, linkage["citation"])


def assess_play(play: float | None, limit: Limit | None) -> PlayAnswer:
    """Say what a play means against a limit.

    Parameters
    ----------
    play : float or None
        Metres; None when play was felt but not measured.
    limit : Limit or None
        None when no limit is known.

    Returns
    -------
    PlayAnswer
        ``past`` the line; ``inside`` the line, but play: plan the part; ``no_limit``: the
        maker's limit or a person decides; ``unmeasured``. At the line is inside: the rules say
        'not exceed'.

    Raises
    ------
    ValueError
        If `play` is negative or not finite.

    Examples
    --------
    >>> limit = linkage_play_limit("us-570", "light")
    >>> assess_play(0.00794, limit).answer, assess_play(0.00635, limit).answer
    (<Answer.PAST: 'past'>, <Answer.INSIDE: 'inside'>)
    >>> assess_play(0.001, None).answer
    <Answer.NO_LIMIT: 'no_limit'>
    """
    if play is None:
        return PlayAnswer(Answer.UNMEASURED, None, limit)
    if not (math.isfinite(play) and play >= 0):
        raise ValueError("play must be finite and not negative")
    if limit is None:
        return PlayAnswer(Answer.NO_LIMIT, play, None)
    past = play > limit.value + _AT_THE_LINE
    return PlayAnswer(Answer.PAST if past else Answer.INSIDE, play, limit)
