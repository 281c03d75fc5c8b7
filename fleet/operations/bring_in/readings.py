"""Meter readings brought in: from a file, or as rows from a client."""

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, BinaryIO

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.bring_in.all_or_nothing import UndoError, once
from fleet.operations.bring_in.ending import settle
from fleet.operations.bring_in.reading_rows import COLUMNS, TITLES, Read, read_rows
from fleet.operations.bring_in.report import BroughtIn, UnreadableError
from fleet.operations.errors import Problem, Refused
from fleet.operations.judged_readings import Row, Tally
from fleet.operations.many_readings import Judged, judge_many, store_many
from fleet.operations.meters import Reading
from fleet.operations.once import Request
from fleet.operations.work import Work

__all__ = ["COLUMNS", "MOST_ROWS", "Recorded", "import_readings", "record_readings"]

# Beyond this a file is refused at once: it is held in memory while it is judged as a whole.
MOST_ROWS = 200_000


@dataclass(frozen=True)
class Recorded:
    """What came of readings sent in bulk."""

    added: int
    on_file: int
    repeated: int
    replayed: bool = False


def import_readings(
    actor: Actor, source: BinaryIO | bytes, *, at: datetime, dry_run: bool, whole: bool = False,
    request: Request | None = None,
) -> BroughtIn:  # fmt: skip
    """Bring in a file of meter readings: all of it, or nothing and every problem in it.

    Safe to repeat: what is on file already is recognized and left alone. `whole` is the sender's
    word that the file is not half a file, where that can't be seen (ending.py).
    """
    actor.need("bring_in")
    report, stream = BroughtIn("readings"), _stream(source)

    def prepare(work: Work) -> tuple[Read, Judged]:
        read, judged = _judge(work, stream, report, store=not dry_run)
        settle(report, whole=whole, dry_run=dry_run)
        if not report.fine:
            raise UndoError
        return read, judged

    def store(work: Work, ready: tuple[Read, Judged]) -> dict[str, Any]:
        read, judged = ready
        _tell(report, read, store_many(work, judged))
        if not report.fine:
            raise UndoError
        return report.counts()

    try:
        if dry_run:
            prepare(Work(actor, at))
            return report
        counts, replayed = once("import_readings", actor, at, prepare, store, request)
    except UndoError:
        return report
    return replace(report, **counts, written=True, replayed=replayed)


def _judge(work: Work, source: BinaryIO, report: BroughtIn, *, store: bool) -> tuple[Read, Judged]:
    """Read the file and judge its rows; every problem in it is told."""
    try:
        read = read_rows(work.actor, source, work.at, report, MOST_ROWS)
    except UnreadableError as error:
        report.refuse(error.problem)
        raise UndoError from error
    judged = judge_many(work, read.rows, store=store and report.fine)
    _tell(report, read, judged.tally)
    return read, judged


def record_readings(
    actor: Actor, readings: Sequence[Reading], *, at: datetime, request: Request | None = None
) -> Recorded:
    """Store a client's readings: all of them, or Refused with every problem by its index.

    Safe to repeat even without a request key: one with the identity, or with the moment and the
    figure, of one on file is counted and left alone.
    """
    actor.need("record_meter")
    if len(readings) > MOST_ROWS:
        message = _("At most %(most)s readings at a time.") % {"most": f"{MOST_ROWS:,}"}
        raise Refused((Problem("too_many", message, "readings"),))

    def prepare(work: Work) -> Judged:
        judged = judge_many(work, [Row(reading) for reading in readings])
        _refuse(judged.tally)
        return judged

    def store(work: Work, judged: Judged) -> dict[str, Any]:
        tally = store_many(work, judged)
        _refuse(tally)
        return {"added": tally.added, "on_file": tally.on_file, "repeated": tally.repeated}

    counts, replayed = once("record_readings", actor, at, prepare, store, request)
    return Recorded(**counts, replayed=replayed)


def _refuse(tally: Tally) -> None:
    if tally.problem_count:
        raise Refused(tuple(_by_index(tally)))


def _by_index(tally: Tally) -> list[Problem]:
    found = [
        replace(problem, field=f"readings.{index}.{problem.field}")
        for index, problem in tally.problems
    ]
    more = tally.problem_count - len(found)
    if more:
        message = _("%(more)s more problems are not listed.") % {"more": f"{more:,}"}
        found.append(Problem("more", message, "readings"))
    return found


def _stream(source: BinaryIO | bytes) -> BinaryIO:
    return io.BytesIO(source) if isinstance(source, bytes) else source


def _tell(report: BroughtIn, read: Read, tally: Tally) -> None:
    """Put what became of the rows into the report, by row and column."""
    for index, problem in tally.problems:
        typed = str(getattr(read.rows[index].reading, _TYPED.get(problem.field, ""), ""))
        title = TITLES.get(problem.field, "")
        report.refuse_cell(read.numbers[index], title, typed, problem)
    report.problem_count += tally.problem_count - len(tally.problems)
    report.added, report.on_file, report.repeated = tally.added, tally.on_file, tally.repeated


_TYPED = {"meter": "typed", "reason": "reason"}
