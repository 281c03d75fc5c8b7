"""What a ticket line's own figures come to: toe read and set, turns of a sleeve, wheel center."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from fleet.calc.alignment import toe_against_spec
from fleet.reads.linkage import Lacking, drag_link_of, rod_of
from fleet.reads.reckoning import centring, show, sleeve, toe
from fleet.reads.reckoning.answers import Answer, Said
from fleet.records.models import Vehicle

Sides = tuple[float, float]


@dataclass(frozen=True)
class ToeRead:
    """Toe of one visit in metres, toe-in positive: as found, and as left once or three times.

    `spec` holds the two sides it is judged by; `restored` says that it only has to come back to as
    found, which is no setting of toe.
    """

    found: Sequence[float] = ()
    left: Sequence[float] = ()
    span: float | None = None
    spec: Sides | None = None
    restored: bool = False


@dataclass(frozen=True)
class Turns:
    """Turns of a sleeve, or what is not on file to say so."""

    answer: Answer | None = None
    lacking: Lacking | None = None


@dataclass(frozen=True)
class ToeTold:
    """Toe as judged, and the turns from here where it is not yet where it has to be."""

    answer: Answer
    turns: Turns | None = None


def toe_told(vehicle: Vehicle, read: ToeRead) -> ToeTold | None:
    """Judge the toe of a visit; None where no pair of readings is whole."""
    states = [
        toe.State("found", _("As found"), read.found),
        toe.State("left", _("As left"), read.left),
    ]
    there = [state for state in states if state.toes]
    if not there:
        return None
    slips = [one for state in there for one in state.toes if abs(one) > toe.MOST_TOE]
    if slips:
        said = Said("too_much", show.slip_of_the_tape(slips[0]), grave=True)
        return ToeTold(Answer(toe.NAME, said, refused=True))
    answer = toe.judged(there, toe.Against(read.span, read.spec))
    return ToeTold(_one_reading_is_enough(answer, read), _turns(vehicle, read))


def _one_reading_is_enough(answer: Answer, read: ToeRead) -> Answer:
    """While only as found is read, nobody is told to read it three times."""
    if read.left:
        return answer
    kept = tuple(said for said in answer.cautions if said.code != "one_reading")
    return replace(answer, cautions=kept)


def _turns(vehicle: Vehicle, read: ToeRead) -> Turns | None:
    """From where toe stands now to the middle of the range; nothing where it is within it."""
    if read.restored:
        return None
    if read.spec is None:
        return Turns(lacking=Lacking(("toe_spec",), sleeve.NAME))
    now, wanted = _mean(read.left or read.found), sum(read.spec) / 2
    if toe_against_spec(now, *read.spec).answer == "in_spec":
        return None
    rod = rod_of(vehicle.design)
    if read.span is None or isinstance(rod, Lacking):
        return Turns(lacking=_lacking(rod, now, wanted, read.span))
    return Turns(sleeve.judged(wanted - now, read.span, rod))


def _lacking(rod: sleeve.Rod | Lacking, now: float, wanted: float, span: float | None) -> Lacking:
    """What is missing, with the figures of this visit for the Reckoner."""
    on_file = rod if isinstance(rod, Lacking) else Lacking((), sleeve.NAME)
    visit = {"toe_now": _millimetres(now), "toe_wanted": _millimetres(wanted)}
    if span is not None:
        visit["span"] = _millimetres(span)
    codes = on_file.codes if span is not None else (*on_file.codes, "span")
    return Lacking(codes, sleeve.NAME, {**visit, **on_file.typed})


def _millimetres(metres: float) -> str:
    return f"{metres * 1000:.2f} mm"


def _mean(toes: Sequence[float]) -> float:
    return sum(toes) / len(toes)


def centring_told(vehicle: Vehicle, off: float) -> Turns | None:
    """Turns of the drag link's sleeve for a wheel so many degrees off, to the right positive."""
    if off == 0 or abs(off) > centring.MOST_OFF:
        return None
    link = drag_link_of(vehicle)
    if isinstance(link, Lacking):
        side = {"degrees_off": f"{abs(off):g}", "side": "right" if off > 0 else "left"}
        return Turns(lacking=replace(link, typed={**side, **link.typed}))
    return Turns(centring.judged(off, link))
