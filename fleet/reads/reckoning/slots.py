"""A slotted nut whose slot misses the pin hole: how far on, and how far the nut advances."""

from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.fastener_text import FastenerTextError, parse_thread
from fleet.calc.slotted_nuts import (
    FEWEST_SLOTS,
    MOST_SLOTS,
    SlotRefused,
    SlotTurn,
    slotted_nut_turn,
)
from fleet.reads.reckoning import show, why
from fleet.reads.reckoning.answers import Answer, FieldProblem, Figure, Said
from fleet.reads.reckoning.asked import GOVERNS, Ask, Calculator
from fleet.reads.reckoning.clamp import band
from fleet.reads.reckoning.given import Given, unread

NAME = "slotted-nut"
_CIRCLE = 360
_ORIGIN = gettext_lazy(
    "On to the next slot, never back, never past the high side: FAA AC 43.13-1B p. 7-7 as quoted, "
    "and a service manual's general section"
)
HELD: tuple[tuple[str, Any], ...] = (
    ("slotted_bolt", gettext_lazy("Straight bolt")),
    ("slotted_stud", gettext_lazy("Tapered stud: rod end, ball joint")),
    ("tapered_shaft", gettext_lazy("Pitman-arm nut")),
    ("adjusting_nut", gettext_lazy("Wheel-bearing adjusting nut")),
)


def work(given: Given, today: date) -> Answer:
    held_by = given.choice("held_by")
    if held_by in ("adjusting_nut", "tapered_shaft"):
        return _refused(held_by)
    slots = _slots(given)
    degrees = given.number("to_next", 0, _CIRCLE / FEWEST_SLOTS, words=("°", "deg", "degrees"))
    now, spec = given.torque("torque_now"), band(given, "low", "high")
    pitch = given.read("thread", lambda text, ask: _pitch(given, text, ask))
    if slots and degrees is not None and degrees > _CIRCLE / slots:
        step = _CIRCLE // slots
        message = _("A nut of %(slots)s slots has one each %(step)s°: the next is no further.")
        given.wrong("to_next", "past_a_step", message % {"slots": slots, "step": step}, str(step))
    given.settle()
    slots = given.must(slots)
    turn = slotted_nut_turn(
        slots, given.must(degrees), given.must(now), *given.must(spec), held_by=held_by,
        tighten_on=given.tick("tighten_on"), hole_above_slots=given.tick("hole_above_slots"),
    )  # fmt: skip
    return _refused(turn.code) if isinstance(turn, SlotRefused) else _turn(turn, slots, pitch)


def _refused(code: str) -> Answer:
    return Answer(NAME, Said(code, str(why.SLOT[code]), grave=True), refused=True)


def _slots(given: Given) -> int | None:
    found = given.number("slots", FEWEST_SLOTS, MOST_SLOTS)
    if found is not None and found % 2:
        given.wrong("slots", "odd", _("The pin goes through two slots: an even number."), "6")
        return None
    return None if found is None else int(found)


def _pitch(given: Given, text: str, ask: Ask) -> float | None:
    try:
        thread = parse_thread(text)
    except FastenerTextError as error:
        message = unread(text, "", why.FASTENER[error.code], error.hint)
        given.problems.append(FieldProblem(ask.name, error.code, message, error.hint))
        return None
    given.read_as(ask.name, thread.name)
    return thread.pitch


def _turn(turn: SlotTurn, slots: int, pitch: float | None) -> Answer:
    origin, step = str(_ORIGIN), _CIRCLE / slots
    limit = (
        _("one slot at most: %(step)s°") % {"step": show.number(step, 0)}
        if turn.up_to is None
        else _("stop at %(torque)s") % {"torque": show.torque(turn.up_to)}
    )
    figures = [
        Figure("degrees", _("Turn on"), show.amount(turn.degrees, 0, "°"),
               limit, origin),
        Figure("step", _("From slot to slot"), show.amount(step, 0, "°"),
               _("one turn over %(slots)s slots") % {"slots": slots}, _("computed")),
    ]  # fmt: skip
    if pitch is not None:
        along = pitch * turn.degrees / _CIRCLE
        origin = _("pitch times degrees over 360; threads of ISO 261 and ASME B1.1")
        advance = show.amount(along * 1000, 2, "mm")
        figures.append(Figure("advance", _("The nut advances"), advance, limit, origin))
    return Answer(NAME, _verdict(turn), tuple(figures), cautions=_cautions(turn))


def _verdict(turn: SlotTurn) -> Said:
    if turn.degrees == 0:
        return Said("aligned", _("The slot stands at the hole: a new pin goes in as it is."))
    words = {"degrees": show.number(turn.degrees, 0)}
    if turn.up_to is None:
        text = _("On by %(degrees)s°, one slot at most, and write the degrees down. Never back.")
        return Said("turn_on_by_degrees", text % words)
    words["torque"] = show.torque(turn.up_to)
    text = _("On by %(degrees)s° while the wrench stays at or under %(torque)s. Never back.")
    return Said("turn_on", text % words)


def _cautions(turn: SlotTurn) -> tuple[Said, ...]:
    new_pin = Said("new_pin", _("A new pin each time. A tapered stud gets no washer."))
    if turn.up_to is None or turn.degrees == 0:
        return (new_pin,)
    text = _("If the wrench comes to the high side first: stop. No slot lines up, and it is not "
             "backed off.")  # fmt: skip
    return (Said("stop_at_high", text), new_pin)


_T: dict[str, Any] = {"kind": "torque", "example": "60 lbf·ft", "example_metric": "81 N·m"}
CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Slotted nut, on to the pin"),
    gettext_lazy("Whether a slotted nut may be turned on to its next slot, and how far."),
    (
        Ask("held_by", gettext_lazy("Where the nut is"), "choice", choices=HELD,
            default="slotted_bolt"),
        Ask("torque_now", gettext_lazy("The wrench reads now"), needed=True, **_T),
        Ask("low", gettext_lazy("Figure, or its low side"), needed=True, **_T),
        Ask("high", gettext_lazy("High side"), **_T),
        Ask("slots", gettext_lazy("Slots around the nut"), "number", example="6", default="6",
            needed=True),
        Ask("to_next", gettext_lazy("To the next slot on"), "number", example="20", unit="°",
            needed=True,
            hint=gettext_lazy("In the tightening direction; 0 where the pin goes in.")),
        Ask("thread", gettext_lazy("Thread"), example="M16 x 1.5",
            hint=gettext_lazy("To see how far the nut advances.")),
        Ask("tighten_on", gettext_lazy("One figure, and the maker says to tighten on to the slot"),
            "tick"),
        Ask("hole_above_slots", gettext_lazy("The pin hole stands above the slots"), "tick"),
    ),
    work,
    GOVERNS,
    _ORIGIN,
)  # fmt: skip
