"""The fleet's rules: what they say, who changed them, and a change with its preview."""

import hashlib
import json
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.actor import Actor
from fleet.operations.errors import Refused
from fleet.operations.rule_change import change_rule
from fleet.operations.rule_data import MOST_REASON, MOST_SOURCE, NewRule
from fleet.operations.rule_figures import MOST_STEPS, Step
from fleet.operations.rule_preview import preview_rule
from fleet.operations.work import Done
from fleet.reads.exceptions import exceptions_standing
from fleet.reads.rule_shapes import (
    FIGURE,
    FIXED_PEOPLE,
    FLOOR,
    MONTHS,
    SETTINGS,
    STEPS,
    TIME,
    Shape,
    groups,
    shape_of,
)
from fleet.reads.rule_shapes import shapes as all_shapes
from fleet.reads.rule_words import step_said, versions_of, words_of
from fleet.records.models import Rule
from fleet.web.doors import needs, reader
from fleet.web.forms import ActForm, Ask, carry_out, sent
from fleet.web.measures import SHORT

KEEP = "keep"
_PARTS = ("distance", "days", "hours")


@needs("view_specs")
def rule_list(request: HttpRequest) -> HttpResponse:
    rows = all_shapes()
    said = {(one.kind, one.key): words_of(one.now.data) for one in rows if one.now}
    context = {
        "groups": groups(rows),
        "said": said,
        "exceptions": exceptions_standing(reader(request), timezone.now()),
    }
    return render(request, "rules/list.html", context)


@needs("view_specs")
def rule_page(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """What it says, and every version of it with who, when and why."""
    shape = _shape(kind, key)
    context = {
        "shape": shape,
        "says": words_of(shape.now.data) if shape.now else "",
        "steps": [step_said(step) for step in shape.rungs] if shape.form == STEPS else [],
        "versions": versions_of(kind, key),
    }
    return render(request, "rules/page.html", context)


def _shape(kind: str, key: str) -> Shape:
    found = shape_of(kind, key)
    if found is None:
        raise Http404
    return found


class PreviewedForm(ActForm):
    """A form whose outcome is shown before it is kept: `seen` says of what it was shown."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)

    @property
    def fingerprint(self) -> str:
        """Of what was typed, not of the key, the version or the buttons."""
        own = ("csrfmiddlewaretoken", "request_key", "seen", "version", "do")
        typed = sorted((name, said) for name, said in self.data.items() if name not in own)
        return hashlib.sha256(json.dumps([typed, self.version_now]).encode()).hexdigest()

    def meant(self) -> bool:
        """Whether it is kept as it was shown."""
        return self.data.get("do") == KEEP and self.data.get("seen") == self.fingerprint

    def shown(self) -> None:
        self._set("seen", self.fingerprint)


def reason_field(
    help_text: Any = gettext_lazy("Stays with the version for good."),
) -> forms.CharField:
    return forms.CharField(
        label=gettext_lazy("Why"),
        help_text=help_text,
        widget=forms.Textarea(attrs={"rows": 2}),
        required=False,
        max_length=MOST_REASON,
    )


def anew_field() -> forms.BooleanField:
    return forms.BooleanField(
        label=gettext_lazy("Make what is owed now anew by it"),
        help_text=gettext_lazy(
            "Without this, what is owed keeps the time it started with; only what is made from now "
            "on goes by the new figures."
        ),
        required=False,
    )


class StepsForm(PreviewedForm):
    """As many steps as the rule has, and room for one more; an empty one is left out."""

    names: ClassVar[dict[str, str]] = {
        f"steps.{n}.{part}": f"step{n}_{part}" for n in range(MOST_STEPS + 1) for part in _PARTS
    }

    def add_steps(self, rungs: list[dict[str, Any]], count: int) -> None:
        self.steps_shown = count
        for n in range(count):
            now = rungs[n] if n < len(rungs) else {}
            for part, label in zip(_PARTS, _labels(n, count), strict=True):
                field = forms.CharField(label=label, required=False, max_length=20,
                                        widget=forms.TextInput(SHORT))  # fmt: skip
                self.fields[f"step{n}_{part}"] = field
                self.initial[f"step{n}_{part}"] = _typed(now, part)

    @property
    def step_rows(self) -> list[list[forms.BoundField]]:
        return [[self[f"step{n}_{part}"] for part in _PARTS] for n in range(self.steps_shown)]

    def steps(self) -> tuple[Step, ...]:
        said = self.cleaned_data
        return tuple(
            Step(*(said[f"step{n}_{part}"] for part in _PARTS)) for n in range(self.steps_shown)
        )


def _labels(n: int, count: int) -> list[str]:
    plain = [_("Distance"), _("Days"), _("Hours")]
    if count == 1:
        return plain
    return [_("Step %(n)d: %(what)s") % {"n": n + 1, "what": what.lower()} for what in plain]


def _typed(step: dict[str, Any], part: str) -> str:
    """A figure of the rule as a person would type it."""
    if part == "distance":
        if step.get("typed"):
            return str(step["typed"])
        return f"{step['miles']:g} mi" if step.get("miles") else ""
    return f"{step[part]:g}" if step.get(part) else ""


class RuleForm(StepsForm):
    value = forms.CharField(required=False, max_length=20, widget=forms.TextInput(SHORT))
    people = forms.TypedChoiceField(
        label=gettext_lazy("People at once"),
        choices=[(1, gettext_lazy("one")), (2, gettext_lazy("two"))],
        coerce=int,
        empty_value=None,
        required=False,
        widget=forms.RadioSelect,
    )
    source = forms.CharField(
        label=gettext_lazy("Where the figures are from"),
        help_text=gettext_lazy("Service information, a standard, or empty for the fleet's own."),
        required=False,
        max_length=MOST_SOURCE,
    )
    reason = reason_field()
    anew = anew_field()
    take_back = forms.BooleanField(
        label=gettext_lazy("Take it back: the rule of the duty stands again"), required=False
    )

    def __init__(self, data: Any, shape: Shape) -> None:
        super().__init__(data, version=shape.version)
        self.shape = shape
        self.add_steps(shape.rungs, _count(shape))
        self._value(shape)
        if shape.now is not None:
            self.initial["source"] = shape.now.source
        if shape.kind == "setting" or shape.form in (FLOOR, TIME):
            del self.fields["anew"]
        if shape.form != TIME or shape.key in FIXED_PEOPLE:
            del self.fields["people"]
        if shape.now is None or shape.group != "weight" or not shape.now.data.get("stands", True):
            del self.fields["take_back"]

    def _value(self, shape: Shape) -> None:
        """The one figure of a rule that has one, under its own name."""
        field, data = self.fields["value"], shape.now.data if shape.now else {}
        if shape.form == MONTHS:
            field.label, field.help_text = _("Every so many months"), _("The law says 12 at most.")
            self.initial["value"] = str(data.get("months", ""))
        elif shape.form == FLOOR:
            field.label = _("Share of the last interval, in hundredths")
            field.help_text = _("50 is half. The figures below are the least it comes to.")
            self.initial["value"] = f"{100 * data.get('factor', 0):g}"
        elif shape.form == FIGURE:
            bounds = SETTINGS[shape.key]
            field.label, field.help_text = str(bounds.unit).capitalize(), bounds.hint
            self.initial["value"] = f"{data.get('value', 0):g}"
        elif shape.form == TIME:
            field.label, field.help_text = _("Minutes"), _("In the bay, of each who works at it.")
            self.initial["value"] = f"{data['minutes']:g}"
            self.initial["people"] = data["people"]
        else:
            del self.fields["value"]

    def new(self) -> NewRule:
        said = self.cleaned_data
        return NewRule(
            self.shape.kind, self.shape.key, self.steps(), said.get("value", ""), said["source"],
            said["reason"], anew=said.get("anew", False), take_back=said.get("take_back", False),
            people=said.get("people"),
        )  # fmt: skip


def _count(shape: Shape) -> int:
    if shape.form in (MONTHS, FIGURE, TIME):
        return 0
    return min(len(shape.rungs) + 1, MOST_STEPS) if shape.form == STEPS else 1


class BackForm(PreviewedForm):
    reason = reason_field()
    anew = anew_field()


@needs("edit_rules")
def rule_change(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    shape = _shape(kind, key)
    form = RuleForm(sent(request), shape)
    if request.method != "POST" and kind == "routine" and shape.now is None:
        _like_the_duty(form, shape)
    return _previewed(request, form, shape, _("Change: %(rule)s") % {"rule": shape.name}, form.new)


def _like_the_duty(form: RuleForm, shape: Shape) -> None:
    """A weight class's first rule begins with the figures of its duty."""
    duty = _shape("routine", shape.key.partition("-")[0])
    form.add_steps(duty.rungs, 1)


@needs("edit_rules")
def rule_back(request: HttpRequest, kind: str, key: str, version: int) -> HttpResponse:
    """An earlier version, put in force again as a new one."""
    shape = _shape(kind, key)
    earlier = next((one for one in versions_of(kind, key) if one.row.version == version), None)
    if earlier is None or earlier.row.is_current:
        raise Http404
    form = BackForm(sent(request), version=shape.version)
    if shape.kind in ("setting", "minutes"):
        del form.fields["anew"]
    title = _("Back to version %(n)d: %(rule)s") % {"n": version, "rule": shape.name}

    def new() -> NewRule:
        said = form.cleaned_data
        return NewRule(kind, key, reason=said["reason"], anew=said.get("anew", False),
                       back_to=version)  # fmt: skip

    return _previewed(request, form, shape, title, new, earlier=earlier)


def _previewed(
    request: HttpRequest, form: Any, shape: Shape, title: str, new: Any, **more: Any
) -> HttpResponse:
    """Show what it would move; kept only as it was shown."""
    preview = None
    if request.method == "POST" and form.is_valid():
        if form.meant():
            if carry_out(request, form, lambda ask: _changed(ask, form, new())) is not None:
                messages.success(request, _("On file as a new version."))
                return redirect("rule", shape.kind, shape.key)
        else:
            preview = _preview(request, form, new())
    context = {"form": form, "shape": shape, "title": title, "preview": preview,
               "says": words_of(shape.now.data) if shape.now else "",
               "back": reverse("rule", args=[shape.kind, shape.key]), **more}  # fmt: skip
    wrong = form.is_bound and not form.is_valid()
    return render(request, "rules/change.html", context, status=form.status if wrong else 200)


def _preview(request: HttpRequest, form: Any, new: NewRule) -> Any:
    try:
        found = preview_rule(Actor(reader(request), "web"), new, now=timezone.now())
    except Refused as refusal:
        form.take(refusal)
        return None
    form.shown()
    return found


def _changed(ask: Ask, form: Any, new: NewRule) -> Done[Rule]:
    return change_rule(ask.actor, new, at=ask.at, request=ask.request,
                       expected_version=form.cleaned_data["version"])  # fmt: skip
