"""What every form of the house shares, and the one way from a form to an operation."""

import hashlib
import json
import secrets
from collections.abc import Callable
from copy import copy
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.actor import Actor
from fleet.operations.errors import (
    Conflict,
    KeyReused,
    NotAllowed,
    NotThere,
    Problem,
    Refused,
)
from fleet.operations.once import Request
from fleet.operations.understood import understood
from fleet.operations.work import Done
from fleet.web.doors import reader
from fleet.web.first_things import first_things
from fleet.web.numbers import NumberField

REFUSED, CONFLICT = 400, 409


@dataclass(frozen=True)
class Figure:
    """What a field's text is read as, and the unit of a bare number."""

    kind: str
    unit: str = ""
    signed: bool = False

    def read(self, typed: str) -> Any:
        return understood(self.kind, typed, unit=self.unit, signed=self.signed)


class FigureInput(forms.TextInput):
    """An input whose reading is shown back as it is typed (templates/parts/field.html)."""

    def __init__(self, kind: str, unit: str = "", *, signed: bool = False) -> None:
        self.figure = Figure(kind, unit, signed)
        attrs = {"autocomplete": "off", "data-kind": kind, "data-unit": unit}
        super().__init__(attrs | ({"data-signed": "1"} if signed else {}))


class HouseForm(forms.Form):
    """Labels without colons and no browser pop-ups: errors stand beside their field."""

    use_required_attribute = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)


def add_problems(form: forms.BaseForm, refusal: Refused) -> None:
    """Put each problem of a refusal beside the field it names, else above the form.

    What was typed stays in the form.
    """
    names = getattr(form, "names", {})
    for problem in refusal.problems:
        name = names.get(problem.field, problem.field)
        text = str(problem.message)
        if problem.line and problem.line not in text:
            text = f"{problem.line}: {text}"
        form.add_error(name if name in form.fields else None, text)


@dataclass(frozen=True)
class Pointer:
    """A problem that stands elsewhere than beside a field of the form: what, and the way to it."""

    text: str
    href: str = ""
    label: str = ""


class ActForm(HouseForm):
    """A form that asks an operation for something.

    It carries a key by which a second sending is known for what it is, and the version of what
    was read, so that somebody else's change in between is told.
    """

    # What an operation calls a figure, where the form calls it otherwise.
    names: ClassVar[dict[str, str]] = {}

    request_key = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Any = None, *, version: int | None = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.version_now = version
        self.status = REFUSED
        self.pointers: list[Pointer] = []
        self.initial["request_key"] = secrets.token_urlsafe(18)
        self.initial["version"] = version

    def is_valid(self) -> bool:
        return super().is_valid() and not self.pointers

    def readers(self) -> dict[str, Callable[[str], Any]]:
        """By field: the operation's own reading of its text, which raises Refused."""
        inputs = {
            name: getattr(field.widget, "figure", None) for name, field in self.fields.items()
        }
        return {name: figure.read for name, figure in inputs.items() if figure}

    def _post_clean(self) -> None:
        """What is missing sends a form back before the operation has read its figures: then what
        can't be read is told beside it, so that one answer names all."""
        for name, read in self.readers().items() if self.errors else ():
            typed = self.cleaned_data.get(name)
            if isinstance(typed, str) and typed.strip():
                try:
                    read(typed)
                except Refused as refused:
                    self.add_error(name, refused.problems[0].message)

    def elsewhere(self, problem: Problem) -> Pointer | None:
        """Where a problem stands that belongs to none of the form's own fields."""
        return None

    def take(self, refusal: Refused) -> None:
        """Show why it was refused; after a conflict the next try is made on what stands now."""
        own = []
        for problem in refusal.problems:
            pointer = self.elsewhere(problem)
            if pointer is None:
                own.append(problem)
            else:
                self.pointers.append(pointer)
        add_problems(self, Refused(tuple(own)))
        if isinstance(refusal, Conflict):
            self.status = CONFLICT
            self._set("version", self.version_now)

    def was_sent(self) -> None:
        """The key was used with other words: sending again must be meant."""
        self._set("request_key", secrets.token_urlsafe(18))
        message = _(
            "This form was recorded before you changed it. Send it again to record this too."
        )
        self.add_error(None, message)

    def _set(self, name: str, value: Any) -> None:
        typed: Any = copy(self.data)
        typed[name] = "" if value is None else str(value)
        self.data = typed


class MomentField(forms.DateTimeField):
    """A date and time at the vehicle's yard; empty means now."""

    def __init__(self, label: Any = gettext_lazy("When it was"), **kwargs: Any) -> None:
        super().__init__(
            label=label,
            help_text=gettext_lazy("Leave empty for now."),
            required=False,
            input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
            widget=forms.DateTimeInput({"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
            error_messages={
                "invalid": gettext_lazy("Type a date and a time, like 2026-11-25 14:30.")
            },
            **kwargs,
        )

    def clean(self, value: Any) -> datetime | None:
        moment: datetime | None = super().clean(value)
        if moment is not None and moment > timezone.now():
            raise forms.ValidationError(_("This is still to come. Type when it was."), "future")
        return moment


class HoursField(NumberField):
    """A time limit; empty means the longest that the fleet allows."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            label=gettext_lazy("For how many hours"),
            help_text=gettext_lazy("Leave empty for the longest that is allowed."),
            required=False,
            widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            error_messages={"invalid": gettext_lazy("Type hours as a number, like 2 or 1.5.")},
            **kwargs,
        )


def yes_no(label: Any, yes: Any = gettext_lazy("Yes"), no: Any = gettext_lazy("No")) -> Any:
    """A question that may be left open: true, false, or None where nobody said."""
    return forms.TypedChoiceField(
        label=label,
        choices=[("yes", yes), ("no", no), ("", gettext_lazy("Not known"))],
        coerce=lambda said: said == "yes",
        empty_value=None,
        initial="",
        required=False,
        widget=forms.RadioSelect(attrs={"class": "in-row"}),
    )


def sent(request: HttpRequest) -> Any:
    """What a form was sent with, or None while it is only looked at; an empty one is sent too."""
    return request.POST if request.method == "POST" else None


@dataclass(frozen=True)
class Ask:
    """Who asks, when, and the key by which a repeat is known: what every operation wants."""

    actor: Actor
    at: datetime
    request: Request


def carry_out(request: HttpRequest, form: Any, verb: Callable[[Ask], Done[Any]]) -> Any | None:
    """Ask an operation once. Returns its row, or None with the reasons standing in the form."""
    key = form.cleaned_data["request_key"] or secrets.token_urlsafe(18)
    ask = Ask(Actor(reader(request), "web"), timezone.now(), Request(key, _body_hash(request)))
    try:
        return verb(ask).row
    except KeyReused:
        form.was_sent()
    except NotThere as nowhere:
        raise Http404 from nowhere
    except NotAllowed as barred:
        raise PermissionDenied from barred
    except Refused as refusal:
        form.take(refusal)
    return None


def _body_hash(request: HttpRequest) -> str:
    own = ("csrfmiddlewaretoken", "request_key")
    typed = sorted((name, said) for name, said in request.POST.lists() if name not in own)
    return hashlib.sha256(json.dumps([request.path, typed]).encode()).hexdigest()


@dataclass(frozen=True)
class Sheet:
    """What a page with one form says round it."""

    title: str
    button: str
    back: str
    back_text: str
    said: str = ""
    template: str = "act/page.html"
    grave: bool = False
    # What sending the form brings about, where its fields don't say so.
    note: str = ""
    more: dict[str, Any] = field(default_factory=dict)


def form_page(
    request: HttpRequest,
    form: Any,
    sheet: Sheet,
    verb: Callable[[Ask], Done[Any]],
    then: Callable[[Any], str],
) -> HttpResponse:
    """Show a form; when it is sent, ask the operation and go where `then` says.

    A refusal shows the form again with every reason and everything that was typed.
    """
    if request.method == "POST" and form.is_valid():
        row = carry_out(request, form, verb)
        if row is not None:
            if sheet.said:
                messages.success(request, sheet.said)
            return redirect(then(row))
    status = form.status if form.is_bound and not form.is_valid() else 200
    first = first_things(form, reader(request))
    context = {"form": form, "sheet": sheet, "first": first, **sheet.more}
    return render(request, sheet.template, context, status=status)


def offer(form: forms.BaseForm, name: str, choices: Any) -> None:
    """Put choices that are known only now into a field that chooses."""
    field: Any = form.fields[name]
    field.choices = choices
