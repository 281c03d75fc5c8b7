"""`plan_visits`: which vehicle comes when, to which bay, and who works on it."""

import time
from collections.abc import Sequence
from datetime import date

from fleet.calc.planning.answer import Plan
from fleet.calc.planning.asked import Effort, Person, Standing, Work, Yard
from fleet.calc.planning.board import Board
from fleet.calc.planning.clash import put_pins
from fleet.calc.planning.clock import Clock
from fleet.calc.planning.greedy import first_plan
from fleet.calc.planning.in_turn import better_start
from fleet.calc.planning.making import Making
from fleet.calc.planning.pieces import numbered, pieces_of
from fleet.calc.planning.told import told


def plan_visits(
    work: Sequence[Work],
    yards: Sequence[Yard],
    people: Sequence[Person],
    days: Sequence[date],
    standing: Standing | None = None,
    effort: Effort | None = None,
) -> Plan:
    """Put owed work on days, bays and people, so that as little as can be is late.

    Parameters
    ----------
    work : sequence of Work
        What is owed. Keys are unique.
    yards : sequence of Yard
    people : sequence of Person
    days : sequence of date
        The days of the plan, in any order. Days late are counted from the first of them.
    standing : Standing or None
        Vehicles' days away, pins, locked days, the plan told before. Pins and previous assignments
        of work that is not asked for are left aside. What names a yard, person or day that is not
        there counts as such: a pin on it clashes.
    effort : Effort or None
        Seconds, gap, seed; whom to tell and whom to ask while it runs.

    Returns
    -------
    Plan

    Raises
    ------
    NoPlan
        When pins and locked days can't all be kept. `clashes` names a minimal set for each trouble.
    ValueError
        For keys that are there twice, minutes or weights that are not above zero, people other
        than 1 or 2, or no day.

    Notes
    -----
    What always holds: a bay has one vehicle at a time and work lies within the opening minutes; a
    person is at one yard a day, within their minutes less the travel there, and at one piece of
    work at a time; two-person work has both at once; all named people have the skills asked for;
    a vehicle is never planned on a day away, before `earliest`, or in two yards on one day; pins
    and locked days stay as they are.

    What is made least, in this order: the weighted days late of work that holds; those of the
    rest, with `Standing.moving` for each piece moved from where people were told; then visits, and
    wishes not followed. Work left out counts as done a week after the plan's end.

    Alike work of one vehicle (same due days, people, skills, wish) is one piece up to four hours;
    all work on one vehicle on one day is one visit in one bay with one set-up. Seconds are wall
    time: a seed gives the same plan when the same number of rounds is reached (`Effort.rounds`).

    Which work needs which skill, how many people, and whether a vehicle may be driven meanwhile
    are the caller's to say, by the manufacturer's service information and the fleet's own rules.

    Examples
    --------
    Two trucks, one bay open two hours a day; the one that would be held comes first:

    >>> monday, tuesday = date(2026, 3, 2), date(2026, 3, 3)
    >>> yard = Yard("Basin", bays=1, opening={monday: 120, tuesday: 120})
    >>> ana = Person("ana", "Basin", {monday: 120, tuesday: 120})
    >>> owed = [
    ...     Work("toe", "T-1", "Basin", 90, due=monday),
    ...     Work("track bar", "T-2", "Basin", 90, due=monday, holds=True),
    ... ]
    >>> plan = plan_visits(owed, [yard], [ana], [monday, tuesday])
    >>> [(one.work, one.day.isoformat(), one.start, one.people) for one in plan.assignments]
    [('track bar', '2026-03-02', 15, ('ana',)), ('toe', '2026-03-03', 15, ('ana',))]
    >>> plan.objective, plan.bound, plan.hold_objective
    (1.0, 1.0, 0.0)
    """
    clock = Clock(effort or Effort(), time.monotonic())
    asked = numbered(work, yards, people, days, standing or Standing())
    board = Board(asked, pieces_of(asked))
    put_pins(board)
    first_plan(board)
    if clock.effort.in_turn:
        board = better_start(board, clock)
    making = Making(board, clock)
    making.run()
    bounds = (making.hold_bound(), making.bound() - making.hold_bound())
    return told(board, clock.seconds, bounds, clock.stopped, making.rounds)
