"""Steering wheel off its center: turns of the drag link's sleeve, and which way."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.alignment import longer_link_turns_wheel_right, turns_to_centre_wheel
from fleet.reads.reckoning import sleeve
from fleet.reads.reckoning.answers import Answer, Said
from fleet.reads.reckoning.asked import Ask, Calculator
from fleet.reads.reckoning.given import Given

NAME = "wheel-center"
MOST_OFF = 180.0
SIDES: tuple[tuple[str, Any], ...] = (
    ("right", gettext_lazy("right")),
    ("left", gettext_lazy("left")),
)
LINKS: tuple[tuple[str, Any], ...] = (
    ("left_behind", gettext_lazy("across; gear on the left, arm behind the axle")),
    ("left_ahead", gettext_lazy("across; gear on the left, arm ahead of the axle")),
    ("right_behind", gettext_lazy("across; gear on the right, arm behind the axle")),
    ("right_ahead", gettext_lazy("across; gear on the right, arm ahead of the axle")),
    ("fore_right", gettext_lazy("fore and aft; a longer link turns the wheel right")),
    ("fore_left", gettext_lazy("fore and aft; a longer link turns the wheel left")),
)


def _longer_turns_right(link: str) -> bool:
    first, place = link.split("_")
    if first == "fore":
        return place == "right"
    return longer_link_turns_wheel_right(first, arm_ahead_of_axle=place == "ahead")


def ratio(given: Given) -> float | None:
    """Degrees of steering wheel for one of the Pitman arm."""
    return given.number("gear_ratio", 5, 40, words=(":1", ": 1"))


def arm(given: Given) -> float | None:
    """From the sector shaft to the drag link, square to it."""
    return given.length("pitman_arm", least=0.05, most=0.5)


def work(given: Given, today: date) -> Answer:
    degrees = given.number("degrees_off", 0, MOST_OFF, words=("°", "deg", "degrees"))
    right, link = given.choice("side") == "right", given.choice("link")
    gear_ratio, pitman_arm = ratio(given), arm(given)
    pair = sleeve.leads(given)
    given.settle()
    drag_link = DragLink(
        given.must(gear_ratio), given.must(pitman_arm), given.must(pair), _longer_turns_right(link)
    )
    return judged(given.must(degrees) * (1 if right else -1), drag_link)


@dataclass(frozen=True, slots=True)
class DragLink:
    """A drag link with its sleeve: gear, Pitman arm in metres, signed leads, and its sense."""

    gear_ratio: float
    pitman_arm: float
    leads: tuple[float, float]
    longer_turns_right: bool


def judged(off: float, link: DragLink) -> Answer:
    """Say how far and which way for a wheel so many degrees off, to the right positive."""
    turns = turns_to_centre_wheel(
        off, link.gear_ratio, link.pitman_arm, *link.leads, link.longer_turns_right
    )
    limit = _("wheel %(off)s° off to the %(side)s") % {
        "off": f"{abs(off):g}", "side": dict(SIDES)["right" if off >= 0 else "left"],
    }  # fmt: skip
    code = "nothing_to_turn" if turns == 0 else ("lengthen" if turns > 0 else "shorten")
    return Answer(
        NAME,
        Said(code, sleeve.turn_words(turns, link.leads, _("drag link"))),
        sleeve.turn_rows(turns, link.leads, limit),
        cautions=(Said("clamps", str(sleeve.CLAMPS)),),
    )


CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Wheel centering by the drag link"),
    gettext_lazy("How far the drag-link sleeve is turned to bring the steering wheel straight."),
    (
        Ask("degrees_off", gettext_lazy("Wheel off by"), "number", example="10", unit="°",
            needed=True, hint=gettext_lazy("With the truck running straight.")),
        Ask("side", gettext_lazy("Turned to the"), "choice", choices=SIDES, default="right"),
        Ask("gear_ratio", gettext_lazy("Ratio of the gear"), "number", example="16", unit=": 1",
            needed=True, hint=gettext_lazy("Degrees of wheel for one of the Pitman arm.")),
        Ask("pitman_arm", gettext_lazy("Pitman arm"), "length", example="6 in",
            example_metric="152 mm", needed=True,
            hint=gettext_lazy("From the sector shaft to the drag link, square to it.")),
        Ask("link", gettext_lazy("The drag link runs"), "choice", choices=LINKS,
            default="left_behind"),
        *sleeve.THREAD_ASKS,
    ),
    work,
    gettext_lazy(
        "The gear is set on its center first (turns lock to lock, halved); the wheel is never "
        "moved on its spline to hide the rest. Where the tie rod joins the drag link, toe changes "
        "with it: read it again."
    ),
    sleeve.ORIGIN,
)  # fmt: skip
