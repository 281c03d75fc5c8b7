"""The filter sets that the pages and the API share: one name, one meaning, at both doors."""

from datetime import date
from typing import Any, cast

import django_filters as filters
from django.db.models import Exists, OuterRef, QuerySet
from django.forms import DateInput
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from fleet.reads.patterns.kinds import KINDS
from fleet.reads.sweeps.progress import BECAME
from fleet.reads.vehicles import keeping_in_now
from fleet.records.models import (
    Duty,
    FileAnswer,
    FileRequest,
    IntervalProposal,
    JointKind,
    Pattern,
    PlanRun,
    Sweep,
    SweepJoint,
    Ticket,
    Vehicle,
    Visit,
    Yard,
)


def _yards(request: Any) -> QuerySet[Any]:
    return of_reader(Yard, request)


def of_reader(model: Any, request: Any) -> QuerySet[Any]:
    """Choices come from the reader's scope; the schema generator has no reader."""
    if request is None:
        return cast("QuerySet[Any]", model._default_manager.none())
    return cast("QuerySet[Any]", model.visible_to(request.user))


def _kinds_reckoned(request: Any) -> QuerySet[Any]:
    """Kinds of joints of which anything was reckoned."""
    reckoned = IntervalProposal.objects.filter(is_current=True).values("kind")
    return of_reader(JointKind, request).filter(pk__in=reckoned)


def yard_choice(path: str) -> filters.ModelChoiceFilter:
    return filters.ModelChoiceFilter(
        field_name=path,
        queryset=_yards,
        to_field_name="slug",
        label=_("Yard"),
        empty_label=_("all yards"),
    )


def unit_number(path: str) -> filters.CharFilter:
    return filters.CharFilter(field_name=path, lookup_expr="iexact", label=_("Vehicle"))


def day(path: str, lookup: str, label: Any) -> filters.DateFilter:
    """A date chosen in the browser's own calendar."""
    widget = DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return filters.DateFilter(field_name=path, lookup_expr=lookup, label=label, widget=widget)


class HouseFilter(filters.FilterSet):  # type: ignore[misc]  # django-filter ships no types
    """`today` is the reader's day, handed down by the door that knows it."""

    def __init__(self, *args: Any, today: date | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A door without a day of its own (the schema generator) gets the process's.
        self.today = today or timezone.localdate()


class VisitFilter(HouseFilter):
    yard = yard_choice("yard")
    vehicle = unit_number("vehicle__unit_number")
    day_from = day("day", "gte", _("From day"))
    day_to = day("day", "lte", _("To day"))
    state = filters.ChoiceFilter(
        choices=Visit.State.choices, label=_("State"), empty_label=_("all states")
    )

    class Meta:
        model = Visit
        fields: list[str] = []


class PlanRunFilter(HouseFilter):
    yard = yard_choice("yards")

    class Meta:
        model = PlanRun
        fields: list[str] = []


class VehicleFilter(HouseFilter):
    q = filters.CharFilter(
        field_name="unit_number", lookup_expr="icontains", label=_("Unit number")
    )
    yard = yard_choice("yard")
    duty = filters.ChoiceFilter(choices=Duty.choices, label=_("Duty"), empty_label=_("all duties"))
    state = filters.ChoiceFilter(
        choices=[("held", _("held")), *Vehicle.Status.choices],
        method="in_state",
        label=_("State"),
        empty_label=_("all states"),
    )

    class Meta:
        model = Vehicle
        fields: list[str] = []

    def in_state(self, rows: QuerySet[Any], name: str, state: str) -> QuerySet[Any]:
        """Held is no column: it is having an open hold."""
        if state == "held":
            return rows.filter(Exists(keeping_in_now().filter(vehicle=OuterRef("pk"))))
        return rows.filter(status=state)


class TicketFilter(HouseFilter):
    yard = yard_choice("vehicle__yard")
    state = filters.ChoiceFilter(
        choices=Ticket.State.choices, label=_("State"), empty_label=_("all states")
    )
    vehicle = unit_number("vehicle__unit_number")

    class Meta:
        model = Ticket
        fields: list[str] = []


class PatternFilter(HouseFilter):
    kind = filters.ChoiceFilter(
        choices=list(KINDS.items()), label=_("Kind"), empty_label=_("all kinds")
    )
    yard = yard_choice("yard")
    state = filters.ChoiceFilter(
        choices=Pattern.State.choices, label=_("State"), empty_label=_("all states")
    )
    vehicle = unit_number("vehicle__unit_number")

    class Meta:
        model = Pattern
        fields: list[str] = []


class FileFilter(HouseFilter):
    yard = yard_choice("vehicle__yard")
    state = filters.ChoiceFilter(
        choices=[("open", _("open")), *FileAnswer.Kind.choices],
        method="in_state",
        label=_("State"),
        empty_label=_("all states"),
    )
    vehicle = unit_number("vehicle__unit_number")

    class Meta:
        model = FileRequest
        fields: list[str] = []

    def in_state(self, rows: QuerySet[Any], name: str, state: str) -> QuerySet[Any]:
        """Open is no column: it is having no end."""
        return rows.filter(answer=None) if state == "open" else rows.filter(answer__kind=state)


class IntervalFilter(HouseFilter):
    says = filters.ChoiceFilter(
        choices=[
            ("offered", _("a proposal waits")),
            ("accepted", _("accepted")),
            ("declined", _("declined")),
            ("as_it_is", _("borne out as it is")),
            ("too_little", _("too little is known")),
        ],
        method="that_say",
        label=_("The record says"),
        empty_label=_("anything"),
    )
    kind = filters.ModelChoiceFilter(
        queryset=_kinds_reckoned,
        to_field_name="code",
        label=_("Joint"),
        empty_label=_("all joints"),
    )
    duty = filters.ChoiceFilter(choices=Duty.choices, label=_("Duty"), empty_label=_("all duties"))

    class Meta:
        model = IntervalProposal
        fields: list[str] = []

    def that_say(self, rows: QuerySet[Any], name: str, what: str) -> QuerySet[Any]:
        if what in ("accepted", "declined"):
            return rows.filter(state=what)
        rows = rows.filter(state="open")
        if what == "too_little":
            return rows.exclude(missing="")
        return rows.filter(missing="", offered_si__isnull=what == "as_it_is")


class SweepFilter(HouseFilter):
    state = filters.ChoiceFilter(
        choices=Sweep.State.choices, label=_("State"), empty_label=_("all states")
    )
    of = filters.ChoiceFilter(
        choices=Sweep.Of.choices, label=_("What is doubted"), empty_label=_("anything")
    )

    class Meta:
        model = Sweep
        fields: list[str] = []


class SweepJointFilter(HouseFilter):
    """Over rows that know what they came to (`joints_of`)."""

    became = filters.ChoiceFilter(
        choices=list(BECAME.items()), label=_("What came of it"), empty_label=_("anything")
    )
    yard = yard_choice("joint__vehicle__yard")
    vehicle = unit_number("joint__vehicle__unit_number")

    class Meta:
        model = SweepJoint
        fields: list[str] = []


class TrailFilter(HouseFilter):
    """The trail holds ids, so its vehicle is looked up by number in the reader's scope."""

    vehicle = filters.CharFilter(method="about_vehicle", label=_("Vehicle"))
    since = day("at", "date__gte", _("From"))
    until = day("at", "date__lte", _("To"))

    def about_vehicle(self, rows: QuerySet[Any], name: str, number: str) -> QuerySet[Any]:
        seen = of_reader(Vehicle, self.request).filter(unit_number__iexact=number)
        return rows.filter(vehicle_id__in=seen.values("pk"))
