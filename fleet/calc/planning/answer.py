"""What a plan answers: who does what when, what found no place and why, and which limits clash."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from fleet.calc.planning.asked import Assignment


class Cause(StrEnum):
    """Why a day can't take a piece of work. Callers that translate look up the code."""

    BEFORE_EARLIEST = "before_earliest"
    CLOSED = "closed"
    VEHICLE_AWAY = "vehicle_away"
    VEHICLE_ELSEWHERE = "vehicle_elsewhere"
    LOCKED = "locked"
    NO_SUCH_YARD = "no_such_yard"
    NO_TRIP_DAY = "no_trip_day"
    NOT_ENOUGH_PEOPLE = "not_enough_people"
    PEOPLE_ELSEWHERE = "people_elsewhere"
    TOO_LONG = "too_long"
    BAYS_FULL = "bays_full"
    PEOPLE_FULL = "people_full"
    NOT_AT_ONCE = "not_at_once"


@dataclass(frozen=True, slots=True)
class Reason:
    """One cause, and the days of the plan that it closes to this work.

    Attributes
    ----------
    cause : Cause
        ``not_enough_people``: fewer than `people` with `skills` work at `yard` on these days, even
        if everyone who may came. ``people_elsewhere``: there would be, but the plan has them at
        another yard. ``no_trip_day``: nobody is at home there, and no crew may come.
        ``too_long``: longer with its set-up than the yard is open or its people are there.
        ``bays_full`` and ``people_full``: fewer minutes are left than it takes. ``not_at_once``:
        minutes are left, but a bay and the people are not free at the same time.
    days : tuple of date
        In order, never empty; all of them together with those of the other reasons are the whole
        plan.
    yard : str
    people : int
        As the work takes them.
    skills : tuple of str
        As the work asks for them, in order.
    minutes : int
        As the work takes.
    """

    cause: Cause
    days: tuple[date, ...]
    yard: str
    people: int
    skills: tuple[str, ...]
    minutes: int


@dataclass(frozen=True, slots=True)
class Unplaced:
    """Work that found no day, with all its reasons, the one with the most days first."""

    work: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Late:
    """Work that comes late, and its share of the objective.

    Attributes
    ----------
    work : str
    day : date or None
        When it is planned; None = it found no day.
    weighed : float
        Weighed days late, above 0; those of all late work are the plan's objective.
    """

    work: str
    day: date | None
    weighed: float


@dataclass(frozen=True, slots=True)
class Load:
    """One yard on one open day: minutes planned beside minutes there are."""

    yard: str
    day: date
    bay_minutes: int
    bay_minutes_open: int
    people_minutes: int
    people_minutes_there: int
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PersonLoad:
    """One person on one working day: where they are, minutes planned, minutes there are."""

    person: str
    day: date
    yard: str
    minutes: int
    minutes_there: int


@dataclass(frozen=True, slots=True)
class Plan:
    """The best plan found.

    Attributes
    ----------
    assignments : tuple of Assignment
        By day, yard, bay, order.
    unplaced : tuple of Unplaced
        In the order asked.
    objective : float
        Days late, each times its weight, counted inside the plan; work left out counts as done a
        week after the plan's end.
    bound : float
        No plan can have less, as far as proven.
    gap : float
        ``(objective - bound) / objective``; 0 when nothing is late.
    hold_objective, hold_bound : float
        The share of work on joints that hold in both figures.
    moved : tuple of str
        Work that was told for another day.
    loads, people_loads : tuple
        By day.
    seconds : float
    stopped : bool
        Whether `should_stop` ended it.
    rounds : int
        Rounds of improvement that it had.
    late : tuple of Late
        What the objective is made of, in the order asked.
    """

    assignments: tuple[Assignment, ...]
    unplaced: tuple[Unplaced, ...]
    objective: float
    bound: float
    gap: float
    hold_objective: float
    hold_bound: float
    moved: tuple[str, ...]
    loads: tuple[Load, ...]
    people_loads: tuple[PersonLoad, ...]
    seconds: float
    stopped: bool
    rounds: int
    late: tuple[Late, ...] = ()


class Limit(StrEnum):
    """A limit that a pin or a locked day runs into."""

    PIN = "pin"
    LOCK = "lock"
    NOT_IN_PLAN = "not_in_plan"
    BEFORE_EARLIEST = "before_earliest"
    NO_SUCH_YARD = "no_such_yard"
    CLOSED = "closed"
    VEHICLE_AWAY = "vehicle_away"
    VEHICLE_ONE_YARD = "vehicle_one_yard"
    BAY_MINUTES = "bay_minutes"
    PEOPLE_THERE = "people_there"
    PEOPLE_MINUTES = "people_minutes"
    PERSON_SKILL = "person_skill"
    PERSON_THERE = "person_there"
    PERSON_ONE_YARD = "person_one_yard"
    PAIR = "pair"
    CREW = "crew"
    AT_ONCE = "at_once"


@dataclass(frozen=True, slots=True)
class Clash:
    """Limits that can't all hold; without any one of them the rest could.

    Attributes
    ----------
    limits : tuple of Limit
        What they run into beside the pins and locks themselves.
    work : tuple of str
        The pinned or locked work; taking the pin off any one of them ends this clash.
    day : date
    yards, vehicles, people : tuple of str
        Whom it is about, as far as that is known.
    """

    limits: tuple[Limit, ...]
    work: tuple[str, ...]
    day: date
    yards: tuple[str, ...] = ()
    vehicles: tuple[str, ...] = ()
    people: tuple[str, ...] = ()


class NoPlan(ValueError):
    """Pins and locked days can't all be kept; `clashes` has one minimal set for each trouble."""

    def __init__(self, clashes: tuple[Clash, ...]) -> None:
        self.clashes = clashes
        super().__init__("pins and locked days clash")

    def __reduce__(self) -> tuple[type["NoPlan"], tuple[tuple[Clash, ...]]]:
        return type(self), (self.clashes,)
