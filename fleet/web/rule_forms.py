"""The forms of rules: typed, shown, kept."""

import hashlib
import json
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.rule_data import MOST_REASON, MOST_SOURCE, NewRule
from fleet.operations.rule_figures import MOST_STEPS, Step
from fleet.reads.rule_shapes import (
    FIGURE,
    FIXED_PEOPLE,
    FLOOR,
    MONTHS,
    SETTINGS,
    STEPS,
    TIME,
    Shape,
)
from fleet.web.forms import ActForm
from fleet.web.measures import SHORT

KEEP = "keep"
_PARTS = ("distance", "days", "hours")


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
