"""Turns of a sleeve for a change of toe, and which way: for this vehicle's linkage.

`judged` takes figures in SI, so that a ticket line is told what the Reckoner tells.
"""

import re
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.alignment import turn_direction, turns_for_toe
from fleet.reads.reckoning import show
from fleet.reads.reckoning.answers import Amount, Answer, Figure, Said
from fleet.reads.reckoning.asked import METRIC, Ask, Calculator
from fleet.reads.reckoning.given import Given, unread
from fleet.reads.reckoning.toe import SPANS

NAME = "sleeve-turns"
_INCH = 0.0254
_PER_INCH = re.compile(r"(?P<n>\d{1,2})\s*(?:(?:threads?\s*)?(?:per|an?|/)\s*inc?h?\.?|tpi)?", re.I)
_PITCH = re.compile(r"(?P<n>\d{1,2}(?:[.,]\d{1,2})?)\s*mm", re.I)
_THREADS, _PITCHES = (6, 40), (0.5, 5.0)

ENDS: tuple[tuple[str, Any], ...] = (
    ("left_hand", gettext_lazy("left-hand thread")),
    ("right_hand", gettext_lazy("right-hand thread too")),
    ("still", gettext_lazy("does not turn in the sleeve")),
)
PLACES: tuple[tuple[str, Any], ...] = (
    ("behind", gettext_lazy("behind the axle")),
    ("ahead", gettext_lazy("ahead of the axle")),
)
ORIGIN = gettext_lazy("geometry, computed here; no worked example was found published")


def lead(given: Given, name: str) -> float | None:
    """How far one turn goes along a thread: '18' threads an inch, or '1.5 mm'."""

    def read(text: str, ask: Ask) -> float | None:
        if found := _PITCH.fullmatch(text):
            pitch = float(found["n"].replace(",", "."))
        elif (found := _PER_INCH.fullmatch(text)) and given.units != METRIC:
            return _per_inch(given, name, int(found["n"]))
        elif re.fullmatch(r"\d{1,2}(?:[.,]\d{1,2})?", text) and given.units == METRIC:
            pitch = float(text.replace(",", "."))
        elif found := _PER_INCH.fullmatch(text):
            return _per_inch(given, name, int(found["n"]))
        else:
            hint = ask.example_for(given.units)
            why = _("a thread is threads an inch, or a pitch in mm")
            given.wrong(name, "no_thread", unread(text, "", why, hint), hint)
            return None
        if not _PITCHES[0] <= pitch <= _PITCHES[1]:
            _out(given, name, "1.5 mm")
            return None
        given.read_as(name, _("%(pitch)s mm a turn") % {"pitch": f"{pitch:g}"})
        return pitch / 1000

    return given.read(name, read)


def _per_inch(given: Given, name: str, threads: int) -> float | None:
    if not _THREADS[0] <= threads <= _THREADS[1]:
        _out(given, name, "18")
        return None
    words = {"n": threads, "pitch": show.number(25.4 / threads, 2)}
    given.read_as(name, _("%(n)s threads an inch = %(pitch)s mm a turn") % words)
    return float(Fraction(1, threads)) * _INCH


def _out(given: Given, name: str, hint: str) -> None:
    message = _("No sleeve has such a thread: 6 to 40 threads an inch, 0.5 to 5 mm.")
    given.wrong(name, "out_of_reach", message, hint)


def leads(given: Given) -> tuple[float, float] | None:
    """Signed leads of the two ends, as the arithmetic wants them."""
    first, other = lead(given, "thread"), lead(given, "other_thread")
    end = given.choice("other_end")
    if first is None:
        return None
    if end == "still":
        return first, 0.0
    second = first if other is None else other
    if end == "right_hand" and abs(first - second) < show.NEAR:
        message = _("Two right-hand threads of one pitch move nothing: look at the threads again.")
        given.wrong("other_thread", "leads_cancel", message)
        return None
    return first, second if end == "left_hand" else -second


def turn_rows(turns: float, pair: tuple[float, float], limit: str) -> tuple[Figure, ...]:
    """A turn of a sleeve in turns, degrees, and what it does to the length."""
    of, longer = str(ORIGIN), turns * abs(sum(pair))
    turned = (
        Amount(show.number(abs(turns), 2), _("turns"), turns),
        Amount(show.number(abs(turns) * 360, 0), "°", turns * 360),
    )
    return (
        Figure("turns", _("Turn the sleeve"), turned, limit, of),
        Figure("longer", _("Length changes by"), show.lengths(longer), limit,
               _("turns times the lead of both ends; minus is shorter")),
    )  # fmt: skip


def turn_words(turns: float, pair: tuple[float, float], what: str) -> str:
    """Which way, as somebody stands at the sleeve."""
    ways = {"clockwise": _("clockwise"), "counterclockwise": _("counterclockwise")}
    way = turn_direction(turns, *pair)
    if way == "none":
        return _("Nothing to turn.")
    longer = turns > 0
    end = _("seen from the end with the right-hand thread")
    if sum(pair) != abs(pair[0]) + abs(pair[1]):
        end = _("seen from the first end")
    words = {"turns": show.number(abs(turns), 2), "degrees": show.number(abs(turns) * 360, 0),
             "way": ways[way], "end": end, "what": what}  # fmt: skip
    if longer:
        return (
            _("%(turns)s turn (%(degrees)s°) %(way)s, %(end)s: the %(what)s gets longer.") % words
        )
    return _("%(turns)s turn (%(degrees)s°) %(way)s, %(end)s: the %(what)s gets shorter.") % words


CLAMPS = gettext_lazy(
    "Loosen both clamps first, keep the maker's least engagement at each end, both rod ends in the "
    "middle of their travel, then clamp and read again. Play and a rolled tire are not in the sum."
)


def arm(given: Given) -> float | None:
    """From the steering axis to the line of the tie rod, square to it."""
    return given.length("steering_arm", least=0.05, most=0.5)


def work(given: Given, today: date) -> Answer:
    now = given.length("toe_now", signed=True, least=-0.1, most=0.1)
    wanted = given.length("toe_wanted", signed=True, least=-0.1, most=0.1)
    span = given.length("span", least=SPANS[0], most=SPANS[1])
    steering_arm = arm(given)
    ahead, pair = given.choice("tie_rod") == "ahead", leads(given)
    given.settle()
    rod = Rod(given.must(steering_arm), given.must(pair), ahead)
    return judged(given.must(wanted) - given.must(now), given.must(span), rod)


@dataclass(frozen=True, slots=True)
class Rod:
    """A tie rod with its sleeve: steering arm in metres, signed leads, and where it lies."""

    steering_arm: float
    leads: tuple[float, float]
    ahead: bool


def judged(change: float, span: float, rod: Rod) -> Answer:
    """Say how far and which way for a change of toe, metres, towards toe-in positive."""
    turns = turns_for_toe(change, span, rod.steering_arm, *rod.leads, rod.ahead)
    limit = _("toe to change by %(size)s towards %(side)s") % {
        "size": show.both(abs(change)), "side": show.toe_side(change),
    }  # fmt: skip
    code = "nothing_to_turn" if turns == 0 else ("lengthen" if turns > 0 else "shorten")
    return Answer(
        NAME,
        Said(code, turn_words(turns, rod.leads, _("tie rod"))),
        turn_rows(turns, rod.leads, limit),
        cautions=(Said("clamps", str(CLAMPS)),),
    )


THREAD_ASKS: tuple[Ask, ...] = (
    Ask("thread", gettext_lazy("Thread of the right-hand end"), example="18",
        example_metric="1.5 mm", needed=True,
        hint=gettext_lazy("Threads an inch, or the pitch in mm.")),
    Ask("other_end", gettext_lazy("The other end"), "choice", choices=ENDS, default="left_hand"),
    Ask("other_thread", gettext_lazy("Thread of the other end"), example="18",
        example_metric="1.5 mm", hint=gettext_lazy("Leave empty where it is the same.")),
)  # fmt: skip
CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Sleeve turns for toe"),
    gettext_lazy("How far the tie-rod sleeve is turned, and which way, for this linkage."),
    (
        Ask("toe_now", gettext_lazy("Toe now"), "length", example="-1/16 in",
            example_metric="-1.5 mm", needed=True,
            hint=gettext_lazy("Total toe; toe-out with a minus.")),
        Ask("toe_wanted", gettext_lazy("Toe wanted"), "length", example="1/16 in",
            example_metric="1.5 mm", needed=True),
        Ask("span", gettext_lazy("Span of the marks on one tire"), "length", example="29 in",
            example_metric="740 mm", needed=True),
        Ask("steering_arm", gettext_lazy("Steering arm"), "length", example="7 in",
            example_metric="178 mm", needed=True,
            hint=gettext_lazy("From the steering axis to the line of the tie rod, square to it.")),
        Ask("tie_rod", gettext_lazy("The tie rod lies"), "choice", choices=PLACES,
            default="behind"),
        *THREAD_ASKS,
    ),
    work,
    gettext_lazy(
        "Toe and wheel center are set together; a full alignment on a rack follows once a steering "
        "link was opened. Service information for the vehicle governs."
    ),
    ORIGIN,
)  # fmt: skip
