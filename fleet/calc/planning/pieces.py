"""The asked plan with numbers for names, alike work of a vehicle as one piece, and its costs."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fleet.calc.planning.asked import Assignment, Person, Pin, Standing, Work, Yard

#: What a day between the early and the likely due date counts as, in days late (own figure).
EARLY_SHARE = 0.25
#: Work left out counts as done so many days after the last of the plan (own figure).
LEFT_OUT_DAYS = 7
#: Alike work of one vehicle is one piece up to so many minutes (own figure).
MOST_MERGED = 240
#: What a further visit, or a wish not followed, weighs: it only decides between equals.
TIDY = 1e-4


@dataclass(frozen=True, slots=True)
class Piece:
    """Alike work on one vehicle, done in one go.

    `hold`, `late` and `cost` have one entry for each day and a last one for being left out: late
    days of hold work, of other work, and what the search weighs (hold work above all else, and what
    was told to people).
    """

    works: tuple[int, ...]
    vehicle: str
    yard: int
    minutes: int
    people: int
    skills: frozenset[str]
    wished: str | None
    holds: bool
    due: int
    days: tuple[int, ...]
    hold: tuple[float, ...]
    late: tuple[float, ...]
    cost: tuple[float, ...]
    named: tuple[int, ...] = ()

    @property
    def hands(self) -> int:
        """Minutes of people."""
        return self.minutes * self.people


@dataclass(frozen=True, slots=True)
class Asked:
    """All that was asked, checked and numbered."""

    work: tuple[Work, ...]
    yards: tuple[Yard, ...]
    people: tuple[Person, ...]
    days: tuple[date, ...]
    standing: Standing
    yard_number: dict[str, int]
    person_number: dict[str, int]
    day_number: dict[date, int]
    pins: dict[str, Pin]
    #: What a locked day holds, by (yard, day); days that are not locked are not in it.
    locked: dict[tuple[int, int], tuple[Assignment, ...]]
    #: Work that a locked day holds.
    kept: frozenset[str]

    def opening(self, yard: int, day: int) -> int:
        return self.yards[yard].opening.get(self.days[day], 0)


def numbered(
    work: Sequence[Work],
    yards: Sequence[Yard],
    people: Sequence[Person],
    days: Sequence[date],
    standing: Standing,
) -> Asked:
    """Check what was asked and number it.

    Raises
    ------
    ValueError
        For keys that are there twice, minutes that are not above zero, people not 1 or 2, or no
        day.
    """
    _check(work, yards, people, days)
    ordered = tuple(sorted(set(days)))
    yard_number = {yard.key: n for n, yard in enumerate(yards)}
    day_number = {day: n for n, day in enumerate(ordered)}
    asked_for = {one.key for one in work}
    pins = {pin.work: pin for pin in standing.pins if pin.work in asked_for}
    locked: dict[tuple[int, int], tuple[Assignment, ...]] = {
        (yard_number[yard], day_number[day]): ()
        for yard, day in sorted(standing.locked)
        if yard in yard_number and day in day_number
    }
    for told in standing.previous:
        place = (yard_number.get(told.yard, -1), day_number.get(told.day, -1))
        if place in locked and told.work in asked_for:
            locked[place] += (told,)
    kept = frozenset(told.work for day in locked.values() for told in day)
    person_number = {person.key: n for n, person in enumerate(people)}
    return Asked(
        tuple(work), tuple(yards), tuple(people), ordered, standing, yard_number, person_number,
        day_number, {key: pin for key, pin in pins.items() if key not in kept}, locked, kept,
    )  # fmt: skip


def _check(
    work: Sequence[Work], yards: Sequence[Yard], people: Sequence[Person], days: Sequence[date]
) -> None:
    if not days:
        raise ValueError("days must name a day")
    for name, keys in (
        ("work", [one.key for one in work]),
        ("yards", [one.key for one in yards]),
        ("people", [one.key for one in people]),
    ):
        if len(set(keys)) != len(keys):
            raise ValueError(f"{name} must not hold a key twice")
    if any(one.minutes <= 0 or one.weight <= 0 for one in work):
        raise ValueError("minutes and weight of work must be above zero")
    if any(one.people not in (1, 2) for one in work):
        raise ValueError("people must be 1 or 2")
    if any(yard.bays < 0 or yard.setup_minutes < 0 or yard.travel_minutes < 0 for yard in yards):
        raise ValueError("bays and minutes of a yard must not be below zero")


def pieces_of(asked: Asked) -> list[Piece]:
    """Return the pieces in the order asked. Locked work, and work of no known yard, is none."""
    told = {one.work: one for one in asked.standing.previous}
    alike: dict[object, list[int]] = {}
    for number, one in enumerate(asked.work):
        pin = asked.pins.get(one.key)
        yard = pin.yard if pin and pin.yard else one.yard
        if one.key in asked.kept or yard not in asked.yard_number:
            continue
        was = told.get(one.key)
        kind = (
            one.vehicle, yard, one.due, one.due_low, one.earliest, one.holds, one.people,
            one.skills, one.wished, was and (was.yard, was.day),
        )  # fmt: skip
        alike.setdefault((*kind, one.key) if pin else kind, []).append(number)
    groups = [group for found in alike.values() for group in _within(asked, found)]
    above = _above(asked, groups)
    return [_piece(asked, group, told, above) for group in sorted(groups)]


def _within(asked: Asked, numbers: list[int]) -> list[list[int]]:
    """Cut alike work where it would grow longer than MOST_MERGED."""
    groups: list[list[int]] = []
    minutes = MOST_MERGED
    for number in numbers:
        own = asked.work[number].minutes
        if minutes + own > MOST_MERGED:
            groups.append([])
            minutes = 0
        groups[-1].append(number)
        minutes += own
    return groups


def _above(asked: Asked, groups: list[list[int]]) -> float:
    """A weight that makes the least lateness of hold work outrank all else together."""
    least = min((one.weight for one in asked.work if one.holds), default=1.0) * EARLY_SHARE
    span = (asked.days[-1] - asked.days[0]).days + 1 + LEFT_OUT_DAYS
    most = sum(one.weight for one in asked.work if not one.holds) * span
    return float(most + (asked.standing.moving + 2 * TIDY) * len(asked.work) + 1) / least


def days_late(work: Work, first: date, day: date) -> float:
    """Days late on a day, counted from the first day of the plan, before its weight.

    Examples
    --------
    >>> work = Work("w", "T-1", "Basin", 60, due=date(2026, 3, 9), due_low=date(2026, 3, 5))
    >>> days_late(work, date(2026, 3, 2), date(2026, 3, 11))
    3.0
    >>> days_late(work, date(2026, 3, 2), date(2026, 3, 5))
    0.0
    """
    due = max(work.due, first)
    low = max(min(work.due_low or due, due), first)
    return max((day - due).days, 0) + EARLY_SHARE * max((min(day, due) - low).days, 0)


def _piece(asked: Asked, group: list[int], told: dict[str, Assignment], above: float) -> Piece:
    works = [asked.work[number] for number in group]
    one = works[0]
    weight = sum(each.weight for each in works)
    pin, was = asked.pins.get(one.key), told.get(one.key)
    first, last = asked.days[0], asked.days[-1] + timedelta(days=LEFT_OUT_DAYS)
    lateness = tuple(weight * days_late(one, first, day) for day in (*asked.days, last))
    if lateness[-1] == 0:
        # Due after all that: still better done than not.
        lateness = (*lateness[:-1], weight)
    none = (0.0,) * len(lateness)
    moving = asked.standing.moving * len(works) if was else 0.0
    stays = asked.day_number.get(was.day, -1) if was else -1
    cost = tuple(
        late * (above if one.holds else 1.0) + (moving if day != stays else 0.0)
        for day, late in enumerate(lateness)
    )
    yard = asked.yard_number[pin.yard if pin and pin.yard else one.yard]
    return Piece(
        tuple(group), one.vehicle, yard, sum(each.minutes for each in works), one.people,
        one.skills, one.wished, one.holds, (max(one.due, first) - first).days,
        _days(asked, one, pin, yard), lateness if one.holds else none,
        none if one.holds else lateness, cost,
        tuple(asked.person_number.get(name, -1) for name in pin.people) if pin else (),
    )  # fmt: skip


def _days(asked: Asked, work: Work, pin: Pin | None, yard: int) -> tuple[int, ...]:
    """Days on which the vehicle may come and the yard is open and not locked."""
    if pin:
        return (asked.day_number[pin.day],) if pin.day in asked.day_number else ()
    away = asked.standing.away.get(work.vehicle, frozenset())
    return tuple(
        number
        for number, day in enumerate(asked.days)
        if day not in away
        and (work.earliest is None or day >= work.earliest)
        and asked.opening(yard, number) > 0
        and (yard, number) not in asked.locked
    )
