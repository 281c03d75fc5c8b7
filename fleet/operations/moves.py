"""Moves between states: an update filtered on the old state that must change exactly one row."""

from typing import Any

from django.db.models import F
from django.utils.translation import gettext as _

from fleet.operations.errors import Conflict, Problem
from fleet.reads.patterns.kinds import REPEAT
from fleet.records.models import Pattern, Recheck, Ticket

T, R, P = Ticket.State, Recheck.State, Pattern.State

TICKET_MOVES: dict[str, set[str]] = {
    T.OPEN: {T.OPEN, T.CHECKED, T.CLOSED, T.CANCELLED},
    T.CHECKED: {T.OPEN, T.RELEASED, T.CLOSED},
    # Released again, where the time of the first release ran out.
    T.RELEASED: {T.OPEN, T.RELEASED, T.TESTED},
    T.TESTED: {T.OPEN, T.CLOSED},
}
# Missed to done, late, is a legal move: the debt stays owed until it is paid.
RECHECK_MOVES: dict[str, set[str]] = {
    R.OWED: {R.MISSED, R.DONE, R.DROPPED},
    R.MISSED: {R.DONE, R.DROPPED},
}
PATTERN_MOVES: dict[str, set[str]] = {
    P.OPEN: {P.LOOKED_AT, P.ACTED_ON, P.SET_ASIDE},
    P.LOOKED_AT: {P.ACTED_ON, P.SET_ASIDE, P.OPEN},
    P.ACTED_ON: {P.HELPED, P.DID_NOT_HELP, P.TOO_EARLY, P.OPEN, P.SET_ASIDE},
    P.TOO_EARLY: {P.HELPED, P.DID_NOT_HELP, P.OPEN, P.SET_ASIDE},
    P.HELPED: {P.OPEN},
    P.DID_NOT_HELP: {P.LOOKED_AT, P.ACTED_ON, P.OPEN, P.SET_ASIDE},
    P.SET_ASIDE: {P.OPEN},
}


# By statistics the record itself says what came of it: none of these is a person's to say.
JUDGED_BY_RECORD = {P.HELPED, P.DID_NOT_HELP, P.TOO_EARLY}


def moves_by_hand(pattern: Pattern) -> set[str]:
    """Where a person may take a pattern from here.

    The working rule has no statistics behind it, so there a manager says whether it helped.
    """
    moves = PATTERN_MOVES.get(pattern.state, set())
    return moves if pattern.kind == REPEAT else moves - JUDGED_BY_RECORD


def changed_under_you(what: str) -> Conflict:
    message = _(
        "%(what)s was changed by somebody else while you worked. Look at what it says now; "
        "what you typed is kept."
    )
    return Conflict((Problem("changed", message % {"what": what}),))


def allow(row: Ticket | Recheck | Pattern, moves: dict[str, set[str]], to: str) -> None:
    """Raise Conflict where `row` can't go from its state to another."""
    if to not in moves.get(row.state, set()):
        raise changed_under_you(str(row))


def move(
    row: Ticket | Recheck | Pattern, moves: dict[str, set[str]], to: str, **fields: Any
) -> None:
    """Move `row` to a state, with other fields, or raise Conflict; the instance follows.

    Rows with a version get the next one.
    """
    state = row.state
    allow(row, moves, to)
    if hasattr(row, "version"):
        fields["version"] = F("version") + 1
    rows = type(row)._default_manager.filter(pk=row.pk, state=state)
    if rows.update(state=to, **fields) != 1:
        raise changed_under_you(str(row))
    row.refresh_from_db()


def reopen(ticket: Ticket) -> None:
    """What is new undoes a second check: whatever was passed is looked at again."""
    move(ticket, TICKET_MOVES, Ticket.State.OPEN)


def store_moved(rows: list[Recheck], fields: list[str]) -> None:
    """Store rechecks that were moved in memory, all with one update filtered on the old states."""
    if not rows:
        return
    live = Recheck.objects.filter(state__in=Recheck.LIVE)
    if live.bulk_update(rows, fields) != len(rows):
        raise changed_under_you(str(rows[0].vehicle))
