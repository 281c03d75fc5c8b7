"""The fleet's name and what new people and yards begin with, as they stand in the settings."""

from collections.abc import Iterable
from dataclasses import dataclass

from fleet.reads.rules import rules
from fleet.records.models import Rule

KEYS = ("fleet_name", "language", "units", "time_zone")
DEFAULTS = {"fleet_name": "", "language": "en", "units": "us", "time_zone": "UTC"}


@dataclass(frozen=True)
class FleetNow:
    """What is on file; `version` moves with each change."""

    fleet_name: str
    language: str
    units: str
    time_zone: str
    version: int


def fleet_now() -> FleetNow:
    """One query."""
    found = {key: now for key, now in rules("setting").items() if key in KEYS}
    said = DEFAULTS | {key: str(now.data["value"]) for key, now in found.items()}
    return FleetNow(**said, version=sum(now.version for now in found.values()))


def facts_version(rows: Iterable[Rule]) -> int:
    return sum(row.version for row in rows)
