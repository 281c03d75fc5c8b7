"""What toe did between one visit's as-left and the next visit's as-found."""

from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.alignment import toe_drift
from fleet.reads.reckoning import show
from fleet.reads.reckoning.answers import Answer, Figure, Said
from fleet.reads.reckoning.asked import METRIC, Ask, Calculator
from fleet.reads.reckoning.given import Given

NAME = "toe-drift"
_SIXTEENTH, _MILLIMETRE = 0.0254 / 16, 0.001
_ORIGIN = gettext_lazy("four tape readings, each off by up to half a step (own)")

VERDICTS: dict[str, Any] = {
    "in": gettext_lazy("Moved towards toe-in, by more than the tape alone can make."),
    "out": gettext_lazy("Moved towards toe-out, by more than the tape alone can make."),
    "": gettext_lazy("No more than the tape alone can make: nothing can be said of it."),
}


def judged(as_left: float, next_as_found: float, step: float) -> Answer:
    """Compare two visits, metres, toe-in positive; `step` is the smallest read on the tape."""
    found = toe_drift(as_left, next_as_found, step)
    limit = _("doubt of the tape %(size)s") % {"size": show.both(found.doubt)}
    side = show.toe_side(found.change)
    towards = "" if abs(found.change) < show.NEAR else _("towards %(side)s") % {"side": side}
    rows = (
        Figure("change", _("Change %(towards)s") % {"towards": towards},
               show.lengths(abs(found.change)), limit, str(_ORIGIN), found.beyond_doubt),
        Figure("doubt", _("Doubt of the tape"), show.lengths(found.doubt),
               _("two steps of %(step)s") % {"step": show.both(step)}, str(_ORIGIN)),
    )  # fmt: skip
    code = f"towards_{found.towards}" if found.towards else "within_doubt"
    said = Said(code, str(VERDICTS[found.towards]), found.beyond_doubt)
    look = _("Something moved, wore or bent: look at rod ends, clamps, knuckles and the span that "
             "was read before toe is set again.")  # fmt: skip
    cautions = (Said("look_first", look),) if found.beyond_doubt else ()
    return Answer(NAME, said, rows, cautions=cautions)


def work(given: Given, today: date) -> Answer:
    left = given.length("as_left", signed=True, least=-0.1, most=0.1)
    found = given.length("as_found", signed=True, least=-0.1, most=0.1)
    step = given.length("step", least=0.0001, most=0.01)
    given.settle()
    usual = usual_step(metric=given.units == METRIC)
    return judged(given.must(left), given.must(found), usual if step is None else step)


def usual_step(*, metric: bool) -> float:
    """What a tape is read to where nobody said: a millimeter or a sixteenth of an inch, metres."""
    return _MILLIMETRE if metric else _SIXTEENTH


CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Toe drift between visits"),
    gettext_lazy("Whether toe moved since it was left, or the tape makes it look so."),
    (
        Ask("as_left", gettext_lazy("As left, last visit"), "length", example="1/16 in",
            example_metric="1.5 mm", needed=True,
            hint=gettext_lazy("Total toe; toe-out with a minus.")),
        Ask("as_found", gettext_lazy("As found, this visit"), "length", example="-1/8 in",
            example_metric="-3 mm", needed=True),
        Ask("step", gettext_lazy("Smallest step of the tape"), "length", example="1/16 in",
            example_metric="1 mm", hint=gettext_lazy("1/16 in or 1 mm if left empty.")),
    ),
    work,
    gettext_lazy("Both are read over the same span, at ride height, rolled ahead last."),
    _ORIGIN,
)  # fmt: skip
