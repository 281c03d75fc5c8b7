"""The guide's sections: what is done, why it asks for it, and what the picture shows.

The pictures are made by `make guide` (tests/guide/), which walks these very steps; a test walks
them too, so that the guide can't go stale.
"""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

WIDTH, HEIGHT = 680, 440


@dataclass(frozen=True)
class Section:
    """One step. `key` names its two pictures; `shows` is read where a picture can't be seen."""

    key: str
    title: Any
    said: tuple[Any, ...]
    shows: Any

    @property
    def light(self) -> str:
        return f"web/guide/{self.key}-light.webp"

    @property
    def dark(self) -> str:
        return f"web/guide/{self.key}-dark.webp"


REPORT = Section(
    "report",
    _("Say what you felt"),
    (
        _(
            "Open the vehicle, then Report a complaint. Choose what was felt; the speed, and what "
            "it began after, tell the shop where to look first."
        ),
        _("Stand still first. Nobody types while driving."),
    ),
    _("The form for a complaint: what was felt, at what speed, how it began, in your own words."),
)
STOP = Section(
    "stop",
    _("Told to stop: stop"),
    (
        _(
            "When the whole front axle oscillates the page says so at once: stop, do not drive on, "
            "and call the number. The vehicle is held from that moment, for everybody."
        ),
        _("It is towed, not driven. Only a second check and a road test lift the hold."),
    ),
    _("The answer to a driver: stop, do not drive on, the number to call, and that it is held."),
)
INSPECT = Section(
    "inspect",
    _("Inspect, joint by joint"),
    (
        _(
            "From a complaint the sheet begins with the joints most often behind it. Tap what was "
            "found and by which method; a joint that is left blank was not looked at."
        ),
        _(
            "Only a wrench at its figure can call a joint tight. A look or a feel says no play, "
            "and nothing of tightness."
        ),
    ),
    _("The inspection sheet with the track bar's frame end: play, found by a dry steer."),
)
LINE = Section(
    "line",
    _("Record the work on its line"),
    (
        _(
            "A finding opened a line on a ticket. The line asks for what this kind of work must "
            "record: part and lot, the torque with the wrench it was pulled with, what was looked "
            "at while it was apart."
        ),
        _("Figures are read back as you type, with what they are judged against."),
    ),
    _("A line of a ticket: replace the track bar, with its part, torque and torque tool."),
)
REFUSED = Section(
    "refused",
    _("Refused to close: read why"),
    (
        _(
            "A ticket closes only when the work is done and checked. What is missing is named line "
            "by line, and each name leads to its place. Nothing that you typed is lost."
        ),
    ),
    _("The list of what stands in the way of closing, each a link to where it is put right."),
)
CHECK = Section(
    "check",
    _("Second check by somebody else"),
    (
        _(
            "Somebody who did no line of the repair looks it over: on the floor, brake set, wheels "
            "chocked, hands clear of the linkage, a helper at the wheel."
        ),
        _("Passed, it may be released for a road test, to a named driver, and for nothing else."),
    ),
    _("The second check's form: its result, and that the dry steer was made on the floor."),
)
CLOSE = Section(
    "close",
    _("Road test, and close"),
    (
        _(
            "Speed goes up in steps; the first sign of a shake ends the test. Oscillation is never "
            "provoked."
        ),
        _("Closing lifts the holds of this ticket and makes the rechecks that the repair needs."),
    ),
    _("A closed ticket: its holds are lifted and its rechecks are due."),
)
RETORQUE = Section(
    "retorque",
    _("Retorque when it is owed"),
    (
        _(
            "Do it, on the list of what is due, opens the sheet at the joint. Put the wrench on at "
            "its figure and say whether the nut turned, and how far."
        ),
        _("A joint that moved is looked at again in half the time. Moved twice running it holds."),
    ),
    _("The sheet for a retorque, with what is owed and the joint it is owed at."),
)
DUE = Section(
    "due",
    _("What is due, and when"),
    (
        _(
            "Everything owed stands in one list, the first to fall due on top: by miles, days or "
            "hours, whichever comes first. The day is projected from each vehicle's own use."
        ),
        _("A date is only as good as the meter: read it at each fill."),
    ),
    _("The list of what is due, with dates, limits and how much of each interval is used."),
)
PATTERN = Section(
    "pattern",
    _("A joint that keeps coming loose"),
    (
        _(
            "When a joint is found loose again and again, Patterns says so, with each finding and "
            "the wrench that had tightened it before. More torque is the last thing to try: look "
            "at hole, bolt and bracket first."
        ),
    ),
    _("A pattern with its evidence: each time the joint was found loose, and what came before."),
)
STANDS_OUT = Section(
    "stands-out",
    _("What stands out in the record"),
    (
        _(
            "A tool, a lot, a road or a yard whose joints come loose more often than like joints "
            "is told in one sentence, with how far it can be told and how likely so much is by "
            "luck. It is never about a person."
        ),
        _(
            "Look at what is named next, write down what was found and done: whether it helped is "
            "then worked out from the finds that follow."
        ),
    ),
    _(
        "A pattern that stands out: its sentence, what to look at next, and its finds beside those "
        "expected."
    ),
)
INTERVAL = Section(
    "interval",
    _("A recheck by your own record"),
    (
        _(
            "Specs, Intervals, shows how long joints of a kind hold here, and what recheck that "
            "would allow; or how much more must be found before anybody can say."
        ),
        _("Nothing changes until you accept it, and the maker's interval governs."),
    ),
    _("A proposed interval: how many such joints are still tight, by the distance since they were "
      "tightened."),
)  # fmt: skip
RECKONER = Section(
    "reckoner",
    _("Reckon at the bench"),
    (
        _(
            "Clamp load from torque, toe from tape readings, turns of a sleeve, play against the "
            "printed limit: typed in and answered at once. Nothing that is typed there is kept."
        ),
        _("The maker's service information governs. No answer there clears a vehicle to go."),
    ),
    _("The Reckoner's section on toe: tape readings, and what they come to."),
)
FILE = Section(
    "file",
    _("Somebody asks for a vehicle's file"),
    (
        _(
            "An auditor asks for a vehicle's file on its page, or a manager writes down who asked. "
            "The request stands on the Yard page until it is answered, and the trail keeps both."
        ),
    ),
    _("The form by which a vehicle's file is asked for: who wants it, why and until when."),
)

SECTIONS = {
    section.key: section
    for section in (REPORT, STOP, INSPECT, LINE, REFUSED, CHECK, CLOSE, RETORQUE, DUE, PATTERN,
                    STANDS_OUT, INTERVAL, RECKONER, FILE)
}  # fmt: skip


@dataclass(frozen=True)
class Chapter:
    """What one kind of person needs."""

    key: str
    title: Any
    sections: tuple[Section, ...]


CHAPTERS = {
    chapter.key: chapter
    for chapter in (
        Chapter("driver", _("For a driver"), (REPORT, STOP)),
        Chapter(
            "technician",
            _("For a technician"),
            (INSPECT, LINE, REFUSED, CHECK, CLOSE, RETORQUE, RECKONER),
        ),
        Chapter("scheduler", _("For a scheduler"), (DUE, RETORQUE)),
        Chapter("manager", _("For a manager"), (DUE, PATTERN, STANDS_OUT, INTERVAL, FILE)),
    )
}
