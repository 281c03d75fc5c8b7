"""What a look on a sheet would say and do if it were recorded now. Nothing is written.

It is read by `looks` and judged by `respond`, as recording does: what is foretold is what will be
recorded, unless something else is recorded in between.
"""

from dataclasses import dataclass
from datetime import datetime

from fleet.operations import inspect, looks
from fleet.operations.errors import Problem
from fleet.operations.looks import Look, Seen
from fleet.operations.respond import Judged, judged
from fleet.reads.pulls import at_bolt
from fleet.records.models import Finding, Person, TorqueReading, Vehicle

# Still to be typed: not wrong, and no reason to be silent about the figure that stands there.
UNFINISHED = "_missing"
# Of these there is nothing to say where no figure was typed.
QUIET = ("no_play", "tight", "not_reached", "not_fitted")
# Without these a verdict would be about something else than what was meant.
NEEDED = ("degrees_missing", "torque_missing", "tool_missing")


@dataclass(frozen=True)
class Foretold:
    """One look as it would be recorded.

    `judged` is None where recording would refuse the look for what `wrong` names, or where what
    decides is still to be typed. `band` is of the torque typed, empty where there is none.
    """

    look: Look
    problems: tuple[Problem, ...]
    seen: Seen | None = None
    judged: Judged | None = None

    @property
    def wrong(self) -> list[Problem]:
        """What can't stand, without what is only not typed yet."""
        return [one for one in self.problems if not one.code.endswith(UNFINISHED)]

    @property
    def missing(self) -> list[Problem]:
        """What is still to be said."""
        return [one for one in self.problems if one.code.endswith(UNFINISHED)]

    @property
    def band(self) -> str:
        if self.seen is None or not self.seen.torque_nm:
            return ""
        return looks.band(self.seen.torque_nm, self.seen.spec)

    @property
    def at_bolt(self) -> str:
        """What comes to the fastener, in words, where an extension makes it another torque."""
        if self.seen is None:
            return ""
        look, seen = self.look, self.seen
        return at_bolt(look.torque, look.extension, seen.extension_m, seen.torque_nm)

    @property
    def band_words(self) -> str:
        return str(TorqueReading.Band(self.band).label) if self.band else ""

    @property
    def answer_words(self) -> str:
        return str(Finding.Answer(self.judged.verdict.answer).label) if self.judged else ""


def foretell(
    person: Person, vehicle: Vehicle, said: tuple[Look, ...], when: datetime
) -> list[Foretold]:
    """Each look on its own, in the order given; nine queries, however many."""
    if not said:
        return []
    seen, problems = looks.read(said, inspect.frame_for(person, vehicle, said, when))
    by_place: dict[int, list[Problem]] = {}
    for problem in problems:
        by_place.setdefault(int(problem.field.split(".")[1]), []).append(problem)
    told = [
        Foretold(look, tuple(by_place.get(place, ())), _of(look, seen))
        for place, look in enumerate(said)
    ]
    fit = [one.seen for one in told if one.seen is not None and _decided(one)]
    verdicts = {one.seen.look: one for one in judged(vehicle, fit, when)}
    return [Foretold(one.look, one.problems, one.seen, verdicts.get(one.look)) for one in told]


def _of(look: Look, seen: list[Seen]) -> Seen | None:
    return next((one for one in seen if one.look is look), None)


def _decided(one: Foretold) -> bool:
    return not one.wrong and not any(problem.code in NEEDED for problem in one.problems)


def tells(one: Foretold) -> bool:
    """Whether there is anything to say: a joint looked at and found sound speaks for itself."""
    figures = one.look.play.strip() or one.look.torque.strip()
    return bool(figures or one.wrong or one.look.code not in QUIET)
