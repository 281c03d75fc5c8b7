"""The plan of visits: owed work on days, in bays, by people.

`plan_visits` takes plain values and answers a `Plan`, or raises `NoPlan` with the pins and limits
that clash.

Examples
--------
>>> from datetime import date
>>> day = date(2026, 3, 2)
>>> yard, ana = Yard("Basin", 1, {day: 480}), Person("ana", "Basin", {day: 480})
>>> plan = plan_visits([Work("dry steer", "T-1", "Basin", 30, day, people=2)], [yard], [ana], [day])
>>> [(reason.cause.value, reason.people) for reason in plan.unplaced[0].reasons]
[('not_enough_people', 2)]
"""

from fleet.calc.planning.answer import (
    Cause,
    Clash,
    Late,
    Limit,
    Load,
    NoPlan,
    PersonLoad,
    Plan,
    Reason,
    Unplaced,
)
from fleet.calc.planning.asked import Assignment, Effort, Person, Pin, Standing, Work, Yard
from fleet.calc.planning.visits import plan_visits

__all__ = [
    "Assignment",
    "Cause",
    "Clash",
    "Effort",
    "Late",
    "Limit",
    "Load",
    "NoPlan",
    "Person",
    "PersonLoad",
    "Pin",
    "Plan",
    "Reason",
    "Standing",
    "Unplaced",
    "Work",
    "Yard",
    "plan_visits",
]
