"""What tablets sent, kept whole with what became of each."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from fleet.operations.errors import Problem
from fleet.operations.holds import open_ticket_of
from fleet.records.models import Finding, Inspection, Tablet, TabletKey, TabletOperation, Ticket

State = TabletOperation.State


@dataclass(frozen=True)
class Sent:
    """One operation as it came."""

    uid: UUID
    n: int
    person: int
    key: UUID
    verb: str
    made_at: datetime
    body: str
    mac: str
    offset_ms: int | None = None
    instead_of: UUID | None = None
    # The moment as it was written, which is what was signed.
    made_at_text: str = ""


@dataclass(frozen=True)
class Link:
    """One exchange with one tablet. `skew_ms` is its clock less ours as the exchange began."""

    tablet: Tablet
    at: datetime
    skew_ms: int = 0
    app: str = ""
    schema: int = 1


@dataclass(frozen=True)
class Became:
    """What was made of an operation: the row where it was accepted, else why not."""

    state: str
    about: str = ""
    because: UUID | None = None
    problems: tuple[Problem, ...] = ()
    theirs: Any = None
    row: Any = None

    @property
    def columns(self) -> dict[str, Any]:
        return {
            "state": self.state, "about": self.about, "because": self.because,
            "problems": [problem.as_dict() for problem in self.problems], "theirs": self.theirs,
            "model": self.row._meta.model_name if self.row is not None else "",
            "row_id": self.row.pk if self.row is not None else None,
            "ticket_id": _ticket_of(self.row),
        }  # fmt: skip


def moment_of(link: Link, sent: Sent) -> datetime:
    """When it was made by our clock: by what the tablet last knew of it, else by what it is now."""
    offset = sent.offset_ms if sent.offset_ms is not None else -link.skew_ms
    return min(sent.made_at + timedelta(milliseconds=offset), link.at)


def keep(
    link: Link, sent: Sent, key: TabletKey | None, became: Became,
    known: TabletOperation | None = None,
) -> TabletOperation:  # fmt: skip
    """Write what became of it; where it was kept meanwhile, what stands there is the answer."""
    with transaction.atomic():
        if became.state == State.ACCEPTED and sent.instead_of is not None:
            _answered(sent.instead_of, key)
        if known is None:
            return _new(link, sent, key, became.columns)
        rows = TabletOperation.objects.filter(pk=known.pk, state=known.state)
        rows.update(**became.columns)
        known.refresh_from_db()
        return known


def _new(link: Link, sent: Sent, key: TabletKey | None, columns: dict[str, Any]) -> TabletOperation:
    try:
        with transaction.atomic():
            return TabletOperation.objects.create(
                uid=sent.uid, tablet=link.tablet, n=sent.n, person=key.person if key else None,
                key=key, verb=sent.verb, body=sent.body, mac=sent.mac, app=link.app,
                instead_of=sent.instead_of, made_at=sent.made_at, received_at=link.at,
                occurred_at=moment_of(link, sent), skew_ms=link.skew_ms, schema=link.schema,
                **columns,
            )  # fmt: skip
    except IntegrityError:
        return TabletOperation.objects.get(uid=sent.uid)


def corrected_by(
    among: QuerySet[TabletOperation], instead_of: UUID | None
) -> list[TabletOperation]:
    """What a correction stands in place of: the refused one, and, where that was a correction
    itself, whatever it stood in place of."""
    found: dict[UUID, TabletOperation] = {}
    while instead_of is not None and instead_of not in found:
        row = among.filter(uid=instead_of).first()
        if row is None:
            break
        found[instead_of], instead_of = row, row.instead_of
    return list(found.values())


def _answered(corrected: UUID, key: TabletKey | None) -> None:
    theirs = TabletOperation.objects.filter(person=key.person if key else None)
    ids = [row.pk for row in corrected_by(theirs, corrected)]
    theirs.filter(pk__in=ids, state=State.REFUSED).update(state=State.ANSWERED)


def _ticket_of(row: Any) -> int | None:
    """The ticket that an accepted operation opened or changed."""
    if isinstance(row, Ticket):
        return int(row.pk)
    if isinstance(row, Inspection):
        return _called_for(row)
    found = getattr(row, "ticket_id", None)
    if found is None and hasattr(row, "line"):
        found = row.line.ticket_id
    return int(found) if found is not None else None


def _called_for(inspection: Inspection) -> int | None:
    """The ticket that answers what was found, where anything calls for one."""
    calls = inspection.findings.exclude(response=Finding.Response.NOTE).exists()
    ticket = open_ticket_of(inspection.vehicle) if calls else None
    return ticket.pk if ticket is not None else None
