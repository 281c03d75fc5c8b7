"""The fleet's rules as they stand now, and as they stood in a version."""

from dataclasses import dataclass
from typing import Any

from fleet.records.base import in_language
from fleet.records.models import Rule


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
