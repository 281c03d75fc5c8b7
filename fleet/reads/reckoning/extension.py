"""A wrench with an extension straight on it: what to set it to, or what came to the fastener."""

from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.units import convert
from fleet.calc.wrench_extension import torque_at_fastener, torque_to_set
from fleet.reads.reckoning import show
from fleet.reads.reckoning.answers import Amount, Answer, Figure, Said
from fleet.reads.reckoning.asked import GOVERNS, NOT_JUDGED, Ask, Calculator
from fleet.reads.reckoning.given import Given

NAME = "wrench-extension"
_ORIGIN = gettext_lazy(
    "T at the fastener = T of the wrench times (L + E) / L: US Army TM 1-1500-204-23-9, p. 8-15 "
    "ff., and TM 9-254, figs. 45 and 46"
)
ASKED: tuple[tuple[str, Any], ...] = (
    ("fastener", gettext_lazy("wanted at the fastener")),
    ("wrench", gettext_lazy("what the wrench said")),
)


def work(given: Given, today: date) -> Answer:
    wanted = given.choice("torque_is") == "fastener"
    torque = given.torque("torque")
    lever = given.length("lever", least=0.08, most=2.5)
    extension = given.length("extension", most=1.0)
    if lever is not None and extension is not None and extension > lever:
        message = _("Longer than the wrench itself? From the drive to the fastener.")
        given.wrong("extension", "extension_too_long", message, "3 in")
    given.settle()
    torque, lever, extension = given.must(torque), given.must(lever), given.must(extension)
    found = (torque_to_set if wanted else torque_at_fastener)(torque, lever, extension)
    ratio = torque_at_fastener(1, lever, extension)
    text = (
        _("Set the wrench to %(torque)s.")
        if wanted
        else _("%(torque)s came to the fastener.")
    )  # fmt: skip
    label = _("Set the wrench to") if wanted else _("At the fastener")
    figures = (
        Figure("torque", label, _both(found), str(NOT_JUDGED), str(_ORIGIN)),
        Figure("ratio", _("Longer lever"), show.ratio(ratio, 3), str(NOT_JUDGED), _("computed")),
    )
    code = "set_to" if wanted else "came_to"
    verdict = Said(code, text % {"torque": show.torque(found)})
    return Answer(NAME, verdict, figures, cautions=_cautions())


def _both(newton_metres: float) -> tuple[Amount, Amount]:
    feet = convert(newton_metres, "N·m", "lbf·ft")
    return (
        Amount(show.number(feet, 1), "lbf·ft", feet),
        Amount(show.number(newton_metres, 1), "N·m", newton_metres),
    )


def _cautions() -> tuple[Said, ...]:
    grip = _("Pull at the middle of the grip: elsewhere the lever is another one.")
    line = _("Only the length in line with the handle counts; at a right angle type 0.")
    return (Said("pull_at_grip", grip), Said("in_line", line))


CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Wrench with an extension"),
    gettext_lazy("What a wrench is set to with a crow-foot or an offset adapter on it."),
    (
        Ask("torque_is", gettext_lazy("The torque is"), "choice", choices=ASKED,
            default="fastener"),
        Ask("torque", gettext_lazy("Torque"), "torque", example="125 lbf·ft",
            example_metric="170 N·m", needed=True),
        Ask("lever", gettext_lazy("Wrench, square drive to middle of the grip"), "length",
            example="18 in", example_metric="460 mm", needed=True),
        Ask("extension", gettext_lazy("Extension, drive to fastener in line with the handle"),
            "length", example="3 in", example_metric="75 mm", needed=True),
    ),
    work,
    GOVERNS,
    _ORIGIN,
)  # fmt: skip
