"""Bump steer from drag-link and track-bar geometry at ride height."""

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.bump_steer import LIMIT, TRAVEL, BumpSteer, Link, bump_steer, link_at_angle
from fleet.reads.reckoning import show
from fleet.reads.reckoning.answers import Answer, Column, Figure, Said, Table, refuse
from fleet.reads.reckoning.asked import NOT_JUDGED, Ask, Calculator
from fleet.reads.reckoning.centring import SIDES
from fleet.reads.reckoning.given import Given
from fleet.reads.reckoning.sleeve import PLACES

NAME = "bump-steer"
_STEPS = 5
_ORIGIN = gettext_lazy("two circles about the frame ends, in the plane across the vehicle")
TOO_SHORT = gettext_lazy("These links can't follow so much travel: measure them again.")
VERDICTS: dict[str, Any] = {
    "alike": gettext_lazy(
        "Drag link and track bar swing alike within %(limit)s over this travel (own limit)."
    ),
    "steers_over_bumps": gettext_lazy(
        "The axle steers over bumps: %(size)s at the drag link's end, over the limit of %(limit)s "
        "(own)."
    ),
}


def _link(given: Given, which: str) -> Link | None:
    """A link by its span and the heights of its ends; the axle end is away from its frame side."""
    across = given.length(f"{which}_across", least=0.1, most=2.0)
    frame, axle = (
        given.length(f"{which}_{end}", least=0.05, most=2.0) for end in ("frame", "axle")
    )
    side = given.choice(f"{which}_side")
    if across is None or frame is None or axle is None:
        return None
    return Link((0.0, frame), (across if side == "left" else -across, axle))


def work(given: Given, today: date) -> Answer:
    drag, bar = _link(given, "drag"), _link(given, "bar")
    travel = given.length("travel", least=0.01, most=0.3)
    arm = given.length("steering_arm", least=0.05, most=0.5)
    pitman = given.length("pitman_arm", least=0.05, most=0.5)
    ratio = given.number("gear_ratio", 5, 40, words=(":1", ": 1"))
    ahead = given.choice("arm_place") == "ahead"
    given.settle()
    steps = np.linspace(-1, 1, _STEPS) * (TRAVEL if travel is None else travel)
    try:
        found = bump_steer(
            given.must(drag), given.must(bar), steps, steering_arm=arm, arm_ahead_of_axle=ahead,
            pitman_arm=pitman, gear_ratio=ratio,
        )  # fmt: skip
    except ValueError:
        # The links can't follow so far, or the arm is shorter than what it would have to give.
        refuse("travel", "links_too_short", str(TOO_SHORT), "3 in")
    return _answer(found)


@dataclass(frozen=True, slots=True)
class Leaning:
    """A link by its length in metres and its angle to the ground, frame end higher positive."""

    length: float
    degrees: float


def judged(drag: Leaning, bar: Leaning, frame_side: str) -> Answer:
    """Judge two links at ride height over the usual travel; refused where they can't follow it."""
    try:
        drag_link, track_bar = (
            link_at_angle(one.length, one.degrees, frame_side) for one in (drag, bar)
        )
        return _answer(bump_steer(drag_link, track_bar, np.linspace(-TRAVEL, TRAVEL, _STEPS)))
    except ValueError:
        said = Said("links_too_short", str(TOO_SHORT), grave=True)
        return Answer(NAME, said, refused=True)


def _answer(found: BumpSteer) -> Answer:
    limit = show.both(LIMIT)
    words = {"limit": limit, "size": show.both(found.largest)}
    grave = found.verdict == "steers_over_bumps"
    common = _("near parallel and alike in length (common practice, no source)")
    angle = show.amount(found.angle_between, 1, "°")
    figures = (
        Figure("mismatch", _("Drag link's end off its place, at most"),
               show.lengths(found.largest)[::-1], _("%(limit)s (own)") % {"limit": limit},
               str(_ORIGIN), grave),
        Figure("angle_between", _("Drag link less track bar, at ride height"), angle, common,
               str(_ORIGIN)),
        Figure("length_ratio", _("Length of drag link over track bar"),
               show.ratio(found.length_ratio), common, str(_ORIGIN)),
    )  # fmt: skip
    text = _("A drop Pitman arm with no matching track-bar bracket steers over bumps and loads "
             "shaft and gear mounts. Roll of the axle and give in bushings are not in the "
             "sum.")  # fmt: skip
    return Answer(
        NAME,
        Said(found.verdict, str(VERDICTS[found.verdict]) % words, grave),
        figures,
        cautions=(Said("drop_arm", text, grave),),
        tables=(_table(found),),
    )


def _table(found: BumpSteer) -> Table:
    columns = [
        (Column("travel", _("Axle up"), "mm"), found.travel * 1000, 0),
        (Column("shift", _("Axle to the right"), "mm"), found.axle_shift * 1000, 1),
        (Column("mismatch", _("Drag link's end off"), "mm"), found.mismatch * 1000, 1),
    ]
    if found.steer_degrees is not None:
        columns.append((Column("steer", _("Steers right"), "°"), found.steer_degrees, 2))
    if found.wheel_degrees is not None:
        columns.append((Column("wheel", _("Steering wheel"), "°"), found.wheel_degrees, 1))
    rows = zip(*(
        [show.number(float(value), places) for value in values] for _c, values, places in columns
    ), strict=True)  # fmt: skip
    return Table(
        "travel", _("Over the travel"), tuple(column for column, _v, _p in columns), tuple(rows),
        str(NOT_JUDGED), str(_ORIGIN),
    )  # fmt: skip


def _link_asks(which: str, group: Any, frame: Any) -> tuple[Ask, ...]:
    return (
        Ask(f"{which}_side", gettext_lazy("Frame end on the"), "choice", choices=SIDES[::-1],
            default="left", group=group),
        Ask(f"{which}_across", gettext_lazy("Across, end to end"), "length", example="33 in",
            example_metric="840 mm", needed=True, group=group),
        Ask(f"{which}_frame", frame, "length", example="22 in", example_metric="560 mm",
            needed=True, group=group),
        Ask(f"{which}_axle", gettext_lazy("Height of the axle end"), "length", example="18 in",
            example_metric="460 mm", needed=True, group=group),
    )  # fmt: skip


_DEGREES = gettext_lazy("For the degrees")
CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Bump steer"),
    gettext_lazy(
        "How far the axle steers when it moves up and down, from four heights above level ground "
        "at ride height. For vehicles whose ride height, arm or bracket was changed."
    ),
    (
        *_link_asks("drag", gettext_lazy("Drag link"),
                    gettext_lazy("Height of the Pitman-arm end")),
        *_link_asks("bar", gettext_lazy("Track bar"), gettext_lazy("Height of the frame end")),
        Ask("travel", gettext_lazy("Travel each way"), "length", example="3 in",
            example_metric="75 mm", hint=gettext_lazy("75 mm if left empty (own).")),
        Ask("steering_arm", gettext_lazy("Steering arm of the drag link"), "length",
            example="7 in", example_metric="178 mm", group=_DEGREES, folded=True),
        Ask("arm_place", gettext_lazy("That arm stands"), "choice", choices=PLACES,
            default="behind", group=_DEGREES, folded=True),
        Ask("pitman_arm", gettext_lazy("Pitman arm"), "length", example="6 in",
            example_metric="152 mm", group=_DEGREES, folded=True),
        Ask("gear_ratio", gettext_lazy("Ratio of the gear"), "number", example="16", unit=": 1",
            group=_DEGREES, folded=True),
    ),
    work,
    gettext_lazy(
        "Measure on its wheels, on level ground. A raised vehicle stands on stands. The lift "
        "maker's and vehicle maker's information governs."
    ),
    _ORIGIN,
)  # fmt: skip
