"""Runs of the planner: asked for, how far they are, stopped, put in place or left."""

from typing import Any

from django.utils.translation import gettext
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import ASK_PLAN
from api.fields import InScope, Strict, Whole
from api.people import PersonRef
from api.visits import NothingIn
from fleet.operations.plan_runs import (
    DAYS,
    MOST_DAYS,
    ask_for_plan,
    leave_run,
    stop_run,
    take_run,
)
from fleet.reads.filters import PlanRunFilter
from fleet.records.models import PlanRun, Yard

# As many as anybody plans together.
MOST_YARDS = 50


class RunOut(serializers.ModelSerializer[PlanRun]):
    """While it works `best` and `bound` say how far it is. What it proposes changes nothing
    until it is put in place."""

    yard = serializers.SlugRelatedField[PlanRun](
        slug_field="slug", read_only=True, help_text="The one it was asked from."
    )
    yards = serializers.SlugRelatedField[PlanRun](
        slug_field="slug", read_only=True, many=True, help_text="All that it plans together."
    )
    asked_by = PersonRef(read_only=True)
    proposal = serializers.DictField(
        read_only=True,
        help_text="`visits` by yard (its id), vehicle, day and bay; `unplaced` work (r and a "
        "recheck's id, t and a ticket's) with its `reasons`; `late`: what `best` is made of; "
        "`clashes` of pins and locked days, where no plan is.",
    )
    taken = serializers.DictField(
        read_only=True, help_text="Once in place: visits made, moved, out, and what was stale."
    )

    class Meta:
        model = PlanRun
        fields = [
            "id", "uid", "yard", "yards", "first", "last", "state", "asked_by", "asked_at",
            "stop_wanted", "best", "bound", "seconds", "ended_at", "proposal", "taken", "version",
        ]  # fmt: skip
        read_only_fields = fields


class AskIn(Strict):
    """One yard, or several that are planned together; the first of all is the one asked from."""

    yard = InScope(Yard, "slug", required=False)
    yards = serializers.ListField(
        child=InScope(Yard, "slug"), required=False, allow_empty=False, max_length=MOST_YARDS,
        help_text="Planned together, so that people whom they share are weighed between them.",
    )  # fmt: skip
    first = serializers.DateField(required=False, help_text="Left out: as soon as can be.")
    days = Whole(required=False, default=DAYS, min_value=1, max_value=MOST_DAYS)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        own = [attrs["yard"]] if "yard" in attrs else []
        wanted = list(dict.fromkeys([*own, *attrs.get("yards", [])]))
        if not wanted:
            raise serializers.ValidationError(
                {"yard": [ErrorDetail(gettext("Say which yard to plan."), code="required")]}
            )
        return {**attrs, "yards": wanted}


class Runs(Listed, Shown):
    """Runs of the planner, the newest first. Ask again for one to see how far it is."""

    model = PlanRun
    serializer_class = RunOut
    filterset_class = PlanRunFilter
    ability = {
        "list": "edit_plan", "retrieve": "edit_plan", "create": "edit_plan", "stop": "edit_plan",
        "take": "edit_plan", "leave": "edit_plan",
    }  # fmt: skip
    keyed = frozenset({"create", "stop", "take", "leave"})
    matched = frozenset({"take", "leave"})
    takes = {"create": AskIn, "stop": NothingIn, "take": NothingIn, "leave": NothingIn}
    codes = {"stop": 200, "take": 200, "leave": 200}
    examples = {"create": ASK_PLAN}

    def shown(self, rows: Any) -> Any:
        return rows.select_related("yard", "asked_by").prefetch_related("yards")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Ask for a plan of a yard, or of several together. While one is at work for any of
        them, that one is the answer."""
        said = self.said()
        yard, *others = said["yards"]
        return self.made(ask_for_plan(
            self.actor, yard.pk, at=self.now, first=said.get("first"), days=said["days"],
            others=[each.pk for each in others], request=self.key,
        ))  # fmt: skip

    def stop(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Stop looking for a better plan; the best so far is proposed."""
        row = self.get_object()
        self.said()
        return self.done(stop_run(self.actor, row.pk, at=self.now, request=self.key))

    def take(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Put what it proposes in place; what changed since it was read stays as it is now."""
        return self._end(take_run)

    def leave(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Leave what it proposes: the plan stays as it is."""
        return self._end(leave_run)

    def _end(self, verb: Any) -> Response:
        row = self.get_object()
        self.said()
        return self.done(verb(self.actor, row.pk, at=self.now, expected_version=self.expected,
                              request=self.key))  # fmt: skip
