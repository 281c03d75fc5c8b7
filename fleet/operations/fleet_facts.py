"""What the fleet as a whole is called and how new people are spoken to: settings with versions."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import available_timezones

from django.conf import settings
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.moves import changed_under_you
from fleet.operations.new_rule import new_value
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, run
from fleet.reads.fleet_facts import KEYS, facts_version
from fleet.records.models import Rule

MOST_NAME = 80


@dataclass(frozen=True)
class FleetFacts:
    """Name of the fleet; language, units and time zone that new people and yards begin with."""

    fleet_name: str
    language: str = "en"
    units: str = "us"
    time_zone: str = "UTC"


def set_fleet(
    actor: Actor, facts: FleetFacts, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[Rule]:  # fmt: skip
    """Put the fleet's name and defaults on file; people who are on file keep their own."""
    actor.need("name_fleet")
    return run("set_fleet", actor, at, lambda work: _apply(work, facts, expected_version), request)


def _apply(work: Work, facts: FleetFacts, expected_version: int | None = None) -> Rule:
    rows = Rule.objects.select_for_update().filter(kind="setting", key__in=KEYS)
    current = {row.key: row for row in rows.filter(is_current=True).order_by("key")}
    if expected_version not in (None, facts_version(current.values())):
        raise changed_under_you(_("The fleet's page"))
    _refuse_wrong(facts)
    said = {key: str(getattr(facts, key)).strip() for key in KEYS}
    before = {key: row.data["value"] for key, row in current.items()}
    changed = [key for key in KEYS if before.get(key) != said[key]]
    for key in changed:
        current[key] = new_value(work, key, said[key], current.get(key))
    if changed:
        work.trail("set_fleet", current["fleet_name"],
                   before={key: before.get(key) for key in changed},
                   after={key: said[key] for key in changed})  # fmt: skip
    return current["fleet_name"]


def _refuse_wrong(facts: FleetFacts) -> None:
    found = []
    name = facts.fleet_name.strip()
    if not name or len(name) > MOST_NAME:
        message = _("Give the fleet's name, in at most %(most)s characters.") % {"most": MOST_NAME}
        found.append(Problem("name_missing", message, field="fleet_name"))
    if facts.language not in dict(settings.LANGUAGES):
        message = _("Choose a language from the list.")
        found.append(Problem("language_unknown", message, field="language"))
    if facts.units not in ("us", "metric"):
        found.append(Problem("units_unknown", _("Choose US or metric."), field="units"))
    if facts.time_zone.strip() not in available_timezones():
        message = _("Type a time zone like America/Denver.")
        found.append(Problem("zone_unknown", message, field="time_zone"))
    if found:
        raise Refused(tuple(found))
