"""What toe was to lie within: on a design's file over time, on a line, on a rack's sheet."""

from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from django.utils.translation import gettext

from fleet.calc.alignment import toe_from_angle
from fleet.reads.cut import NOW, Cut
from fleet.records.models import Design, LineEntry, TrailEntry


@dataclass(frozen=True)
class ToeSpec:
    """Both sides, metres, toe-in positive, and where they stand."""

    low_m: float
    high_m: float
    source: str


@dataclass(frozen=True)
class Stood:
    """What a design's file said from a moment on; `since` is None for as long as it is known."""

    since: datetime | None
    spec: ToeSpec | None


def specs_on_file(design: Design, cut: Cut = NOW) -> list[Stood]:
    """What the file said from time to time, as far as it had by then, oldest first; one query, of
    the trail."""
    steps = TrailEntry.objects.filter(verb="set_alignment", subject="design", subject_id=design.pk)
    rows = list(steps.order_by("at", "id"))
    if not rows:
        return [Stood(None, _on_file(vars(design)))]
    told = [Stood(None, _on_file(rows[0].before))]
    told += [Stood(step.at, _on_file(step.after)) for step in rows if cut.has(step)]
    return _changes(told)


def _changes(told: list[Stood]) -> list[Stood]:
    """Without the steps that left toe as it was."""
    kept = told[:1]
    kept += [b for a, b in pairwise(told) if a.spec != b.spec]
    return kept


def spec_at(stood: list[Stood], at: datetime) -> ToeSpec | None:
    """What the file said at a moment."""
    before = [one for one in stood if one.since is None or one.since <= at]
    return before[-1].spec if before else None


def typed_on(entry: LineEntry | None) -> ToeSpec | None:
    """The specification typed on the line itself, in place of the file's."""
    if entry is None:
        return None
    low, high = _si(entry.data, "toe_spec_low"), _si(entry.data, "toe_spec_high")
    return None if low is None or high is None else ToeSpec(low, high, gettext("as typed"))


def on_sheet(data: dict[str, Any], span_m: float) -> tuple[float, ToeSpec | None] | None:
    """Total toe as a rack left it, and its sheet's specification, over a tape's span."""
    toe = _si(data, "toe_total")
    if toe is None:
        return None
    sides = [_si(data, f"toe_spec_{side}") for side in ("low", "high")]
    low, high = (None if side is None else toe_from_angle(side, span_m) for side in sides)
    known = low is not None and high is not None and low <= high
    spec = ToeSpec(low, high, gettext("the rack's sheet")) if known else None  # type: ignore[arg-type]
    return toe_from_angle(toe, span_m), spec


def _on_file(columns: dict[str, Any]) -> ToeSpec | None:
    low, high = columns.get("toe_low_m"), columns.get("toe_high_m")
    if low is None or high is None:
        return None
    return ToeSpec(float(low), float(high), str(columns.get("toe_source") or ""))


def _si(data: dict[str, Any], name: str) -> float | None:
    """A figure of a line's entry in SI, or degrees; None where it was not typed."""
    said = data.get(name)
    value = said.get("si", said.get("value")) if isinstance(said, dict) else None
    return float(value) if isinstance(value, int | float) else None
