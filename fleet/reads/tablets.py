"""Tablets as a manager sees them: who signs on each, when it was heard of, what waits."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.utils.translation import gettext

from fleet.reads.tickets import OVER
from fleet.reads.trail import VERBS
from fleet.reads.trail_words import NAMES
from fleet.records.models import (
    Joint,
    Person,
    ReadOver,
    Tablet,
    TabletKey,
    TabletOperation,
    Ticket,
    Vehicle,
)

State = TabletOperation.State
NOT_SETTLED = (State.QUARANTINED, State.REFUSED, State.PARKED)
# A clock that is off by less than this is right (own).
SKEW_TOLD_S = 60


def tablets(person: Person) -> QuerySet[Tablet]:
    """Those of one's yards, with how much of theirs waits for a manager, and for its person."""
    waits = Count("operations", filter=Q(operations__state=State.QUARANTINED), distinct=True)
    refused = Count("operations", filter=Q(operations__state=State.REFUSED), distinct=True)
    rows = Tablet.visible_to(person).select_related("yard", "enrolled_by", "revoked_by")
    return rows.annotate(for_manager=waits, refused=refused).order_by("revoked_at", "name")


def signers(tablet: Tablet) -> list[TabletKey]:
    """Each person's newest key on it."""
    newest: dict[int, TabletKey] = {}
    for key in TabletKey.objects.filter(tablet=tablet).select_related("person").order_by("id"):
        newest[key.person_id] = key
    return sorted(newest.values(), key=lambda key: key.person.name)


@dataclass(frozen=True)
class Unsettled:
    """One operation that is at no end yet, in words."""

    row: TabletOperation
    verb: str
    said: list[tuple[str, str]]

    @property
    def for_manager(self) -> bool:
        return self.row.state == State.QUARANTINED

    @property
    def signed(self) -> bool:
        return self.row.key_id is not None


def unsettled(tablet: Tablet) -> QuerySet[TabletOperation]:
    rows = TabletOperation.objects.filter(tablet=tablet, state__in=NOT_SETTLED)
    return rows.select_related("person", "key").order_by("n")


def in_words(rows: Iterable[TabletOperation]) -> list[Unsettled]:
    """Each with what was sent, joints by their names; one query."""
    read = [(row, list(_flat(_body(row)))) for row in rows]
    wanted = {int(said) for _row, values in read for name, said in values if _is_joint(name, said)}
    joints = {joint.pk: joint.name for joint in Joint.objects.select_related("kind")
              .filter(pk__in=wanted)}  # fmt: skip
    return [
        Unsettled(row, str(VERBS.get(row.verb, row.verb)), [
            (_named(name), joints.get(int(said), said) if _is_joint(name, said) else said)
            for name, said in values
        ])
        for row, values in read
    ]  # fmt: skip


def _is_joint(name: str, said: str) -> bool:
    return name.split()[-1:] == ["joint"] and said.isdigit()


def _named(path: str) -> str:
    """'findings 1 joint' with the words that the trail has for them."""
    return " ".join(str(NAMES.get(part, part)) for part in path.split())


def _body(row: TabletOperation) -> Any:
    try:
        return json.loads(row.body)
    except ValueError:
        return {gettext("sent"): row.body[:500]}


def _flat(said: Any, path: str = "") -> Any:
    """What was sent, a line a value, as it was typed."""
    if isinstance(said, dict):
        for name, inner in said.items():
            yield from _flat(inner, f"{path} {name}".strip())
    elif isinstance(said, list):
        for number, inner in enumerate(said, start=1):
            yield from _flat(inner, f"{path} {number}".strip())
    elif said not in (None, ""):
        yield path, str(said)


def operations_of(person: Person) -> QuerySet[TabletOperation]:
    return TabletOperation.visible_to(person).select_related("tablet__yard", "person", "key")


def vehicles_to_read_over(person: Person) -> QuerySet[Vehicle]:
    """With an open ticket, at a yard that has a tablet in use."""
    open_ticket = Ticket.objects.filter(vehicle=OuterRef("pk")).exclude(state__in=OVER)
    tablet = Tablet.objects.filter(yard=OuterRef("yard"), revoked_at=None)
    rows = Vehicle.visible_to(person).filter(Exists(open_ticket), Exists(tablet))
    return rows.order_by("unit_number")


def who_signs(person: Person) -> QuerySet[Person]:
    """Those who sign on some tablet."""
    keys = TabletKey.objects.filter(person=OuterRef("pk"), tablet__revoked_at=None)
    return Person.visible_to(person).filter(Exists(keys), is_active=True).order_by("name")


def read_overs(person: Person) -> QuerySet[ReadOver]:
    return ReadOver.visible_to(person).select_related(
        "ticket", "vehicle__yard", "worker", "checker", "by", "tablet"
    )
