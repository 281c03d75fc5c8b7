"""What one vehicle's exceptions make of a rule: its figures in place of the rule's."""

from datetime import datetime
from functools import cached_property

from fleet.calc.calendar import local_date
from fleet.reads.rules import RuleNow
from fleet.records.models import RuleException, Vehicle


class Exceptions:
    """Those that stand at the yard's date; read when they are first asked for, in one query."""

    def __init__(self, vehicle: Vehicle, at: datetime) -> None:
        self.vehicle, self.at = vehicle, at

    @cached_property
    def _standing(self) -> dict[str, RuleException]:
        today = local_date(self.at, self.vehicle.yard.time_zone)
        rows = RuleException.objects.filter(vehicle=self.vehicle, ended_at=None, ends_on__gte=today)
        return {row.ladder: row for row in rows}

    def of(self, ladder: RuleNow) -> tuple[RuleNow, RuleException | None]:
        """The ladder as this vehicle keeps it, and the exception that says so.

        What has become a rule that holds since has no exception any more, nor has one that was
        made for a ladder of another number of steps.
        """
        row = self._standing.get(ladder.key)
        if row is None or ladder.data.get("hold_at_twice"):
            return ladder, None
        steps = ladder.data["rungs"]
        if len(row.rungs) != len(steps):
            return ladder, None
        rungs = [{**step, **own} for step, own in zip(steps, row.rungs, strict=True)]
        return RuleNow(ladder.key, ladder.version, {**ladder.data, "rungs": rungs}), row
