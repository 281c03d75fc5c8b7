"""What was not accepted from a tablet: set aside by whoever made it, or looked at by a manager."""

from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.once import Request
from fleet.operations.tablet_kept import Link, Sent, corrected_by
from fleet.operations.tablet_log import judge_anyway, reader_now
from fleet.operations.words import refuse_too_long
from fleet.operations.work import Done, Work, find, not_there, run
from fleet.records.models import TabletKey, TabletOperation

State = TabletOperation.State
# What is at no end yet: a manager may settle it where its person can't.
WAITS = (State.QUARANTINED, State.PARKED, State.REFUSED)


def set_aside(
    actor: Actor, uid: UUID, reason: str, *, at: datetime, request: Request | None = None
) -> Done[TabletOperation]:
    """Leave a refused operation, and with a correction what it was to correct: they stay on file
    with the reason, and free what they parked."""
    actor.need("inspect")

    def apply(work: Work) -> TabletOperation:
        row = TabletOperation.visible_to(work.actor.person).filter(uid=uid).first()
        if row is None or row.person_id != work.actor.person.pk:
            raise not_there(_("operation"))
        return _leave(work, row, (State.REFUSED, State.PARKED), reason)

    return run("set_aside", actor, at, apply, request)


def leave_quarantined(
    actor: Actor, operation_id: int, reason: str, *, at: datetime, request: Request | None = None
) -> Done[TabletOperation]:
    """A manager leaves what nobody else settles: it counts for nothing and stays on file."""
    actor.need("edit_tablets")

    def apply(work: Work) -> TabletOperation:
        row = find(TabletOperation, work.actor, operation_id, _("operation"))
        return _leave(work, row, WAITS, reason)

    return run("leave_quarantined", actor, at, apply, request)


def _leave(
    work: Work, row: TabletOperation, states: tuple[str, ...], reason: str
) -> TabletOperation:
    if not reason.strip():
        raise refuse("reason_missing", _("Say why it is left."), field="reason")
    refuse_too_long(TabletOperation, reason=reason)
    ended = {"ended_by": work.actor.person, "ended_at": work.at, "reason": reason.strip()}
    rows = TabletOperation.objects.filter(pk=row.pk, state__in=states)
    if rows.update(state=State.SET_ASIDE, **ended) != 1:
        raise refuse("not_waiting", _("This does not wait for anybody: it was settled before."))
    theirs = TabletOperation.objects.filter(person=row.person, state=State.REFUSED)
    for one in [row, *corrected_by(theirs, row.instead_of)]:
        theirs.filter(pk=one.pk).update(state=State.SET_ASIDE, **ended)
        one.refresh_from_db()
        work.trail("set_aside", one, after={"state": one.state}, reason=one.reason)
    return row


def take_in(
    actor: Actor, operation_id: int, *, at: datetime, request: Request | None = None
) -> Done[TabletOperation]:
    """A manager takes what a lost tablet sent for what it says: it is judged now, for who made it.

    Only what bears that person's signature can be taken in.
    """
    actor.need("edit_tablets")
    row = find(TabletOperation, actor, operation_id, _("operation"))
    if row.state not in (State.QUARANTINED, State.PARKED):
        raise refuse("not_waiting", _("This does not wait for anybody: it was settled before."))
    if row.key is None:
        message = _("Nobody's signature is on it: record by hand what is true of it.")
        raise refuse("unsigned", message)
    link = Link(row.tablet, at, row.skew_ms or 0, row.app, row.schema)
    judged = judge_anyway(link, sent_of(row, row.key), row.key, reader_now(), row)

    def told(work: Work) -> TabletOperation:
        work.trail("take_in", judged, after={"state": judged.state})
        return judged

    return run("take_in", actor, at, told, request)


def sent_of(row: TabletOperation, key: TabletKey) -> Sent:
    """A kept operation as it was sent."""
    offset = int((row.occurred_at - row.made_at).total_seconds() * 1000)
    return Sent(row.uid, row.n, key.person_id, key.uid, row.verb, row.made_at, row.body, row.mac,
                offset, row.instead_of)  # fmt: skip
