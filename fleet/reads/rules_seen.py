"""Whether the fleet has looked over the rules in force, and what they say of findings."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _

from fleet.reads.rules import RuleNow, rules
from fleet.records.models import Person, Rule, TrailEntry

LOOKED_OVER = "look_over_rules"
KINDS = ("ladder", "routine", "response")
# The settings that a manager changes as rules.
FIGURES = ("tool_interval_days", "tool_interval_uses", "tool_warning_days", "stale_meter_days")


@dataclass(frozen=True)
class Seen:
    """Who said so last, when, and whether a rule has changed since."""

    by: str
    at: datetime
    stands: bool


@dataclass(frozen=True)
class ResponseRow:
    """What follows a finding at some joints: which hold the vehicle, which open a line."""

    name: str
    holds: list[str]
    lines: list[str]
    source: str


def newest_rule() -> Rule | None:
    """Of those that are looked over: ladders, routine, responses, and the figures of tools."""
    figures = Q(kind="setting", key__in=FIGURES)
    return Rule.objects.filter(Q(kind__in=KINDS) | figures).order_by("-pk").first()


def rules_seen() -> Seen | None:
    """Three queries; None where nobody has said so yet."""
    entry = TrailEntry.objects.filter(verb=LOOKED_OVER).order_by("-id").first()
    newest = newest_rule()
    if entry is None or newest is None:
        return None
    who = Person.objects.filter(pk=entry.actor_id).values_list("name", flat=True).first()
    return Seen(who or "", entry.at, stands=entry.after.get("newest") == newest.pk)


def response_rows() -> list[ResponseRow]:
    """What each group of joints does with a finding; two queries."""
    names = {key: now.name for key, now in rules("finding").items()}
    return [_response(now, names) for now in rules("response").values()]


def _response(now: RuleNow, names: dict[str, str]) -> ResponseRow:
    answers = [pair for code in names for pair in _answers(code, now.data.get(code), names[code])]
    holds, lines = (
        [text for text, answer in answers if answer == wanted] for wanted in ("hold", "line")
    )
    return ResponseRow(now.name, holds, lines, now.source)


def _answers(code: str, answer: Any, name: str) -> list[tuple[str, str]]:
    """Each case of a finding in words, with what it leads to."""
    if not isinstance(answer, dict):
        return [(name, answer)]
    if code == "moved":
        degrees = _("%(name)s %(degrees)s° or more") % {
            "name": name, "degrees": answer["hold_from_degrees"]
        }  # fmt: skip
        again = _("%(name)s twice running") % {"name": name}
        less = _("%(name)s less than that") % {"name": name}
        return [(degrees, "hold"), (again, answer["second_running"]), (less, answer["otherwise"])]
    play = {
        "past": _("%(name)s past its limit"),
        "inside": _("%(name)s inside its limit"),
        "no_limit": _("%(name)s with no limit known"),
        "unmeasured": _("%(name)s not measured"),
    }
    return [(words % {"name": name}, answer[case]) for case, words in play.items()]
