"""Exceptions from rules that stand at their yard's date."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet

from fleet.reads.days import on_each_yards_day, today_at
from fleet.reads.rule_words import steps_said
from fleet.reads.rules import RuleNow, rules
from fleet.records.models import Person, Recheck, RuleException, Vehicle, Yard


@dataclass(frozen=True)
class ExceptionRow:
    row: RuleException
    rule: str
    says: str
    today: date

    @property
    def stands(self) -> bool:
        return self.row.ended_at is None and self.row.ends_on >= self.today


def exceptions_standing(person: Person, now: datetime) -> list[ExceptionRow]:
    """All that stand in the person's yards, the first to end first; three queries."""
    yards = list(Yard.visible_to(person))
    here = on_each_yards_day(yards, now, "vehicle__yard", ends_on__gte=0)
    return _rows(RuleException.visible_to(person).filter(here, ended_at=None), now)


def exceptions_of(person: Person, vehicle: Vehicle, now: datetime) -> list[ExceptionRow]:
    """One vehicle's, with those that have ended, the newest first."""
    rows = RuleException.visible_to(person).filter(vehicle=vehicle)
    return sorted(_rows(rows, now), key=lambda one: (not one.stands, -one.row.pk))


def _rows(rows: QuerySet[RuleException], now: datetime) -> list[ExceptionRow]:
    ladders = rules("ladder")
    found = rows.select_related("vehicle__yard", "set_by", "ended_by").order_by("ends_on", "pk")
    return [
        ExceptionRow(row, rule_name(row.ladder, ladders), steps_said(row.rungs),
                     today_at(row.vehicle.yard, now))
        for row in found
    ]  # fmt: skip


def rule_name(ladder: str, ladders: dict[str, RuleNow]) -> str:
    """What a recheck's rule is called; the routine by duty by its kind."""
    return ladders[ladder].name if ladder in ladders else str(Recheck.Kind.ROUTINE.label)
