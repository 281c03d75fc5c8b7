"""Toe from tape readings: as found and as left, in inches, millimeters and degrees, judged.

`judged` takes readings in metres, so that a ticket line is judged as the Reckoner judges what is
typed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.alignment import (
    Repeat,
    legal_toe,
    repeat_readings,
    scuff_feet_per_mile,
    toe_against_spec,
    toe_angle_degrees,
    toe_from_angle,
    toe_from_widths,
)
from fleet.calc.limits import Answer as Line
from fleet.reads.reckoning import show
from fleet.reads.reckoning.answers import Amount, Answer, Figure, Said
from fleet.reads.reckoning.asked import GOVERNS, NOT_JUDGED, Ask, Calculator
from fleet.reads.reckoning.given import Given

NAME = "toe"
READINGS = (1, 2, 3)
SPANS = (0.25, 1.6)
MOST_TOE = 0.1  # metres; more is a slip of the tape
_ORIGIN = gettext_lazy("behind less in front, toe-in positive")
_ANGLE = gettext_lazy("2 asin(toe / 2 span)")

SPEC: dict[str, Any] = {
    "in_spec": gettext_lazy("within the maker's range"),
    "below": gettext_lazy("below the maker's range, towards toe-out"),
    "above": gettext_lazy("above the maker's range, towards toe-in"),
    "no_spec": gettext_lazy("not judged: type the maker's range"),
}
WARNINGS: dict[str, Any] = {
    "one_reading": gettext_lazy(
        "One reading has no spread to tell by: roll ahead half a turn and read again, three times."
    ),
    "spread_as_large": gettext_lazy(
        "The readings spread as far as the correction is large: it means nothing yet. Look for "
        "play, a wheel out of true or the tape, and read again."
    ),
}


@dataclass(frozen=True, slots=True)
class Against:
    """What toe is judged against: span of the marks, and the maker's range; metres or None."""

    span: float | None = None
    spec: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class State:
    """As found or as left: its key, its name, and toe of each reading in metres."""

    key: str
    name: str
    toes: Sequence[float]


def judged(states: Sequence[State], against: Against) -> Answer:
    """Judge the toe of one visit; the last state decides the verdict."""
    target = sum(against.spec) / 2 if against.spec else None
    read = [(state, repeat_readings(state.toes, target)) for state in states]
    figures = [row for state, found in read for row in _figures(state, found, against)]
    said = " ".join(_sentence(state, found, against) for state, found in read)
    last = read[-1][1]
    code, line = "no_spec", None
    if against.spec:
        code = toe_against_spec(last.mean, *against.spec).answer
        line = legal_toe(last.mean, *against.spec).answer
    grave = code in ("below", "above") or line is Line.PAST
    cautions = tuple(_cautions(last, against, line))
    return Answer(NAME, Said(code, said, grave), tuple(figures), cautions=cautions)


def _sentence(state: State, found: Repeat, against: Against) -> str:
    code = toe_against_spec(found.mean, *against.spec).answer if against.spec else "no_spec"
    size = show.both(abs(found.mean))
    parts = {"state": state.name, "toe": f"{size} {show.toe_side(found.mean)}", "spec": SPEC[code]}
    return _("%(state)s: %(toe)s, %(spec)s.") % parts


def _figures(state: State, found: Repeat, against: Against) -> list[Figure]:
    toe, n = found.mean, len(state.toes)
    names = {"state": state.name, "side": show.toe_side(toe), "n": n, "how": _ORIGIN}
    of = str(_ORIGIN) if n == 1 else _("mean of %(n)s readings, %(how)s") % names
    grave = against.spec is not None and (
        toe_against_spec(toe, *against.spec).answer != "in_spec"
    )  # fmt: skip
    amounts: tuple[Amount, ...] = show.lengths(abs(toe))
    rows = []
    if against.span is not None:
        amounts = (*amounts, *_degrees(abs(toe), against.span))
        of = _("%(of)s; degrees %(how)s, span %(span)s") % {
            "of": of, "how": _ANGLE, "span": show.both(against.span),
        }  # fmt: skip
        rows.append(_slip(state, toe, against.span))
    label = _("%(state)s, %(side)s") % names
    rows.insert(0, Figure(state.key, label, amounts, _spec_words(against), of, grave))
    if n > 1:
        rows.append(
            Figure(f"{state.key}_spread", _("%(state)s, spread") % names,
                   show.lengths(found.spread), _correction(found),
                   _("largest less smallest of %(n)s") % names,
                   found.warning == "spread_as_large")
        )  # fmt: skip
    return rows


def _degrees(toe: float, span: float) -> tuple[Amount, Amount]:
    degrees = toe_angle_degrees(toe, span)
    return (
        Amount(show.number(degrees, 2), _("° both wheels"), degrees),
        Amount(show.number(degrees / 2, 2), _("° one wheel"), degrees / 2),
    )


def _slip(state: State, toe: float, span: float) -> Figure:
    slip = scuff_feet_per_mile(abs(toe), span)
    return Figure(
        f"{state.key}_slip", _("%(state)s, on a side-slip gauge") % {"state": state.name},
        (Amount(show.number(slip, 1), _("ft a mile"), slip),), str(NOT_JUDGED),
        _("5280 toe / tire diameter; 49 CFR 570.7(d) Table I (from memory, unverified)"),
    )  # fmt: skip


def _spec_words(against: Against) -> str:
    if against.spec is None:
        return str(SPEC["no_spec"])
    low, high = (signed(side) for side in against.spec)
    return _("maker's range %(low)s to %(high)s") % {"low": low, "high": high}


def signed(toe: float) -> str:
    """'1/16 in (1.6 mm) toe-in'."""
    return f"{show.both(abs(toe))} {show.toe_side(toe)}" if abs(toe) > show.NEAR else show.both(0.0)


def _correction(found: Repeat) -> str:
    if found.correction is None:
        return str(NOT_JUDGED)
    return _("correction of %(size)s to the middle of the range") % {
        "size": show.both(abs(found.correction))
    }


def _cautions(last: Repeat, against: Against, line: Line | None) -> list[Said]:
    found = []
    if last.warning:
        found.append(Said(last.warning, str(WARNINGS[last.warning]), last.warning != "one_reading"))
    if against.span is None:
        text = _("Without the span of the marks no angle can be said: toe over a rim and over a "
                 "tread are different angles.")  # fmt: skip
        found.append(Said("no_span", text))
    if line is not None and against.spec is not None:
        found.append(_legal(last.mean, against.spec, line))
    return found


def _legal(toe: float, spec: tuple[float, float], line: Line) -> Said:
    """The rule's line is said, and never called good."""
    found = legal_toe(toe, *spec)
    words = {"of": found.citation, "size": show.both(found.limit or 0.0)}
    texts = {
        Line.PAST: _("Past the line of 1.5 x the maker's figure, %(size)s: %(of)s."),
        Line.INSIDE: _("Inside the line of 1.5 x the maker's figure, %(size)s: %(of)s. A legal "
                       "line is not a service limit: the maker's range decides."),
        Line.NO_LIMIT: _("%(of)s gives no line where the maker lists no toe on this side of zero: "
                         "the maker's range decides."),
    }  # fmt: skip
    return Said(f"legal_{line.value}", texts[line] % words, line is Line.PAST)


def work(given: Given, today: date) -> Answer:
    span = given.length("span", least=SPANS[0], most=SPANS[1])
    spec = _spec(given, span)
    states = [
        State("found", _("As found"), _toes(given, "found")),
        State("left", _("As left"), _toes(given, "left")),
    ]
    given.settle()
    return judged([state for state in states if state.toes], Against(span, spec))


def _toes(given: Given, state: str) -> list[float]:
    """Toe of each pair that is whole; half a pair is a problem."""
    found = []
    for n in READINGS:
        rear, front = (given.length(f"{state}_{end}_{n}", least=0.5) for end in ("rear", "front"))
        half = {"rear": given.text(f"{state}_rear_{n}"), "front": given.text(f"{state}_front_{n}")}
        for end, other in (("rear", "front"), ("front", "rear")):
            needed = given.calculator.ask(f"{state}_{end}_{n}").needed
            if half[other] and not half[end] and not needed:
                given.wrong(f"{state}_{end}_{n}", "missing", _("The other reading of the pair."))
        if rear is None or front is None:
            continue
        toe = toe_from_widths(rear, front)
        if abs(toe) > MOST_TOE:
            given.wrong(f"{state}_front_{n}", "too_much", show.slip_of_the_tape(toe))
            continue
        found.append(toe)
    return found


def _spec(given: Given, span: float | None) -> tuple[float, float] | None:
    low, high = (toe_typed(given, f"spec_{side}", span) for side in ("low", "high"))
    if low is None and high is None:
        return None
    if low is None or high is None:
        name = "spec_low" if low is None else "spec_high"
        if not given.text(name):
            given.wrong(name, "missing", _("The range has two sides; 0 is typed as 0."), "0")
        return None
    if high < low:
        given.wrong("spec_high", "below_low", _("The high side is under the low side."))
        return None
    return low, high


def toe_typed(given: Given, name: str, span: float | None) -> float | None:
    """Toe as a maker writes it: a length, or degrees of both wheels over the span."""
    text = given.text(name).lower()
    ends = next((end for end in ("degrees", "deg", "°") if text.endswith(end)), "")
    if not ends:
        return given.length(name, signed=True, least=-MOST_TOE, most=MOST_TOE)
    degrees = given.number(name, -5, 5, words=("degrees", "deg", "°"), unit=_("° both wheels"))
    if degrees is None:
        return None
    if span is None:
        given.wrong(name, "no_span", _("Degrees want the span of the marks too."), "1/16 in")
        return None
    return toe_from_angle(degrees, span)


_L: dict[str, Any] = {"kind": "length", "example": "46 5/16", "example_metric": "1176 mm"}
_FRONT: dict[str, Any] = {"kind": "length", "example": "46 1/4", "example_metric": "1174.5 mm"}
_GROUPS = {"found": gettext_lazy("As found"), "left": gettext_lazy("As left")}
_NUMBERED = {
    ("rear", 1): gettext_lazy("Behind, 1"), ("front", 1): gettext_lazy("In front, 1"),
    ("rear", 2): gettext_lazy("Behind, 2"), ("front", 2): gettext_lazy("In front, 2"),
    ("rear", 3): gettext_lazy("Behind, 3"), ("front", 3): gettext_lazy("In front, 3"),
}  # fmt: skip


def _example(end: str, n: int) -> dict[str, Any]:
    """The first pair shows how a reading is typed."""
    return {"kind": "length"} if n > 1 else (_L if end == "rear" else _FRONT)


def _pairs() -> tuple[Ask, ...]:
    return tuple(
        Ask(f"{state}_{end}_{n}", _NUMBERED[end, n], group=_GROUPS[state],
            needed=state == "found" and n == 1, folded=state == "left",
            **_example(end, n))
        for state in _GROUPS
        for n in READINGS
        for end in ("rear", "front")
    )  # fmt: skip


_MAKER = gettext_lazy("The maker's range")
CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Toe from two tape readings"),
    gettext_lazy(
        "Behind and in front of the tires, the same tread mark, rolled ahead half a turn between. "
        "Three readings show what the tape alone may make of it."
    ),
    (
        *_pairs(),
        Ask("span", gettext_lazy("Span of the marks on one tire"), "length", example="29 in",
            example_metric="740 mm",
            hint=gettext_lazy("Tread diameter where the marks are at hub height.")),
        Ask("spec_low", gettext_lazy("Low side"), "length", example="0", group=_MAKER,
            hint=gettext_lazy("Total toe; toe-out with a minus; or degrees, like 0.1°.")),
        Ask("spec_high", gettext_lazy("High side"), "length", example="1/8 in",
            example_metric="3 mm", group=_MAKER),
    ),
    work,
    GOVERNS,
    _ORIGIN,
)  # fmt: skip
