"""What each step out of a ticket asks, and the operation that it asks for it."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from fleet.operations import close_out
from fleet.operations.complain import speed_m_s
from fleet.operations.errors import Problem
from fleet.operations.repair import cancel_ticket
from fleet.operations.work import Done
from fleet.records.models import Person, SecondCheck, Ticket
from fleet.web.forms import ActForm, Ask, HoursField, MomentField, Pointer
from fleet.web.measures import SHORT
from fleet.web.ticket_work import pointer

PASSED = [("yes", gettext_lazy("Passed")), ("no", gettext_lazy("Did not pass"))]
LONG = {"rows": 3}


class StepForm(ActForm):
    """A step on a whole ticket: what a line lacks is pointed at, on the line's own page."""

    def __init__(self, data: Any, ticket: Ticket, person: Person) -> None:
        super().__init__(data, version=ticket.version)
        self.ticket = ticket

    def elsewhere(self, problem: Problem) -> Pointer | None:
        own = problem.line_id is None and problem.field in self.fields
        return None if own or problem.code == "changed" else pointer(problem, self.ticket)


def passed_field(missing: Any) -> Any:
    return forms.TypedChoiceField(
        label=gettext_lazy("Result"),
        choices=PASSED,
        coerce=lambda said: said == "yes",
        widget=forms.RadioSelect(attrs={"class": "in-row"}),
        error_messages={"required": missing},
    )


class CheckForm(StepForm):
    passed = passed_field(gettext_lazy("Say whether it passed."))
    dry_steer = forms.BooleanField(
        label=gettext_lazy("Dry steer made on the floor, brake set, wheels chocked, hands clear"),
        required=False,
    )
    how = forms.ChoiceField(
        label=gettext_lazy("How it was checked"), choices=SecondCheck.How.choices
    )
    note = forms.CharField(
        label=gettext_lazy("What was looked at, or what did not pass"),
        widget=forms.Textarea(attrs=LONG),
        required=False,
        max_length=2000,
    )

    def ask(self, ask: Ask) -> Done[Any]:
        said = self.cleaned_data
        sheet = close_out.CheckSheet(said["passed"], said["dry_steer"], said["note"], said["how"])
        return close_out.second_check(
            ask.actor,
            self.ticket.pk,
            sheet,
            at=ask.at,
            expected_version=said["version"],
            request=ask.request,
        )


class ReleaseForm(StepForm):
    driver = forms.CharField(
        label=gettext_lazy("Driver"),
        max_length=120,
        error_messages={"required": gettext_lazy("Name the driver.")},
    )
    place = forms.CharField(
        label=gettext_lazy("Where it is driven"),
        help_text=gettext_lazy("Best on the yard's own ground first."),
        max_length=160,
        error_messages={"required": gettext_lazy("Say where it is driven.")},
    )
    hours = HoursField()

    def ask(self, ask: Ask) -> Done[Any]:
        said = self.cleaned_data
        out = close_out.Release(said["driver"], said["place"], said["hours"])
        return close_out.release(
            ask.actor,
            self.ticket.pk,
            out,
            at=ask.at,
            expected_version=said["version"],
            request=ask.request,
        )


class RoadTestForm(StepForm):
    passed = passed_field(gettext_lazy("Say whether it passed."))
    top_speed = forms.CharField(
        label=gettext_lazy("Highest speed"),
        help_text=gettext_lazy("Like 45 mph or 70 km/h."),
        widget=forms.TextInput(attrs=SHORT),
        required=False,
        max_length=30,
    )
    note = forms.CharField(
        label=gettext_lazy("What was felt, and at what speed"),
        widget=forms.Textarea(attrs=LONG),
        required=False,
        max_length=2000,
    )
    occurred_at = MomentField()

    def readers(self) -> dict[str, Callable[[str], Any]]:
        return {"top_speed": lambda typed: speed_m_s(typed, self.ticket.vehicle)}

    def ask(self, ask: Ask) -> Done[Any]:
        said = self.cleaned_data
        names = ("passed", "note", "top_speed", "occurred_at")
        sheet = close_out.TestSheet(**{name: said[name] for name in names})
        return close_out.road_test(
            ask.actor,
            self.ticket.pk,
            sheet,
            at=ask.at,
            expected_version=said["version"],
            request=ask.request,
        )


class CloseForm(StepForm):
    outcome = forms.CharField(
        label=gettext_lazy("What it was"),
        help_text=gettext_lazy(
            "The cause, in a sentence; or what was looked at when nothing was found."
        ),
        widget=forms.Textarea(attrs=LONG),
        required=False,
        max_length=2000,
    )

    def ask(self, ask: Ask) -> Done[Any]:
        said = self.cleaned_data
        return close_out.close_ticket(
            ask.actor,
            self.ticket.pk,
            at=ask.at,
            outcome=said["outcome"],
            expected_version=said["version"],
            request=ask.request,
        )


class CancelForm(StepForm):
    reason = forms.CharField(
        label=gettext_lazy("Why it is cancelled"),
        widget=forms.Textarea(attrs=LONG),
        max_length=200,
        error_messages={"required": gettext_lazy("Say why it is cancelled.")},
    )

    def ask(self, ask: Ask) -> Done[Any]:
        said = self.cleaned_data
        return cancel_ticket(
            ask.actor,
            self.ticket.pk,
            said["reason"],
            at=ask.at,
            expected_version=said["version"],
            request=ask.request,
        )
