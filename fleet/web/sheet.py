"""The inspection sheet as typed: its conditions, and one entry a joint.

Forty joints with ten inputs each are drawn by one flat template and read here without a form
object apiece: the page stays small and quick.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from fleet.operations import inspect
from fleet.operations.errors import Problem
from fleet.operations.foretell import Foretold, tells
from fleet.operations.looks import Look, never_retorqued
from fleet.operations.sheet_choices import codes_of, methods_of
from fleet.reads.inspections import SheetRow
from fleet.reads.rules import RuleNow
from fleet.records.models import (
    Complaint,
    FindingCode,
    InspectionKind,
    Person,
    ThreadCondition,
    TorqueTool,
    Vehicle,
)
from fleet.web.forms import ActForm, MomentField, Pointer, yes_no

TYPED = ("code", "method", "degrees", "play", "torque", "tool", "extension", "reason", "note")
# Inputs that one finding alone asks for, and those that go with the wrench.
ASKED_BY = {
    "degrees": FindingCode.MOVED,
    "play": FindingCode.PLAY,
    "reason": FindingCode.NOT_REACHED,
}
BY_WRENCH = ("torque", "tool", "extension")
CONDITIONS = (
    "kind",
    "at_wheel",
    "on_wheels",
    "engine_on",
    "ride_height",
    "plough_on",
    "meter",
    "occurred_at",
    "note",
)
# What is asked first; the rest stands behind one more tap.
COMMON = (FindingCode.NO_PLAY, FindingCode.TIGHT, FindingCode.MOVED, FindingCode.PLAY)
Foretell = Callable[["SheetForm"], list[Foretold]]
_PATH = re.compile(r"findings\.(\d+)\.(\w+)")


@dataclass
class Entry:
    """One joint on the sheet: what is known of it, what was typed, what is wrong with that."""

    known: SheetRow
    typed: dict[str, str]
    errors: dict[str, list[str]] = field(default_factory=dict)
    # What it would be recorded as; only of a sheet that was sent and is shown again.
    told: Callable[["Entry"], Foretold | None] = lambda _entry: None

    @property
    def foretold(self) -> Foretold | None:
        return self.told(self)

    @property
    def joint(self) -> Any:
        return self.known.row.joint

    @property
    def prefix(self) -> str:
        return f"j{self.joint.pk}"

    @property
    def wrenched(self) -> bool:
        """Whether a wrench at its figure may be put on it at all."""
        return not never_retorqued(self.joint.kind, self.known.spec)

    @property
    def codes(self) -> list[FindingCode]:
        """The findings that this joint can have."""
        return codes_of(self.joint, self.known.spec)

    @property
    def common(self) -> list[tuple[str, str]]:
        return [(code.value, _capital(code.label)) for code in self.codes if code in COMMON]

    @property
    def rare(self) -> list[tuple[str, str]]:
        return [(code.value, _capital(code.label)) for code in self.codes if code not in COMMON]

    @property
    def is_rare(self) -> bool:
        return not self.common or self.typed["code"] not in ("", *COMMON)

    def methods(self, names: dict[str, str]) -> list[tuple[str, str]]:
        """How it is looked at: what shows play first, then what shows turning."""
        return [(code, names.get(code, code)) for code in methods_of(self.joint.kind)]


class SheetForm(ActForm):
    """The conditions of the look, and the entries of its joints."""

    kind = forms.ChoiceField(
        label=gettext_lazy("Kind of inspection"), choices=InspectionKind.choices
    )
    at_wheel = forms.CharField(
        label=gettext_lazy("Who holds the wheel"),
        help_text=gettext_lazy("A dry steer takes two. The name is enough, no account is needed."),
        required=False,
        max_length=80,
    )
    second_person: Any = forms.ModelChoiceField(
        label=gettext_lazy("Second person, if one of us"),
        queryset=None,
        required=False,
        empty_label=gettext_lazy("nobody"),
    )
    on_wheels = yes_no(
        gettext_lazy("Where it stands"),
        gettext_lazy("On its wheels"),
        gettext_lazy("Raised, on stands"),
    )
    engine_on = yes_no(gettext_lazy("Engine"), gettext_lazy("On"), gettext_lazy("Off"))
    ride_height = yes_no(gettext_lazy("At ride height"))
    plough_on = yes_no(
        gettext_lazy("Plow"), pgettext_lazy("plow", "On"), pgettext_lazy("plow", "Off")
    )
    meter = forms.CharField(
        label=gettext_lazy("The meter reads"),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    occurred_at = MomentField()
    tool: Any = forms.ModelChoiceField(
        label=gettext_lazy("Torque tool"),
        help_text=gettext_lazy("For every joint below, unless another is named there."),
        queryset=None,
        required=False,
        empty_label=gettext_lazy("none"),
    )
    thread_condition = forms.ChoiceField(
        label=gettext_lazy("Threads"),
        choices=[("", gettext_lazy("not said")), *ThreadCondition.choices],
        required=False,
    )
    note = forms.CharField(
        label=gettext_lazy("Note on the whole sheet"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(
        self,
        data: Any,
        rows: list[SheetRow],
        *,
        people: QuerySet[Person],
        tools: QuerySet[TorqueTool],
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self.fields["second_person"].queryset = people  # type: ignore[attr-defined]  # a ModelChoiceField
        self.fields["tool"].queryset = tools  # type: ignore[attr-defined]  # a ModelChoiceField
        self.by_code = {tool.code.upper(): tool for tool in tools}
        self.entries = [_entry(row, data or {}) for row in rows]
        self.foretell: Foretell | None = None
        for entry in self.entries:
            entry.told = self._foretold_of

    @property
    def told(self) -> list[Entry]:
        """The joints of which something was said, in the order of the sheet."""
        return [entry for entry in self.entries if entry.typed["code"]]

    def clean(self) -> None:
        """A tool named at one joint is known by its code."""
        for entry in self.told:
            code = entry.typed["tool"]
            if code and code.upper() not in self.by_code:
                text = _("No torque tool “%(code)s” is in use at this yard. Type the code on it.")
                self.pointers.append(_beside(entry, "tool", text % {"code": code[:20]}))

    def sheet(
        self, vehicle: Vehicle, complaint: Complaint | None, findings: dict[str, RuleNow]
    ) -> inspect.Sheet:
        """The whole sheet as the operation takes it."""
        said = self.cleaned_data
        second = said["second_person"]
        return inspect.Sheet(
            vehicle.pk,
            looks=self.looks(findings),
            second_person_id=second.pk if second else None,
            complaint_id=complaint.pk if complaint else None,
            **{name: said[name] for name in CONDITIONS},
        )

    def looks(self, findings: dict[str, RuleNow]) -> tuple[Look, ...]:
        return tuple(self._look(entry, findings) for entry in self.told)

    def _look(self, entry: Entry, findings: dict[str, RuleNow]) -> Look:
        """What was typed and is asked for: an input that the page has hidden is not read."""
        code = entry.typed["code"]
        said: dict[str, Any] = {
            name: typed
            for name, typed in entry.typed.items()
            if ASKED_BY.get(name, code) == code and name not in BY_WRENCH
        }
        said["method"] = _only_way(findings.get(code)) or said["method"]
        if said["method"] == "wrench":
            said |= self._by_wrench(entry)
        return Look(joint_id=entry.joint.pk, **said)

    def _by_wrench(self, entry: Entry) -> dict[str, Any]:
        """The joint's own wrench and threads, else the sheet's."""
        own = self.by_code.get(entry.typed["tool"].upper())
        tool = own or self.cleaned_data.get("tool")
        return {
            "torque": entry.typed["torque"],
            "extension": entry.typed["extension"],
            "tool_id": tool.pk if tool else None,
            "thread_condition": self.cleaned_data.get("thread_condition", ""),
        }

    @property
    def moment(self) -> datetime:
        """When it was looked at, as far as that can be read."""
        return self.cleaned_data.get("occurred_at") or timezone.now()

    def _foretold_of(self, entry: Entry) -> Foretold | None:
        return self._foretold.get(entry.joint.pk)

    @cached_property
    def _foretold(self) -> dict[int, Foretold]:
        if self.foretell is None or not self.is_bound:
            return {}
        return {one.look.joint_id: one for one in self.foretell(self) if tells(one)}

    def elsewhere(self, problem: Problem) -> Pointer | None:
        """A joint's problem stands beside that joint's own input."""
        found = _PATH.fullmatch(problem.field)
        if found is None:
            return None
        return _beside(self.told[int(found[1])], found[2], str(problem.message))


def _capital(label: Any) -> str:
    text = str(label)
    return text[:1].upper() + text[1:]


def _beside(entry: Entry, name: str, text: str) -> Pointer:
    entry.errors.setdefault(name, []).append(text)
    return Pointer(text, f"#{entry.prefix}", str(entry.joint))


def _entry(row: SheetRow, data: Any) -> Entry:
    prefix = f"j{row.row.joint.pk}"
    typed = {name: str(data.get(f"{prefix}-{name}", "")).strip() for name in TYPED}
    if typed["code"] not in FindingCode.values:
        typed["code"] = ""
    return Entry(row, typed)


def _only_way(rule: RuleNow | None) -> str:
    """A finding that one method alone can make needs no second tap: tight is by the wrench."""
    by = rule.data["by"] if rule else "any"
    return str(by[0]) if isinstance(by, list) and len(by) == 1 else ""
