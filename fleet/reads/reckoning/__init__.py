"""The bench mechanic's arithmetic: typed texts in, figures with unit, limit and origin out.

One file a calculator. The page, the API and whatever else shows a judged figure call the same
functions; nothing is stored. `reckon` answers what was typed; `clamp.judged`, `toe.judged`,
`drift.judged` and `play.judged` answer figures that are on file already.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from fleet.reads.reckoning import (
    bump,
    centring,
    clamp,
    drift,
    due,
    extension,
    play,
    reading,
    road_test,
    sleeve,
    slots,
    toe,
    vins,
    wobble,
)
from fleet.reads.reckoning.answers import Answer
from fleet.reads.reckoning.asked import Calculator
from fleet.reads.reckoning.given import Given

#: Every calculator by its name, in the order of the page.
CALCULATORS: dict[str, Calculator] = {
    module.CALCULATOR.name: module.CALCULATOR
    for module in (
        clamp, slots, extension, toe, sleeve, centring, drift, bump, play, wobble, road_test, due,
        reading, vins,
    )
}  # fmt: skip


def reckon(calculator: str, typed: Mapping[str, str], *, units: str, today: date) -> Answer:
    """Answer what was typed into a calculator's fields.

    `units` ("us" or "metric") is what a figure without a unit is taken to be in, and `today` the
    date at the reader's yard. Raises `Unclear` with every field that can't be used as typed.
    """
    found = CALCULATORS[calculator]
    given = Given(found, typed, units)
    answer = found.work(given, today)
    return replace(answer, understood=tuple(given.understood))
