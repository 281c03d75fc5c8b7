"""What a plan is asked for: work, yards, people, and what stands already."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date

#: Minutes to bring a vehicle into a bay, chock, raise and take it out again (own figure).
SETUP_MINUTES = 15


@dataclass(frozen=True, slots=True)
class Work:
    """One piece of owed work on one vehicle.

    Attributes
    ----------
    key : str
        Unique among the work of this plan.
    vehicle, yard : str
        The vehicle, and the yard that does the work unless a pin names another.
    minutes : int
        Minutes in the bay, above 0, each of the people there for all of them. The minutes to bring
        the vehicle in and out are the yard's (`Yard.setup_minutes`), once for each visit.
    due : date
        When it likely falls due. After it a day late is a whole day late.
    due_low : date or None
        When it may fall due at the earliest. Between this and `due` a day counts as a quarter of
        a day late (own figure). None: the same as `due`.
    earliest : date or None
        Not before this day.
    weight : float
        What one day late weighs, above 0.
    holds : bool
        Work on a joint that would hold the vehicle: it outranks all that is not, strictly.
    people : int
        How many work on it at the same time: 1, or 2 (dry steer takes two).
    skills : frozenset of str
        What each of them must be able to do.
    wished : str or None
        A person wished for; followed where nothing is lost by it.
    """

    key: str
    vehicle: str
    yard: str
    minutes: int
    due: date
    due_low: date | None = None
    earliest: date | None = None
    weight: float = 1.0
    holds: bool = False
    people: int = 1
    skills: frozenset[str] = frozenset()
    wished: str | None = None


@dataclass(frozen=True, slots=True)
class Yard:
    """A place with bays.

    Attributes
    ----------
    key : str
    bays : int
        Vehicles that can stand in work at once.
    opening : mapping of date to int
        Working minutes of each date. A date that is not there, or 0, is closed: the caller has
        resolved working days and holidays.
    setup_minutes : int
        For each visit of a vehicle, in the bay and of the people of its first work.
    travel_minutes : int
        There and back, off the day of each person whose home is elsewhere. Above 0 = a far yard.
    trip_days : frozenset of date or None
        The dates on which people from elsewhere may come; None = any.
    crew : int or None
        At most so many people from elsewhere on one day; None = any number.
    """

    key: str
    bays: int
    opening: Mapping[date, int]
    setup_minutes: int = SETUP_MINUTES
    travel_minutes: int = 0
    trip_days: frozenset[date] | None = None
    crew: int | None = None


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who works. On any one day they are at one yard.

    Attributes
    ----------
    key : str
    home : str
        The yard they are at unless the plan sends them elsewhere; a day away counts at home not
        at all.
    minutes : mapping of date to int
        Working minutes of each date, counted from the opening of the yard; a date that is not
        there is a day off.
    skills : frozenset of str
    yards : frozenset of str
        Other yards that the plan may send them to.
    """

    key: str
    home: str
    minutes: Mapping[date, int]
    skills: frozenset[str] = frozenset()
    yards: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Pin:
    """Work that a person put on a day; the plan never moves it.

    Attributes
    ----------
    work : str
        Key of the work.
    day : date
    yard : str or None
        None = the yard of the work.
    people : tuple of str
        Who does it, as many as the work takes; empty = whoever can.
    """

    work: str
    day: date
    yard: str | None = None
    people: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Assignment:
    """Work on a day in a bay.

    Attributes
    ----------
    work, vehicle, yard : str
    day : date
    bay : int
        From 1.
    order : int
        Which work in this bay on this day, from 1.
    start : int
        Minutes after the opening of the yard at which hands begin; for a crew from elsewhere,
        after they are there. The first work of a visit has the set-up before it.
    minutes : int
    people : tuple of str
    """

    work: str
    vehicle: str
    yard: str
    day: date
    bay: int
    order: int
    start: int
    minutes: int
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands before the plan is made.

    Attributes
    ----------
    away : mapping of vehicle to frozenset of date
        Days on which a vehicle can't come.
    pins : tuple of Pin
        At most one for each piece of work.
    locked : frozenset of (yard, date)
        Days that stay just as `previous` had them; nothing is added. Work of such a day that is
        not asked for any more is left out.
    previous : tuple of Assignment
        The plan that people were told. Moving work off its day costs `moving`.
    moving : float
        What taking one piece of work off the day it was told for weighs, in days late of weight 1.
    """

    away: Mapping[str, frozenset[date]] = field(default_factory=dict)
    pins: tuple[Pin, ...] = ()
    locked: frozenset[tuple[str, date]] = frozenset()
    previous: tuple[Assignment, ...] = ()
    moving: float = 0.5


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to try.

    Attributes
    ----------
    gap : float
        Stop when the plan is proven this close to the best there can be, as a share.
    seconds : float
        Stop after so long; the first plan is there long before.
    seed : int
        The same seed and enough seconds give the same plan.
    rounds : int or None
        Stop after so many rounds of improvement, whatever the clock says: the same on any machine.
    on_progress : callable or None
        Called with (best, bound, seconds) now and then, first when there is a first plan.
    should_stop : callable or None
        Asked often; the best plan so far is the answer when it says True.
    in_turn : bool
        Begin with yards that share people each planned by itself, one after the other, where that
        is less late than the plan at once. Takes up to a third of the seconds.
    """

    gap: float = 0.01
    seconds: float = 30.0
    seed: int = 1
    rounds: int | None = None
    on_progress: Callable[[float, float, float], None] | None = None
    should_stop: Callable[[], bool] | None = None
    in_turn: bool = False
