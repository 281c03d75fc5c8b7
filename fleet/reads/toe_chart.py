"""Toe of one vehicle over time, each reading judged against what applied when it was read."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from fleet.calc.alignment import toe_against_spec
from fleet.reads.cut import NOW, Cut
from fleet.reads.toe_specs import Stood, ToeSpec, on_sheet, spec_at, specs_on_file, typed_on
from fleet.reads.toe_visits import visits
from fleet.records.models import LineEntry, ToeReading, Vehicle

# A rack once a quarter for ten years.
MOST_SHEETS = 40


@dataclass(frozen=True)
class ToePoint:
    """One toe: by tape or on a rack, as found or as left. `visit` ties a pair together."""

    at: datetime
    toe_m: float
    as_left: bool
    on_rack: bool
    spec: ToeSpec | None
    own_spec: bool
    visit: int

    @property
    def on(self) -> date:
        return timezone.localtime(self.at).date()

    @property
    def answer(self) -> str:
        """ "in_spec", "below", "above", or empty where there was nothing to judge it by."""
        if self.spec is None:
            return ""
        return toe_against_spec(self.toe_m, self.spec.low_m, self.spec.high_m).answer

    @property
    def is_out(self) -> bool:
        return self.answer in ("below", "above")


@dataclass(frozen=True)
class ToeChart:
    """Points in the order they were read, and what the design's file said over that time."""

    points: list[ToePoint]
    stood: list[Stood]
    # Racks whose angles can't be brought to a width: no tape was ever read over a known span.
    not_drawn: int = 0

    @property
    def judged(self) -> list[ToePoint]:
        return [point for point in self.points if point.answer]

    @property
    def on_racks(self) -> int:
        return sum(point.on_rack for point in self.points)

    @property
    def out(self) -> int:
        return sum(point.is_out for point in self.points)


def toe_chart(
    vehicle: Vehicle,
    readings: Sequence[ToeReading],
    cut: Cut = NOW,
    since: datetime | None = None,
) -> ToeChart:
    """Readings of one vehicle (any order) beside its racks' sheets; two queries. Sheets and
    specifications are those of the cut, sheets from `since` on; readings are given so.

    A line that was recorded again counts as it stands now. A rack's angle is drawn as the width
    it makes over the span that the tape was last read over.
    """
    stood = specs_on_file(vehicle.design, cut)
    by_tape = [
        of_tape(reading, nth, stood)
        for nth, visit in enumerate(visits(readings))
        for reading in visit
    ]
    newest_first = sorted(readings, key=lambda one: (one.occurred_at, one.pk), reverse=True)
    span = next((one.span_m for one in newest_first if one.span_m), None)
    sheets = list(_sheets(vehicle, cut, since))
    on_racks = _of_racks(sheets, span, len(by_tape)) if span else []
    points = sorted([*by_tape, *on_racks], key=lambda point: (point.at, point.as_left))
    return ToeChart(points, stood, 0 if span else len(sheets))


def _sheets(vehicle: Vehicle, cut: Cut, since: datetime | None) -> Iterable[LineEntry]:
    rows = cut.of(LineEntry.objects.filter(cut.newest(), line__ticket__vehicle=vehicle))
    rows = rows.filter(line__action="full_alignment")
    if since is not None:
        rows = rows.filter(occurred_at__gte=since)
    return rows.order_by("-occurred_at", "-id")[:MOST_SHEETS]


def of_tape(reading: ToeReading, visit: int, stood: list[Stood]) -> ToePoint:
    """A tape's reading with the specification typed on its line, else that on file then."""
    typed = typed_on(reading.line_entry)
    return ToePoint(
        at=reading.occurred_at,
        toe_m=reading.toe_m,
        as_left=reading.as_left,
        on_rack=False,
        spec=typed or spec_at(stood, reading.occurred_at),
        own_spec=typed is not None,
        visit=visit,
    )


def _of_racks(sheets: Sequence[LineEntry], span_m: float, first: int) -> list[ToePoint]:
    found = []
    for nth, entry in enumerate(sheets):
        told = on_sheet(entry.data, span_m)
        if told is not None:
            toe, spec = told
            found.append(ToePoint(entry.occurred_at, toe, True, True, spec, True, first + nth))
    return found
