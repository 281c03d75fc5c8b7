"""Loading reference data: joint kinds, layouts and the fleet's first rules, from fixtures/.

Safe to repeat: what is on file is brought up to date where nobody has changed it, and a rule
that the fleet has changed keeps the fleet's version.
"""

import json
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction

from fleet.operations.actor import Actor
from fleet.records.models import JointKind, Layout, LayoutJoint, Rule

FIXTURES: Path = settings.BASE_DIR / "fixtures"
KIND_COLUMNS = (
    "group", "names", "sided", "holds", "held_by", "moved_methods", "play_methods", "limit",
    "limit_note", "response", "minutes", "ride_height", "opens_steering",
    "may_be_absent", "hint",
)  # fmt: skip
RULE_FILES = {
    "action": "rules/actions.json",
    "ladder": "rules/ladders.json",
    "routine": "rules/routine.json",
    "response": "rules/responses.json",
    "complaint": "rules/complaints.json",
    "setting": "rules/settings.json",
    "minutes": "rules/minutes.json",
    "finding": "reference/findings.json",
    "method": "reference/methods.json",
    "limit": "reference/limits.json",
}


def load_reference(actor: Actor, *, at: datetime) -> dict[str, int]:
    """Load everything in one transaction; returns counts by kind of row."""
    with transaction.atomic(durable=True):
        kinds = _load_kinds()
        places = _load_layouts()
        loaded = sum(_load_rules(actor, at, kind, name) for kind, name in RULE_FILES.items())
    return {"joint kinds": kinds, "places": places, "rules": loaded}


def read(name: str) -> Any:
    return json.loads((FIXTURES / name).read_text(encoding="utf-8"))


def _load_kinds() -> int:
    rows = [
        JointKind(code=row["code"], **{c: row[c] for c in KIND_COLUMNS if row.get(c) is not None})
        for row in read("reference/joint_kinds.json")
    ]
    JointKind.objects.bulk_create(
        rows, update_conflicts=True, unique_fields=["code"], update_fields=KIND_COLUMNS
    )
    return len(rows)


def _load_layouts() -> int:
    kinds = {kind.code: kind for kind in JointKind.objects.all()}
    rows = read("reference/layouts.json")
    Layout.objects.bulk_create(
        [Layout(code=r["code"], axis=r["axis"], names=r["names"]) for r in rows],
        update_conflicts=True, unique_fields=["code"], update_fields=["axis", "names"],
    )  # fmt: skip
    layouts = {layout.code: layout for layout in Layout.objects.all()}
    places = [
        LayoutJoint(
            layout=layouts[row["code"]], kind=kinds[place["kind"]], side=place["side"] or "",
            order=place["order"],
        )
        for row in rows
        for place in row["joints"]
    ]  # fmt: skip
    LayoutJoint.objects.bulk_create(
        places, update_conflicts=True, unique_fields=["layout", "kind", "side"],
        update_fields=["order"],
    )  # fmt: skip
    return len(places)


def _load_rules(actor: Actor, at: datetime, kind: str, name: str) -> int:
    content = read(name)
    by_key = content if isinstance(content, dict) else {row["code"]: row for row in content}
    on_file = set(Rule.objects.filter(kind=kind).values_list("key", flat=True))
    rows = [
        Rule(kind=kind, key=key, data=data, since=at, set_by=actor.person)
        for key, data in by_key.items()
        if key not in on_file
    ]
    Rule.objects.bulk_create(rows)
    return len(rows)
