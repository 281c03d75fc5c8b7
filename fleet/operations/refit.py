"""Reckoning intervals anew: monthly, or at a fifth more finds.

Running it again changes nothing. Nothing is put in force by it: a manager accepts.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from fleet.calc.holding import holding, steps
from fleet.calc.interval import Interval
from fleet.calc.life_errors import LifeError
from fleet.calc.proposal import allowed_interval, offer_of
from fleet.calc.spells import Spells
from fleet.calc.units import use_from_si
from fleet.operations.actor import Actor
from fleet.operations.work import Work
from fleet.reads.intervals.aims import Aims, aims_now
from fleet.reads.intervals.cells import Cell, Meter, spells_by_cell
from fleet.reads.intervals.today import UNITS, Rules, Today, rules_now, si
from fleet.records.models import IntervalProposal, JointKind, Layout

MONTH = timedelta(days=30)
MORE_FINDS = 1.2
#: A curve is drawn to this many times the longer of the two intervals.
_BEYOND = 1.6
CHUNK = 20
_FIGURES = [
    field.name for field in IntervalProposal._meta.concrete_fields
    if field.name not in ("id", "uid", "state", "made_at", "decided_at", "decided_by", "reason",
                          "rule", "version")
]  # fmt: skip

State = IntervalProposal.State


@dataclass(frozen=True, slots=True, eq=False)
class _Wanted:
    """A cell that is to be reckoned, and its proposal until now."""

    cell: Cell
    spells: Spells
    today: Today
    kept: IntervalProposal | None


def refit(actor: Actor, *, at: datetime) -> int:
    """Reckon every cell that is due; returns how many now say something else."""
    aims, rules, found = aims_now(), rules_now(), spells_by_cell()
    kept = {row.key: row for row in IntervalProposal.objects.filter(is_current=True)}
    wanted = [
        _Wanted(cell, spells, today, kept.get(cell.key))
        for cell, spells in found.items()
        if (today := _today(rules, cell)) is not None
        and _is_due(kept.get(cell.key), spells, today, aims, at)
    ]
    named = _Named(
        {row.code: row for row in JointKind.objects.all()},
        {row.code: row for row in Layout.objects.all()},
    )
    changed = 0
    for start in range(0, len(wanted), CHUNK):
        # Worked out before the lock is taken: a fit takes longer than a write.
        made = [(one, _reckoned(one, aims, named, at)) for one in wanted[start : start + CHUNK]]
        with transaction.atomic(durable=True):
            work = Work(actor, at)
            changed += sum(_keep(work, one.kept, row) for one, row in made)
    return changed


@dataclass(frozen=True, slots=True, eq=False)
class _Named:
    kinds: dict[str, JointKind]
    axles: dict[str, Layout]


def _today(rules: Rules, cell: Cell) -> Today | None:
    return None if rules.governed(cell.kind) else rules.today(cell)


def _is_due(
    row: IntervalProposal | None, spells: Spells, today: Today, aims: Aims, at: datetime
) -> bool:
    """What was decided stands for a month, whatever it changed; an open one follows the rules."""
    if row is None:
        return True
    since = max(moment for moment in (row.as_of, row.decided_at) if moment is not None)
    if at - since >= MONTH or _many_more(spells.finds, row.finds):
        return True
    if row.state != State.OPEN:
        return False
    wants = (aims.target, aims.confidence, si(today.value, row.meter), today.said)
    return wants != (row.target, row.confidence, row.now_si, row.now_from)


def _many_more(finds: float, before: float) -> bool:
    """At least a fifth more finds."""
    return finds > before and finds >= before * MORE_FINDS


def _reckoned(one: _Wanted, aims: Aims, named: _Named, at: datetime) -> IntervalProposal:
    """The cell's new row, not saved."""
    cell, spells, today = one.cell, one.spells, one.today
    row = IntervalProposal(
        key=cell.key, kind=named.kinds[cell.kind], axle=named.axles[cell.axle], duty=cell.duty,
        practice=cell.practice, first=cell.first, meter=cell.meter,
        spells=round(spells.weight.sum()), finds=round(spells.finds),
        vehicles=round(spells.vehicles_with_finds) if spells.finds else 0,
        longest_tight_si=round(spells.longest_tight), now_si=si(today.value, cell.meter),
        now_from=today.said, age_si=si(today.age, cell.meter), target=aims.target,
        confidence=aims.confidence, made_at=at, as_of=at,
    )  # fmt: skip
    try:
        found = allowed_interval(spells, aims.target, aims.confidence, _ages(row, today, spells))
    except LifeError as lacking:
        row.missing, row.have, row.need = lacking.code, lacking.have, lacking.need
        row.curve = {"steps": steps(spells)}
    else:
        _offer(row, today, found)
        _draw(row, spells)
    return row


def _ages(row: IntervalProposal, today: Today, spells: Spells) -> list[float]:
    """Use since turning at which it begins. One that stands begins anew at every tight look: on a
    joint just tightened, and on one that has held for as long as today's interval."""
    later = [float(row.now_si)] if today.standing and spells.longest_tight > row.now_si else []
    return [float(row.age_si), *later]


def _offer(row: IntervalProposal, today: Today, found: Interval) -> None:
    unit = UNITS[Meter(row.meter)][1]
    offer = offer_of(float(use_from_si(found.value, unit)), today.value, today.floor)
    row.allowed_si, row.limited_by = round(found.value), found.limited_by
    row.held_back_by = offer.held_back_by
    row.offered_si = None if offer.value is None else si(offer.value, row.meter)


def _draw(row: IntervalProposal, spells: Spells) -> None:
    """The curve from the turning on, and from where the interval begins."""
    until = _BEYOND * max(row.now_si, row.allowed_si or 0, row.offered_si or 0)
    since = holding(spells, max(until + row.age_si, row.longest_tight_si), row.confidence)
    on = holding(spells, until, row.confidence, row.age_si)
    row.shape, row.scale_si = since.fit.shape, since.fit.scale
    row.curve = {"since": _points(since), "on": _points(on), "steps": steps(spells)}


def _points(of: Any) -> list[list[float]]:
    columns = (of.use.round(), of.best.round(4), of.low.round(4), of.high.round(4))
    return [list(point) for point in zip(*(c.tolist() for c in columns), strict=True)]


def _keep(work: Work, old: IntervalProposal | None, row: IntervalProposal) -> int:
    """Write it in place of the one it was reckoned against; where that is no longer the newest,
    somebody was first and the next round finds out."""
    if old is None:
        if IntervalProposal.objects.filter(key=row.key, is_current=True).exists():
            return 0
        return _store(work, row)
    mine = IntervalProposal.objects.filter(pk=old.pk, is_current=True, version=old.version)
    if _still_declined(old, row):
        mine.update(as_of=work.at)
        return 0
    if old.state == State.OPEN and _says_the_same(old, row):
        mine.update(**{name: getattr(row, name) for name in _FIGURES})
        return 0
    gone = State.SUPERSEDED if old.state == State.OPEN else old.state
    if mine.update(is_current=False, state=gone) != 1:
        return 0
    return _store(work, row)


def _store(work: Work, row: IntervalProposal) -> int:
    row.save(force_insert=True)
    if row.offered_si is not None:
        work.trail("propose_interval", row, after={"joint": row.kind.names, "finds": row.finds})
    return 1


def _says_the_same(old: IntervalProposal, row: IntervalProposal) -> bool:
    """Nothing that a manager would decide otherwise."""
    names = ("offered_si", "now_si", "now_from", "missing", "target", "confidence")
    return all(getattr(old, name) == getattr(row, name) for name in names)


def _still_declined(old: IntervalProposal, row: IntervalProposal) -> bool:
    """What was declined is asked again at a fifth more finds, or where it has to be shorter."""
    if old.state != State.DECLINED or _many_more(row.finds, old.finds):
        return False
    was = old.offered_si is not None and old.offered_si < old.now_si
    shorter = row.offered_si is not None and row.offered_si < row.now_si
    return was or not shorter
