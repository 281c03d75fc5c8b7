"""Readings of one meter in order: continuous use over replaced meters, and what can't be.

One reading or a file of them is judged by the same rule, each against the last that counts
before it and the first on file after it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

#: More in a day than a truck is driven (own): a slip of a finger, not a trip. Metres or seconds.
MOST_A_DAY_SI: dict[str, float] = {"mi": 1_500 * 1_609.344, "km": 2_400_000.0, "h": 24 * 3_600.0}
#: No meter shows more (own): seven wheels.
MOST_SHOWN = 9_999_999
DAY_SECONDS = 86_400.0


@dataclass(frozen=True, slots=True)
class MeterPoint:
    """What a meter said at a moment.

    Attributes
    ----------
    when : datetime
        With a time zone.
    value_si : int
        What the meter showed, metres or seconds.
    use : int
        Use since the vehicle's first meter stood at zero; of a reading on file only.
    new_meter : bool
        Whether it is the first reading of a new meter.
    accepted : bool
        Whether somebody who may has given a reason for it: then it stands, unless below zero.
    key : int
        The caller's own number for it.
    """

    when: datetime
    value_si: int
    use: int = 0
    new_meter: bool = False
    accepted: bool = False
    key: int = 0


@dataclass(frozen=True, slots=True)
class Placed:
    """One new reading in its place among the others.

    Attributes
    ----------
    use : int
        Continuous use, metres or seconds.
    problem : {"", "below_zero", "backwards", "too_fast"}
        Stable, to translate by. Empty where the reading stands.
    against : MeterPoint or None
        The reading that it can't be true with.
    """

    key: int
    use: int
    problem: str = ""
    against: MeterPoint | None = None


def place_readings(
    on_file: Iterable[MeterPoint], new: Sequence[MeterPoint], most_a_day: float
) -> list[Placed]:
    """Place new readings of one vehicle among those on file, in the order of their moments.

    Parameters
    ----------
    on_file : iterable of MeterPoint
        The readings that count. Those that matter to one new reading are the last before it, the
        first after it and the last first reading of a new meter before it.
    new : sequence of MeterPoint
        In any order; at one moment, those on file come first, then the new in the order given.
    most_a_day : float
        Metres or seconds; see `MOST_A_DAY_SI`.

    Returns
    -------
    list of Placed
        By moment. One that has a problem does not count for those after it, so that one slip is
        told once.

    Notes
    -----
    A reading counts from the last first reading of a new meter before it, which itself stands
    where the old meter stopped. It may be no less than the reading before it, no more than the
    next on file, and no more above the reading before it than `most_a_day` for each day between
    (for the first day in full).

    Examples
    --------
    >>> from datetime import UTC
    >>> noon = [datetime(2026, 11, day, 12, tzinfo=UTC) for day in (1, 2, 3)]
    >>> old = [MeterPoint(noon[0], 1000, use=1000)]
    >>> [p.problem for p in place_readings(old, [MeterPoint(noon[1], 900)], 500.0)]
    ['backwards']
    >>> [p.use for p in place_readings(old, [MeterPoint(noon[1], 5, new_meter=True),
    ...                                      MeterPoint(noon[2], 25)], 500.0)]
    [1000, 1020]
    """
    known = sorted(on_file, key=lambda point: point.when)
    placed: list[Placed] = []
    before: MeterPoint | None = None
    meter: MeterPoint | None = None
    at = 0
    for point in sorted(new, key=lambda point: point.when):
        while at < len(known) and known[at].when <= point.when:
            before = known[at]
            meter = before if before.new_meter else meter
            at += 1
        use = _continuous(point, before, meter)
        one = _judged(point, use, before, known[at] if at < len(known) else None, most_a_day)
        placed.append(one)
        if not one.problem:
            before = MeterPoint(point.when, point.value_si, use, point.new_meter, key=point.key)
            meter = before if before.new_meter else meter
    return placed


def _continuous(point: MeterPoint, before: MeterPoint | None, meter: MeterPoint | None) -> int:
    if point.new_meter:
        return before.use if before else point.value_si
    return point.value_si if meter is None else meter.use + point.value_si - meter.value_si


def _judged(
    point: MeterPoint, use: int, before: MeterPoint | None, after: MeterPoint | None, most: float
) -> Placed:
    if before is not None and use < before.use:
        found = Placed(point.key, use, "backwards", before)
    elif after is not None and use > after.use:
        found = Placed(point.key, use, "backwards", after)
    elif use < 0:
        return Placed(point.key, use, "below_zero")
    elif before is not None and use - before.use > most * _days(before.when, point.when):
        found = Placed(point.key, use, "too_fast", before)
    else:
        return Placed(point.key, use)
    return Placed(point.key, use) if point.accepted and use >= 0 else found


def _days(since: datetime, until: datetime) -> float:
    return max((until - since).total_seconds() / DAY_SECONDS, 1.0)
