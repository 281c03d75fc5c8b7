"""A rule in words: what it says, what changed between two versions, and who changed it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.reads.rules import RuleNow
from fleet.records.models import Rule, Skill

_HUNDRED = 100


def words_of(data: dict[str, Any]) -> str:
    """What a rule says, in a line."""
    if not data.get("stands", True):
        return _("none of its own: the rule of its duty stands")
    if "rungs" in data:
        return steps_said(data["rungs"])
    if "floor" in data:
        words = {"share": number_format(round(data["factor"] * _HUNDRED)),
                 "floor": step_said(data["floor"])}  # fmt: skip
        return _("%(share)s%% of the last, not under %(floor)s") % words
    return _figure_said(data) or step_said(data)


def _figure_said(data: dict[str, Any]) -> str:
    """Of a rule that is one figure; empty for any other."""
    if data.get("months"):
        return ngettext("%(n)d month", "%(n)d months", data["months"]) % {"n": data["months"]}
    if "minutes" in data:
        return _time_said(data)
    if "value" in data:
        return number_format(data["value"], use_l10n=True, force_grouping=True)
    return ""


def _time_said(data: dict[str, Any]) -> str:
    """'20 min, two people at once'."""
    parts = [_("%(n)s min") % {"n": _number(data["minutes"])}]
    if data.get("people", 1) > 1:
        parts.append(_("two people at once"))
    if data.get("skill"):
        parts.append(str(Skill(data["skill"]).label))
    return ", ".join(parts)


def steps_said(rungs: Iterable[dict[str, Any]]) -> str:
    return "; ".join(step_said(step) for step in rungs)


def step_said(step: dict[str, Any]) -> str:
    """'500 mi, 30 days or 20 h': the first of them counts."""
    parts = []
    if step.get("miles"):
        miles = _("%(n)s mi") % {"n": _number(step["miles"])}
        parts.append(f"{step['typed']} ({miles})" if step.get("typed") else miles)
    if step.get("days"):
        parts.append(ngettext("%(n)s day", "%(n)s days", round(step["days"]))
                     % {"n": _number(step["days"])})  # fmt: skip
    if step.get("hours"):
        parts.append(_("%(n)s h") % {"n": _number(step["hours"])})
    if len(parts) > 1:
        return _("%(first)s or %(last)s") % {"first": ", ".join(parts[:-1]), "last": parts[-1]}
    return "".join(parts)


def _number(value: float) -> str:
    return number_format(round(value, 1) if value % 1 else int(value), use_l10n=True,
                         force_grouping=True)  # fmt: skip


@dataclass(frozen=True)
class Version:
    """One version of a rule: what it says, who set it, when, why, and what was before."""

    row: Rule
    says: str
    before: str

    @property
    def by(self) -> str:
        return self.row.set_by.name

    @property
    def at(self) -> datetime:
        return self.row.since

    @property
    def source(self) -> str:
        return RuleNow(self.row.key, self.row.version, self.row.data).source


def versions_of(kind: str, key: str) -> list[Version]:
    """Every version of a rule, the newest first; one query."""
    rows = list(
        Rule.objects.filter(kind=kind, key=key).select_related("set_by").order_by("version")
    )
    said = [words_of(row.data) for row in rows]
    before = ["", *said[:-1]]
    made = [Version(row, says, was) for row, says, was in zip(rows, said, before, strict=True)]
    return made[::-1]
