"""Play against published limits: three answers, and none of them is 'good'.

`judged` takes a play and its limits in metres, for whatever else shows a play measured.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.limits import (
    HEAVY,
    LIGHT,
    REGIMES,
    Limit,
    assess_play,
    linkage_play_limit,
    steering_wheel_lash_limit,
)
from fleet.calc.limits import Answer as Line
from fleet.reads.reckoning import show
from fleet.reads.reckoning.answers import Answer, Figure, Said
from fleet.reads.reckoning.asked import Ask, Calculator
from fleet.reads.reckoning.given import Given

NAME = "play-limits"
LASH, LINKAGE = "lash", "linkage"

JOINTS: tuple[tuple[str, Any], ...] = (
    (LASH, gettext_lazy("Steering wheel, at its rim")),
    (LINKAGE, gettext_lazy("Steering linkage, at the tire tread")),
    ("ball_joint", gettext_lazy("Ball joint")),
    ("kingpin", gettext_lazy("Kingpin")),
    ("wheel_bearing", gettext_lazy("Wheel bearing")),
    ("track_bar", gettext_lazy("Track bar, either end")),
)
CLASSES: tuple[tuple[str, Any], ...] = (
    (LIGHT, gettext_lazy("10,000 lb or less")),
    (HEAVY, gettext_lazy("over 10,000 lb")),
)
POWER: tuple[tuple[str, Any], ...] = (
    ("yes", gettext_lazy("power assisted")),
    ("no", gettext_lazy("manual")),
)
#: Rules that a vehicle may come under; both are shown unless one is chosen.
RULES: tuple[tuple[str, Any], ...] = (
    ("all", gettext_lazy("all that are listed")),
    ("us-570", gettext_lazy("49 CFR 570, vehicles in use (a model for states)")),
    ("us-393", gettext_lazy("49 CFR 393, commercial motor vehicles")),
)
NO_FIGURE: dict[str, Any] = {
    "ball_joint": gettext_lazy(
        "No general figure: the wear indicator or the maker's limit, or a person decides "
        "(49 CFR 570.8 prints no figure)."
    ),
    "kingpin": gettext_lazy("No general figure: the maker's limit, or a person decides."),
    "wheel_bearing": gettext_lazy("No general figure: the maker's end play, or a person decides."),
    "track_bar": gettext_lazy(
        "No general figure: the maker's limit, or a person decides. Any play at a track-bar end "
        "holds the vehicle by default (common practice, no source)."
    ),
    LASH: gettext_lazy("No figure in the rules chosen: the maker's limit, or a person decides."),
    LINKAGE: gettext_lazy(
        "No figure in the rules chosen (393.209(d): not worn, faulty or welded): the maker's "
        "limit, or a person decides."
    ),
}
ANSWERS: dict[Line, Any] = {
    Line.PAST: gettext_lazy("Past the line of %(of)s."),
    Line.INSIDE: gettext_lazy(
        "Inside the line of %(of)s, but play: plan the part. A legal line is not a service limit."
    ),
    Line.NO_LIMIT: gettext_lazy("No limit is known: the maker's limit, or a person decides."),
    Line.UNMEASURED: gettext_lazy(
        "Not measured. On a joint that warrants a hold, play felt and not measured holds."
    ),
}
NOTES: dict[str, Any] = {
    "next_lower": gettext_lazy("wheel not listed: the next lower row is taken"),
    "by_angle": gettext_lazy("wheel not listed: by the rule's angle at the rim"),
    "rim_not_given": gettext_lazy("rim not given: the lowest row is taken"),
    "": "",
}


@dataclass(frozen=True, slots=True)
class Named:
    """A limit with its key: a regime's, or the maker's."""

    key: str
    limit: Limit


def judged(joint: str, play: float | None, limits: Sequence[Named]) -> Answer:
    """Judge play of a joint, metres or None where it was felt only."""
    found = [(named, assess_play(play, named.limit).answer) for named in limits]
    past = [(named, line) for named, line in found if line is Line.PAST]
    general = Said("no_general_figure", str(NO_FIGURE[joint]), joint == "track_bar")
    cautions = () if any(named.key in REGIMES for named, _line in found) else (general,)
    if play == 0:
        verdict = Said("no_play", _("No play measured, by this check. That calls no joint good."))
    elif found:
        named, line = (past or found)[0]
        text = str(ANSWERS[line]) % {"of": named.limit.citation}
        verdict = Said(line.value, text, line is Line.PAST or joint == "track_bar")
    else:
        line = assess_play(play, None).answer
        verdict = Said(line.value, str(ANSWERS[line]), joint == "track_bar")
    rows = tuple(_row(named, line, play) for named, line in found)
    return Answer(NAME, verdict, rows, cautions=cautions)


def _row(named: Named, line: Line, play: float | None) -> Figure:
    limit = named.limit
    # A degree sign keeps to its figure: no space in which a line could end.
    printed = f"{limit.as_printed}{'°' if limit.unit == 'deg' else f' {limit.unit}'}"
    words = {Line.PAST: _("past it"), Line.INSIDE: _("inside it, but play"),
             Line.UNMEASURED: _("play not measured")}  # fmt: skip
    said = words.get(line, "")
    if play is not None:
        outcome = _("no play") if play == 0 else said
        said = _("play of %(play)s: %(said)s") % {"play": show.both(play), "said": outcome}
    origin = f"{limit.citation}; {NOTES[limit.note]}" if limit.note else limit.citation
    label = _("Limit, %(printed)s as printed") % {"printed": printed}
    return Figure(named.key, label, show.lengths(limit.value), said, origin, line is Line.PAST)


def work(given: Given, today: date) -> Answer:
    joint, weight, rule = given.choice("joint"), given.choice("weight"), given.choice("rule")
    power = given.choice("power") == "yes"
    play = given.length("play", most=0.5)
    wheel = given.length("wheel_diameter", least=0.2, most=0.8)
    rim = given.length("rim_diameter", least=0.2, most=0.8)
    maker = given.length("maker_limit", least=0.00001, most=0.5)
    if joint == LASH and wheel is None and not given.problems:
        given.wrong(
            "wheel_diameter", "missing", _("The limit goes by the steering wheel."), "16 in"
        )
    given.settle()
    limits = _limits(joint, weight, rule, power, wheel, rim)
    if maker is not None:
        own = Limit(maker, show.inches(maker), "in", _("the maker's limit, as typed"))
        limits.append(Named("maker", own))
    return judged(joint, play, limits)


def _limits(
    joint: str, weight: str, rule: str, power: bool, wheel: float | None, rim: float | None
) -> list[Named]:
    found = []
    for regime in REGIMES if rule == "all" else (rule,):
        limit = None
        if joint == LASH and wheel is not None:
            limit = steering_wheel_lash_limit(regime, wheel, power, weight_class=weight)
        elif joint == LINKAGE:
            limit = linkage_play_limit(regime, weight, rim)
        if limit is not None:
            found.append(Named(regime, limit))
    return found


CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Lash and linkage play"),
    gettext_lazy("The published limit, with its citation, and what a measured play says."),
    (
        Ask("joint", gettext_lazy("Where"), "choice", choices=JOINTS, default=LASH),
        Ask("play", gettext_lazy("Play measured"), "length", example="1 1/2 in",
            example_metric="38 mm",
            hint=gettext_lazy("Leave empty where it was felt and not measured.")),
        Ask("weight", gettext_lazy("Gross weight rating"), "choice", choices=CLASSES,
            default=LIGHT),
        Ask("rule", gettext_lazy("Rules"), "choice", choices=RULES, default="all"),
        Ask("wheel_diameter", gettext_lazy("Steering wheel across"), "length", example="16 in",
            example_metric="406 mm", group=gettext_lazy("For the steering wheel")),
        Ask("power", gettext_lazy("Steering"), "choice", choices=POWER, default="yes",
            group=gettext_lazy("For the steering wheel"),
            hint=gettext_lazy("With power: engine running, wheels straight ahead.")),
        Ask("rim_diameter", gettext_lazy("Rim or bead, across"), "length", example="19 1/2 in",
            example_metric="495 mm", group=gettext_lazy("For linkage over 10,000 lb"), folded=True),
        Ask("maker_limit", gettext_lazy("The maker's limit"), "length", example="0.060 in",
            example_metric="1.5 mm", folded=True,
            group=gettext_lazy("If service information gives one")),
    ),
    work,
    gettext_lazy(
        "A legal line is not a service limit, and nothing here is called good. The maker's limit "
        "governs; where there is none, a person decides."
    ),
    gettext_lazy("49 CFR 570.7, 570.60 and 393.209"),
)  # fmt: skip
