"""What is asked of a person who is taken on or changed."""

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy

from fleet.operations.people import NewPerson
from fleet.operations.person_rules import PersonFacts
from fleet.records.models import Role, Yard
from fleet.web.forms import ActForm, offer

PLAIN = {"autocomplete": "off"}
# What each role is for, in a line: the choice is made by somebody who has not read the manual.
ROLES = [
    (Role.TECHNICIAN, gettext_lazy("technician: inspects, repairs, makes second checks")),
    (Role.DRIVER, gettext_lazy("driver: reports what is felt, reads the meter")),
    (Role.SCHEDULER, gettext_lazy("scheduler: hands out what is due")),
    (Role.MANAGER, gettext_lazy("manager: all of it, with people, figures and rules")),
    (Role.READER, gettext_lazy("reader: reads the record, writes nothing")),
    (Role.INTEGRATOR, gettext_lazy("integrator: a program that sends meter readings")),
]


class PersonForm(ActForm):
    """What may be changed of a person once they are on file."""

    names: ClassVar[dict[str, str]] = {"yards": "yard_ids"}

    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=120,
        widget=forms.TextInput(attrs=PLAIN),
        error_messages={"required": gettext_lazy("Give the name.")},
    )
    role = forms.ChoiceField(
        label=gettext_lazy("Role"),
        choices=ROLES,
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose a role from the list.")},
    )
    all_yards = forms.BooleanField(
        label=gettext_lazy("All yards, those to come too"), required=False
    )
    yard_ids = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Yards"),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    trained = forms.BooleanField(
        label=gettext_lazy("Trained to check"),
        help_text=gettext_lazy(
            "May witness a second check or make one from afar, and decide that a held vehicle is "
            "moved to the yard. Keep the proof of training on file yourselves."
        ),
        required=False,
    )
    phone = forms.CharField(
        label=gettext_lazy("Telephone"),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "tel", **PLAIN}),
    )

    def __init__(self, data: Any, mine: list[Yard], *, may_all: bool, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        offer(self, "yard_ids", [(y.pk, y.name) for y in mine])
        if not may_all:
            del self.fields["all_yards"]
        elif not mine:
            del self.fields["yard_ids"]

    def facts(self) -> PersonFacts:
        said = self.cleaned_data
        return PersonFacts(
            said["name"], said["role"], tuple(said.get("yard_ids", ())),
            said.get("all_yards", False), said["trained"], said["phone"],
        )  # fmt: skip


class NewPersonForm(PersonForm):
    username = forms.CharField(
        label=gettext_lazy("Sign-in name"),
        help_text=gettext_lazy("Short, as it is typed on a tablet. It stays."),
        max_length=60,
        widget=forms.TextInput(attrs={"autocapitalize": "none", "spellcheck": "false", **PLAIN}),
        error_messages={"required": gettext_lazy("Give a sign-in name.")},
    )
    field_order = ("name", "username", "role", "all_yards", "yard_ids", "trained", "phone")

    def new(self) -> NewPerson:
        facts = self.facts()
        return NewPerson(
            self.cleaned_data["username"], facts.name, facts.role, "", facts.yard_ids,
            facts.all_yards, facts.trained, facts.phone,
        )  # fmt: skip
