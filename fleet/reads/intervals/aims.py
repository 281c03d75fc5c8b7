"""What the fleet wants of its intervals: how many still tight, how sure, and what work costs."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fleet.reads.rules import RuleNow, rules

# (own); as delivered in fixtures/rules/settings.json.
TARGET = CONFIDENCE = 0.9
KEYS = (
    "interval_target", "interval_confidence", "interval_planned_cost", "interval_unplanned_cost",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Aims:
    """Shares between 0 and 1; costs in any one currency, None where the fleet gave none.

    `version` changes whenever one of them does.
    """

    target: float = TARGET
    confidence: float = CONFIDENCE
    planned_cost: float | None = None
    unplanned_cost: float | None = None
    version: int = 0


def aims_now() -> Aims:
    """One query."""
    return aims_of(rules("setting"))


def aims_of(settings: Mapping[str, RuleNow]) -> Aims:
    target, confidence, planned, unplanned = (_value(settings, key) for key in KEYS)
    return Aims(
        TARGET if target is None else target, CONFIDENCE if confidence is None else confidence,
        planned, unplanned, sum(settings[key].version for key in KEYS if key in settings),
    )  # fmt: skip


def _value(settings: Mapping[str, RuleNow], key: str) -> Any:
    return settings[key].data["value"] if key in settings else None
