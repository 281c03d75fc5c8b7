"""The verbs of the fleet's rules, of what they make and of sweeps, as `verbs` has the others."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from fleet.operations import assign, exceptions, put_off, rule_change, sweeps
from fleet.operations.rule_data import NewRule
from fleet.operations.rule_figures import Step
from fleet.records.models import Recheck, RuleException
from tests import build
from tests.operations.conftest import House


def owed_by_rules(house: House) -> tuple[RuleException, Recheck, Recheck]:
    """An exception that stands, something owed soon, and something put off."""
    exception = RuleException.objects.create(
        vehicle=house.vehicle, ladder="hub", rungs=[{"miles": 700, "days": 40, "hours": 30}],
        reason="stands by", ends_on=house.now.date() + timedelta(days=9), since=house.now,
        set_by=house.manager.person,
    )  # fmt: skip
    day = house.now.date() + timedelta(days=20)
    same: dict[str, Any] = {"started_at": house.now, "due_on": day, "falls_on": day}
    soon = build.recheck(house.vehicle, ladder="soon", **same)
    later = build.recheck(
        house.vehicle, ladder="later", put_off_by=house.manager.person, put_off_reason="full",
        ruled_on=day - timedelta(days=5), **same,
    )  # fmt: skip
    return exception, soon, later


def _exception(s: Any) -> exceptions.NewException:
    steps = (Step("5000", "150", "160"),)
    return exceptions.NewException(s.house.vehicle.pk, "routine", "routine", steps,
                                   s.at["at"].date() + timedelta(days=9), "Stands by")  # fmt: skip


OF_RULES: dict[str, tuple[str, Callable[..., Any]]] = {
    "change_rule": ("edit_rules", lambda s, a, **k: rule_change.change_rule(
        a, NewRule("ladder", "hub", (Step("600", "30", "25"),), reason="Our record"),
        **s.at, **k)),
    "set_exception": ("edit_rules", lambda s, a, **k: exceptions.set_exception(
        a, _exception(s), **s.at, **k)),
    "end_exception": ("edit_rules", lambda s, a, **k: exceptions.end_exception(
        a, s.exception.pk, "Back on the road", **s.at, **k)),
    "put_off": ("assign_work", lambda s, a, **k: put_off.put_off(
        a, put_off.PutOff(s.soon.pk, s.soon.falls_on + timedelta(days=1), "The shop is full"),
        **s.at, **k)),
    "take_put_off_back": ("assign_work", lambda s, a, **k: put_off.take_put_off_back(
        a, s.later.pk, **s.at, **k)),
    "assign_many": ("assign_work", lambda s, a, **k: assign.assign_many(
        a, [s.recheck.pk], s.house.technician.person.pk, **s.at, **k)),
}  # fmt: skip

# What something doubted has touched.
OF_RULES |= {
    "open_sweep": ("sweep", lambda s, a, **k: sweeps.open_sweep(
        a, sweeps.NewSweep("tool", "reads high", s.house.now, s.house.tool.pk), **s.at, **k)),
    "close_sweep": ("sweep", lambda s, a, **k: sweeps.close_sweep(
        a, s.sweep.pk, "All looked at.", **s.at, **k)),
    "take_sweep_back": ("sweep", lambda s, a, **k: sweeps.take_sweep_back(
        a, s.sweep.pk, "Another tool.", **s.at, **k)),
}  # fmt: skip
