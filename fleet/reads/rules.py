"""The fleet's rules as they stand now, and as they stood in a version."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.records.base import in_language
from fleet.records.models import Rule, Vehicle

# The source of what is in the range of common practice and has no other.
OWN = "own"
# Pounds at most, and the whole kilograms that stand for them.
LINES = {10_000: 4_536, 26_000: 11_793}
# The classes of gross weight that a routine may be told by: at most so many kg, or any. The
# lines are those of 49 CFR 390.5 (4,536 kg, 10,001 lb) and 383.91 (11,794 kg, 26,001 lb).
WEIGHTS: dict[str, tuple[int | None, Any]] = {
    "light": (LINES[10_000], _("up to 10,000 lb")),
    "medium": (LINES[26_000], _("10,001 to 26,000 lb")),
    "heavy": (None, _("26,001 lb and over")),
}


@dataclass(frozen=True)
class RuleNow:
    """One rule in force: what it says and the version it says it in."""

    key: str
    version: int
    data: Any

    @property
    def name(self) -> str:
        return in_language(self.data.get("names", {})) or self.key

    @property
    def source(self) -> str:
        """Where its figures come from: of the reference in the reader's language, else as typed."""
        said = self.data.get("source", "")
        if said == OWN:
            return gettext("own")
        return in_language(said) if isinstance(said, dict) else str(said)


def rules(kind: str) -> dict[str, RuleNow]:
    """Every current rule of a kind by its key; one query."""
    rows = Rule.objects.filter(kind=kind, is_current=True).values_list("key", "version", "data")
    return {key: RuleNow(key, version, data) for key, version, data in rows}


def rule(kind: str, key: str, version: int | None = None) -> RuleNow:
    """One rule, current or in a stated version. Raises Rule.DoesNotExist for an unknown key."""
    wanted = {"is_current": True} if version is None else {"version": version}
    row = Rule.objects.get(kind=kind, key=key, **wanted)
    return RuleNow(row.key, row.version, row.data)


def setting(key: str) -> Any:
    """The value of one of the fleet's settings."""
    return rule("setting", key).data["value"]


def settings_now() -> dict[str, Any]:
    """All of the fleet's settings by key; one query."""
    return {key: now.data["value"] for key, now in rules("setting").items()}


def weight_class(vehicle: Vehicle) -> str:
    """Which class of gross weight a vehicle is of; empty where its weight is not on file."""
    if vehicle.gross_weight_kg is None:
        return ""
    found = (name for name, (most, _label) in WEIGHTS.items()
             if most is None or vehicle.gross_weight_kg <= most)  # fmt: skip
    return next(found)


def routine_key(vehicle: Vehicle, routine: dict[str, RuleNow]) -> str:
    """The routine rule that a vehicle goes by: of its duty and weight class, else of its duty."""
    return governing(vehicle.duty, weight_class(vehicle), routine)


def governing(duty: str, weight: str, routine: Mapping[str, RuleNow]) -> str:
    """The same of a duty and a weight class; `weight` is empty where it is not on file."""
    own = by_weight(duty, weight)
    return own if own in routine and stands(routine[own]) else duty


def by_weight(duty: str, weight: str) -> str:
    """The key of a routine rule for one weight class of a duty."""
    return f"{duty}-{weight}" if weight else duty


def stands(rule: RuleNow) -> bool:
    """Whether a rule is in force; one for a weight class may have been taken back."""
    return bool(rule.data.get("stands", True))
