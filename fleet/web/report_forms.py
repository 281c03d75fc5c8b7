"""What may be chosen for a report: yard, days, and how a past day is meant."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.reads.cut import HAPPENED, KNOWN
from fleet.reads.reports.part_life import DISTANCE, HOURS
from fleet.reads.reports.vehicle_record import wrong_days
from fleet.records.models import Yard
from fleet.web.forms import HouseForm, offer


class DayField(forms.DateField):
    """A day, chosen in the browser's own calendar."""

    def __init__(self, label: Any, **more: Any) -> None:
        wrong = gettext_lazy("Type a day like 2026-11-25.")
        more["error_messages"] = {"invalid": wrong} | more.get("error_messages", {})
        widget = forms.DateInput({"type": "date"}, format="%Y-%m-%d")
        super().__init__(label=label, widget=widget, **more)


class YardForm(HouseForm):
    """The reader's yards by their short names; none chosen is all of them."""

    yard = forms.ChoiceField(label=gettext_lazy("Yard"), required=False)

    def __init__(self, data: Any, yards: list[Yard]) -> None:
        super().__init__(data)
        self.by_slug = {yard.slug: yard for yard in yards}
        choices = [("", _("all yards")), *((yard.slug, yard.name) for yard in yards)]
        offer(self, "yard", choices)

    @property
    def yards(self) -> list[Yard]:
        """Those that were chosen; all of them where the choice can't be read."""
        chosen = self.by_slug.get(self.cleaned_data.get("yard", ""))
        return [chosen] if chosen else list(self.by_slug.values())


class DaysForm(YardForm):
    since = DayField(gettext_lazy("From"), required=False)
    until = DayField(gettext_lazy("To"), required=False)

    def clean(self) -> None:
        add_wrong_days(self, None)


class PartsForm(DaysForm):
    run_in = forms.ChoiceField(
        label=gettext_lazy("Runs by"),
        choices=[(DISTANCE, gettext_lazy("distance")), (HOURS, gettext_lazy("hour meters"))],
        required=False,
    )


class FleetForm(YardForm):
    not_since = DayField(gettext_lazy("No full look since"), required=False)


class RecordForm(HouseForm):
    """Which days of one vehicle's record, and what 'as it stood' means."""

    since = DayField(gettext_lazy("From"), required=False)
    until = DayField(
        gettext_lazy("As it stood on"),
        help_text=gettext_lazy("Leave both days empty for the whole file."),
        required=False,
    )
    basis = forms.ChoiceField(
        label=gettext_lazy("A past day is"),
        choices=[
            (KNOWN, gettext_lazy("what was known then")),
            (HAPPENED, gettext_lazy("what had happened by then")),
        ],
        required=False,
    )

    def __init__(self, data: Any, today: date) -> None:
        super().__init__(data)
        self.today = today

    def clean(self) -> None:
        add_wrong_days(self, self.today)


def add_wrong_days(form: forms.Form, today: date | None) -> None:
    """Say beside each day what can't be meant by it."""
    since, until = form.cleaned_data.get("since"), form.cleaned_data.get("until")
    for name, text in wrong_days(since, until, today).items():
        form.add_error(name, text)
