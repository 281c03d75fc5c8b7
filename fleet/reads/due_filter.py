"""How the due list is narrowed, alike on its page and in the API."""

from datetime import timedelta
from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from fleet.reads.due import due_this_week, later, overdue, stale_vehicles
from fleet.reads.filters import HouseFilter, day, of_reader, yard_choice
from fleet.reads.vehicles import keeping_in_now
from fleet.records.models import JointKind, Person, Recheck, Vehicle, Yard
from fleet.records.roles import ABILITIES


def _inspectors(request: Any) -> QuerySet[Any]:
    """Whom a recheck can be handed to: those whose role makes inspections."""
    return of_reader(Person, request).filter(role__in=ABILITIES["inspect"])


def _joint_kinds(request: Any) -> QuerySet[Any]:
    return of_reader(JointKind, request).order_by("group", "code")


def _vehicles(**wanted: Any) -> QuerySet[Any, Any]:
    """Ids of the vehicles that a choice is about: found first, so that few of them are quick. The
    rows they narrow are in the reader's scope already."""
    return Vehicle.objects.filter(**wanted).values("pk")


class DueFilter(HouseFilter):
    yard = yard_choice("vehicle__yard")
    when = filters.ChoiceFilter(
        choices=[
            ("late", _("late")),
            ("week", _("due this week")),
            ("later", _("later")),
            ("held", _("vehicle held")),
            ("laid_up", _("vehicle laid up")),
            ("put_off", _("put off")),
        ],
        method="that_fall",
        label=_("When"),
        empty_label=_("all"),
    )
    kind = filters.ChoiceFilter(
        choices=Recheck.Kind.choices, label=_("Kind of work"), empty_label=_("all kinds")
    )
    joint_kind = filters.ModelChoiceFilter(
        field_name="joint__kind",
        queryset=_joint_kinds,
        to_field_name="code",
        label=_("Joint"),
        empty_label=_("all joints"),
    )
    state = filters.ChoiceFilter(
        choices=[(s.value, s.label) for s in Recheck.LIVE],
        label=_("State"),
        empty_label=_("owed and missed"),
    )
    vehicle = filters.CharFilter(method="of_vehicle", label=_("Vehicle"))
    within = filters.NumberFilter(method="falls_within", label=_("Falls due within, days"))
    falls_from = day("falls_on", "gte", _("Falls due from"))
    falls_to = day("falls_on", "lte", _("Falls due by"))
    assigned_to = filters.ModelChoiceFilter(
        queryset=_inspectors,
        label=_("Assigned to"),
        empty_label=_("anybody"),
        null_label=_("nobody yet"),
    )
    meter = filters.ChoiceFilter(
        choices=[("stale", _("not read lately")), ("fresh", _("read lately"))],
        method="whose_meter",
        label=_("Meter"),
        empty_label=_("all"),
    )

    class Meta:
        model = Recheck
        fields: list[str] = []

    def that_fall(self, rows: QuerySet[Any], name: str, when: str) -> QuerySet[Any]:
        """Late, this week or later by each yard's own day; or what its vehicle is."""
        now = timezone.now()
        if when == "held":
            return rows.filter(vehicle__in=keeping_in_now().values("vehicle"))
        if when == "laid_up":
            return rows.filter(vehicle__in=_vehicles(status=Vehicle.Status.LAID_UP))
        if when == "put_off":
            return rows.filter(put_off_by__isnull=False)
        yards = list(of_reader(Yard, self.request))
        if when == "late":
            return overdue(rows, yards, now)
        return due_this_week(rows, yards, now) if when == "week" else later(rows, yards, now)

    def whose_meter(self, rows: QuerySet[Any], name: str, which: str) -> QuerySet[Any]:
        stale = Q(vehicle__in=stale_vehicles(timezone.now()).values("pk"))
        return rows.filter(stale if which == "stale" else ~stale)

    def of_vehicle(self, rows: QuerySet[Any], name: str, unit: str) -> QuerySet[Any]:
        return rows.filter(vehicle__in=_vehicles(unit_number__iexact=unit))

    def falls_within(self, rows: QuerySet[Any], name: str, days: Any) -> QuerySet[Any]:
        """Everything that falls due up to so many days ahead, and what is late already."""
        try:
            last = self.today + timedelta(days=int(days))
        except (OverflowError, ValueError):
            return rows
        return rows.filter(falls_on__lte=last)
