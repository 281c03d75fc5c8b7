"""Causes as the record came to show them: each named when it first stood by itself."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fleet.calc.clusters.causes import Candidate, Cause, find_causes
from fleet.calc.history.watch import LEVEL, NEVER, Floats, Rows, watch

#: What was opened is looked at again this many weeks later: another may explain it by then.
AGAIN = 4


@dataclass(frozen=True, slots=True)
class Standing:
    """One cause: since when it stood by itself, how, and what has become of it.

    Attributes
    ----------
    candidate : Candidate
    week : int
        The end of the week before it, by which it was first a cause of its own.
    opened : Cause
        As it was then.
    now : Cause or None
        As it is; None where it no longer stands out by itself.
    explained_by : Candidate or None
        The cause that explains it now.
    """

    candidate: Candidate
    week: int
    opened: Cause
    now: Cause | None
    explained_by: Candidate | None


@dataclass(frozen=True, slots=True)
class Judged:
    """All that ever stood by itself, strongest first; and how many were tested, by family."""

    standing: tuple[Standing, ...]
    tested: Mapping[str, int]


def causes_over_time(
    rows: Rows,
    weeks: Sequence[int],
    shape_at: Callable[[int, Floats, Floats], float],
    families: Sequence[Sequence[str]],
    *,
    level: float = LEVEL,
) -> Judged:
    """Judge one fleet's record week by week, and tell causes apart wherever something stood out.

    Parameters
    ----------
    rows : Rows
        In order of time.
    weeks : sequence of int
        Rising; the record is judged at the beginning of each, by all rows before it.
    shape_at : callable
        ``(week, found, spent)`` by vehicle to the gamma shape of the spread between vehicles.
    families : sequence of sequences of str
    level : float
        Share of false patterns, for each family.

    Returns
    -------
    Judged

    Notes
    -----
    The same for the same record, however often and whenever it is asked. Causes are told apart in
    the week something is opened in, and every fourth week from then on.

    Examples
    --------
    A tool of three loosens twelve times as often from its hundredth use on:

    >>> n = np.arange(900)
    >>> found = np.where((n % 3 == 1) & (n > 300), n % 5 == 1, n % 60 == 0).astype(float)
    >>> rows = Rows(n // 10, n % 37, found, np.full(900, 0.03), {"tool": n % 3})
    >>> judged = causes_over_time(rows, range(10, 91), lambda *_: 4.0, [["tool"]])
    >>> [(one.candidate, one.week) for one in judged.standing]
    [(Candidate(label='tool', member=1), 53)]
    """
    if not rows.week.size or not len(weeks):
        return Judged((), {})
    shapes: dict[int, float] = {}

    def shape_of(week: int, found: Floats, spent: Floats) -> Floats:
        shapes[week] = shape_at(week, found, spent)
        return np.array([shapes[week]])

    alone = np.zeros(int(rows.vehicle.max()) + 1, dtype=np.intp)
    opened = watch(rows, weeks, shape_of, families=families, vehicle_fleet=alone, level=level)
    moments = _moments(opened.opened, weeks)
    found: dict[Candidate, tuple[int, Cause]] = {}
    last: tuple[Cause, ...] = ()
    for week in moments:
        last = _told_apart(rows, week, shapes[week], families, level)
        for cause in last:
            found.setdefault(cause.candidate, (week, cause))
    return Judged(_standing(found, last), _tested(rows, families))


def _moments(opened: Mapping[str, np.ndarray], weeks: Sequence[int]) -> list[int]:
    told = {int(week) for each in opened.values() for week in np.unique(each) if week < NEVER}
    if not told:
        return []
    later = {week for week in weeks if week > min(told) and (week - min(told)) % AGAIN == 0}
    return sorted(told | later | {weeks[-1]})


def _told_apart(
    rows: Rows, week: int, shape: float, families: Sequence[Sequence[str]], level: float
) -> tuple[Cause, ...]:
    until = int(np.searchsorted(rows.week, week))
    names = [name for family in families for name in family]
    labels = {name: rows.labels[name][:until] for name in names}
    found, spent = rows.found[:until], rows.spent[:until]
    return find_causes(
        found, spent, rows.vehicle[:until], labels, families=families, prior_shape=shape,
        level=level,
    )  # fmt: skip


def _standing(
    found: Mapping[Candidate, tuple[int, Cause]], last: Sequence[Cause]
) -> tuple[Standing, ...]:
    now = {cause.candidate: cause for cause in last}
    under = {one: cause.candidate for cause in last for one in cause.explains}
    return tuple(
        Standing(one, week, cause, now.get(one), None if one in now else under.get(one))
        for one, (week, cause) in found.items()
    )


def _tested(rows: Rows, families: Sequence[Sequence[str]]) -> dict[str, int]:
    """Members of each label's family of which something was expected."""
    told: dict[str, int] = {}
    for family in families:
        count = 0
        for name in family:
            members = rows.labels[name][rows.labels[name] >= 0]
            count += np.unique(members).size
        told |= dict.fromkeys(family, count)
    return told
