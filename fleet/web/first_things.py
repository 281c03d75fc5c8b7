"""What must be on file before a form can be sent at all: told instead of an empty choice."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.urls import reverse
from django.utils.translation import gettext_lazy

from fleet.records.models import Person

# By the name of the field that chooses from it: what is missing, the way there, who may go it.
_NEEDED = {
    "yard_id": (
        gettext_lazy("No yard is on file yet: this form needs one."),
        gettext_lazy("Put a yard on file"),
        "yard_new",
        "edit_yards",
    ),
    "design_id": (
        gettext_lazy("No design is on file yet: this form needs one."),
        gettext_lazy("Put a design on file"),
        "design_new",
        "edit_specs",
    ),
}


@dataclass(frozen=True)
class First:
    """What is missing, and the way to it for those who may put it on file."""

    text: Any
    label: Any
    href: str


def first_things(form: forms.BaseForm, person: Person) -> list[First]:
    """Of a form about to be shown, by its choices that have nothing to choose from."""
    return [
        First(text, label, reverse(page) if person.may(ability) else "")
        for name, (text, label, page, ability) in _NEEDED.items()
        if name in form.fields and not getattr(form.fields[name], "choices", True)
    ]
