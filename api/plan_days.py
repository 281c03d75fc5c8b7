"""Days of a yard's plan: when it works, how full each day is, which days are locked."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.examples import LOCK_DAY
from api.fields import Flag, Strict
from fleet.operations.plan_days import lock_day, unlock_day
from fleet.reads.days import today_at
from fleet.reads.plan.week import days_of
from fleet.records.models import Yard

MOST_DAYS = 60


class DaysAsked(serializers.Serializer[Any]):
    first = serializers.DateField(required=False, help_text="Left out: today at the yard.")
    days = serializers.IntegerField(required=False, default=7, min_value=1, max_value=MOST_DAYS)


class DayOut(serializers.Serializer[Any]):
    day = serializers.DateField(source="day.day", read_only=True)
    opens = serializers.DateTimeField(source="day.opens", read_only=True, allow_null=True)
    closes = serializers.DateTimeField(source="day.closes", read_only=True, allow_null=True)
    shut = serializers.CharField(
        source="day.shut", read_only=True, help_text="Why it is shut; else empty."
    )
    locked = serializers.BooleanField(read_only=True)
    bay_minutes = serializers.IntegerField(source="bay_load.used", read_only=True)
    bay_minutes_open = serializers.IntegerField(source="bay_load.there", read_only=True)


class DaysOut(serializers.Serializer[Any]):
    yard = serializers.CharField(source="slug", read_only=True)
    days = DayOut(many=True, read_only=True)


class LockIn(Strict):
    day = serializers.DateField(help_text="A local day of the yard.")
    locked = Flag(help_text="False unlocks it.")


class PlanDays(Door):
    """The days of a yard's plan, one after the other."""

    model = Yard
    serializer_class = DaysOut
    ability = {"days": "edit_plan", "lock": "edit_plan"}
    keyed = frozenset({"lock"})
    takes = {"lock": LockIn}
    codes = {"lock": 200}
    asks = {"days": DaysAsked}
    examples = {"lock": LOCK_DAY}
    lookup_field = "slug"

    def days(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """When the yard works, how full each day is, and which are locked."""
        yard, asked = self.get_object(), self.asked()
        first = asked.get("first") or today_at(yard, self.now)
        return self._answer(yard, first, asked["days"])

    def lock(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Lock a day, so that no run and no hand changes it, or unlock it."""
        yard, said = self.get_object(), self.said()
        do = lock_day if said["locked"] else unlock_day
        do(self.actor, yard.pk, said["day"], at=self.now, request=self.key)
        return self._answer(yard, said["day"], 1)

    def _answer(self, yard: Yard, first: Any, days: int) -> Response:
        found = days_of(self.actor.person, yard, first, self.now, days)
        return Response(DaysOut({"slug": yard.slug, "days": found}).data)
