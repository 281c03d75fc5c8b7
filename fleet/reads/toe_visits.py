"""Toe of one vehicle from visit to visit: what it did between as left and the next as found."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext

from fleet.calc.alignment import toe_at_span
from fleet.reads.reckoning import drift
from fleet.reads.reckoning.answers import Answer
from fleet.records.models import ToeReading


@dataclass(frozen=True)
class Drift:
    """From one visit's as left to a later one's as found."""

    since: datetime
    found: ToeReading
    answer: Answer

    @property
    def change(self) -> str:
        """'3/16 in (4.8 mm) towards toe-out', or that it is no more than the tape can make."""
        if not self.answer.verdict.grave:
            return gettext("within the doubt of the tape")
        inch, millimetre = self.answer.figures[0].amounts
        words = {"toe-in": gettext("towards toe-in"), "toe-out": gettext("towards toe-out")}
        side = "toe-in" if self.answer.verdict.code == "towards_in" else "toe-out"
        return f"{inch.shown} {inch.unit} ({millimetre.shown} {millimetre.unit}) {words[side]}"

    @property
    def doubt(self) -> str:
        """What the tape alone can make, as the answer judged it."""
        return self.answer.figures[0].limit


def drifts(readings: Sequence[ToeReading]) -> list[Drift]:
    """Every such pair among readings of one vehicle (any order), oldest first; no query.

    A line that was recorded again counts as it stands now, and readings over spans that differ
    are brought to one span first.
    """
    found: list[Drift] = []
    before: list[ToeReading] = []
    for visit in visits(readings):
        as_found = next((one for one in visit if not one.as_left), None)
        if as_found is not None and before:
            found.append(_between(before, as_found))
        before = [one for one in visit if one.as_left] or ([] if as_found else before)
    return found


def visits(readings: Sequence[ToeReading]) -> list[list[ToeReading]]:
    """Readings by the line they belong to, of its newest entry only; oldest visit first."""
    newest: dict[object, int] = {}
    for one in readings:
        newest[_line(one)] = max(newest.get(_line(one), 0), one.line_entry_id or 0)
    visits: dict[object, list[ToeReading]] = {}
    for one in sorted(readings, key=lambda row: (row.occurred_at, row.pk)):
        if newest[_line(one)] == (one.line_entry_id or 0):
            visits.setdefault(_line(one), []).append(one)
    return list(visits.values())


def _line(reading: ToeReading) -> object:
    entry = reading.line_entry
    return ("line", entry.line_id) if entry else ("alone", reading.pk)


def _between(before: Sequence[ToeReading], as_found: ToeReading) -> Drift:
    left = sum(_over(one, as_found.span_m) for one in before) / len(before)
    texts = [one.rear_typed + one.front_typed for one in (*before, as_found)]
    step = drift.usual_step(metric=any("m" in text for text in texts))
    return Drift(before[0].occurred_at, as_found, drift.judged(left, as_found.toe_m, step))


def _over(reading: ToeReading, span: float | None) -> float:
    if span is None or reading.span_m is None or span == reading.span_m:
        return reading.toe_m
    return toe_at_span(reading.toe_m, reading.span_m, span)
