"""How long joints hold as a picture: the life with its band, and what the looks alone say."""

from collections.abc import Sequence

import numpy as np
from django.utils.translation import gettext

from fleet.calc.meter_text import meter_unit
from fleet.pictures.plots import Axis, Layer, Line, Plot, Ribbon, Steps, Target
from fleet.reads.intervals.rows import in_force_si
from fleet.reads.intervals.words import amount, unit_of
from fleet.records.models import IntervalProposal

_HUNDRED = 100
#: Shares are drawn from the ten below the lowest that is shown, and from 80 at most.
_TEN, _LOWEST_TOP = 10, 80


def interval_plot(row: IntervalProposal, units: str) -> Plot | None:
    """From where the interval begins on; None where the looks tell nothing to draw."""
    seen = _seen(row)
    told = row.curve.get("on", [])
    if not told and not seen[1:]:
        return None
    per = _per(row.meter, units)
    until = (told[-1][0] if told else max(seen[-1][0], row.now_si)) / per
    layers: list[Layer] = [*_curve(told, per), *_steps(seen, per, until)]
    if told:
        wanted = gettext("%(of)s wanted") % {"of": f"{row.target * _HUNDRED:g}"}
        layers.append(Target(row.target * _HUNDRED, wanted))
    return Plot(
        key="interval-plot", name=gettext("How long such joints hold"),
        says=_says(row, units), x=Axis(_across(row, units), low=0.0, high=until),
        y=Axis(gettext("still tight, of 100"), low=_floor(told, seen, per, until), high=100.0),
        layers=layers, events=_events(row, units, per, until),
    )  # fmt: skip


def joint_plot(row: IntervalProposal, units: str, use_si: float | None) -> Plot | None:
    """From the turning on, with one joint's own use marked on it."""
    told = row.curve.get("since", [])
    if not told:
        return None
    per = _per(row.meter, units)
    until = min(told[-1][0], max(row.longest_tight_si, use_si or 0)) / per
    at = [] if use_si is None or use_si / per > until else [(use_si / per, gettext("this joint"))]
    steps = [(float(use), float(share)) for use, share in row.curve.get("steps", [])]
    return Plot(
        key="hold-plot", name=gettext("How joints of this kind here hold"),
        says=_says_of_joint(row, units, use_si),
        x=Axis(_since(row.meter, units), low=0.0, high=until),
        y=Axis(gettext("still tight, of 100"), low=_floor(told, steps, per, until), high=100.0),
        layers=[*_curve(told, per), *_steps(steps, per, until)], events=at,
    )  # fmt: skip


def _per(meter: str, units: str) -> float:
    """Metres or seconds in one of what the axis counts."""
    return float(meter_unit(unit_of(meter, units)).factor)


def seen_at(row: IntervalProposal, use: float) -> float | None:
    """The share not yet found loose by a use from where the interval begins; None unseen."""
    before = [share for at, share in _seen(row) if at <= use]
    return before[-1] if before and use <= row.longest_tight_si - row.age_si else None


def _seen(row: IntervalProposal) -> list[tuple[float, float]]:
    """The steps of the looks, counted from where the interval begins, of those tight there."""
    steps = row.curve.get("steps", [])
    at_age = [share for use, share in steps if use <= row.age_si]
    if not at_age or at_age[-1] <= 0:
        return []
    on = [(use - row.age_si, share / at_age[-1]) for use, share in steps if use > row.age_si]
    return [(0.0, 1.0), *on]


def _curve(told: Sequence[Sequence[float]], per: float) -> list[Layer]:
    if not told:
        return []
    band = [(use / per, low * _HUNDRED, high * _HUNDRED) for use, _best, low, high in told]
    best = [(use / per, share * _HUNDRED) for use, share, _low, _high in told]
    return [Ribbon(band), Line(best, gettext("best guess"))]


def _steps(seen: Sequence[tuple[float, float]], per: float, until: float) -> list[Layer]:
    points = [(use / per, share * _HUNDRED) for use, share in seen if use / per <= until]
    return [Steps(points, until, gettext("looks alone"), kind="guide")] if points else []


def _floor(
    told: Sequence[Sequence[float]], seen: Sequence[tuple[float, float]], per: float, until: float
) -> float:
    """Down to the ten below what is shown, so that small shares of loose ones are seen."""
    shown = [low for _use, _best, low, _high in told]
    shown += [share for use, share in seen if use / per <= until]
    lowest = min(shown, default=0.0) * _HUNDRED
    return float(min(lowest // _TEN * _TEN, _LOWEST_TOP))


def _events(row: IntervalProposal, units: str, per: float, until: float) -> list[tuple[float, str]]:
    now = in_force_si(row)
    marks = [(now, gettext("now %(use)s") % {"use": amount(now, row.meter, units)})]
    if row.offers and row.offered_si is not None:
        use = amount(row.offered_si, row.meter, units)
        marks.append((row.offered_si, gettext("proposed %(use)s") % {"use": use}))
    return [(use / per, text) for use, text in marks if use / per <= until]


def _across(row: IntervalProposal, units: str) -> str:
    """The axis names its unit, and what it is counted from."""
    if not row.age_si:
        return _since(row.meter, units)
    return gettext("%(unit)s since the look at %(age)s") % {
        "unit": unit_of(row.meter, units), "age": amount(row.age_si, row.meter, units)
    }  # fmt: skip


def _since(meter: str, units: str) -> str:
    return gettext("%(unit)s since it was turned") % {"unit": unit_of(meter, units)}


def _says(row: IntervalProposal, units: str) -> str:
    now = in_force_si(row)
    told = {"now": amount(now, row.meter, units), "of": round(row.target * _HUNDRED)}
    points = row.curve.get("on", [])
    if not points:
        return gettext("What the looks alone say, step by step; too little for a curve.")
    low, best = (_at(points, now, column) for column in (2, 1))
    return gettext(
        "By %(now)s about %(best)d of 100 such joints are still tight, at least %(low)d; "
        "%(of)d are wanted."
    ) % {**told, "best": round(best * _HUNDRED), "low": int(low * _HUNDRED)}


def _says_of_joint(row: IntervalProposal, units: str, use_si: float | None) -> str:
    if use_si is None:
        return gettext("What is known of the use since this joint was turned tells no place on it.")
    points = row.curve["since"]
    if use_si > points[-1][0]:
        return gettext(
            "This joint has run %(use)s since it was turned: longer than such joints were watched."
        ) % {"use": amount(use_si, row.meter, units)}
    return gettext(
        "This joint has run %(use)s since it was turned; of such joints about %(best)d of 100 are "
        "still tight by then, at least %(low)d."
    ) % {
        "use": amount(use_si, row.meter, units),
        "best": round(_at(points, use_si, 1) * _HUNDRED),
        "low": int(_at(points, use_si, 2) * _HUNDRED),
    }


def _at(points: Sequence[Sequence[float]], use: float, column: int) -> float:
    """A column of the curve at a use, straight between its points."""
    return float(np.interp(use, [one[0] for one in points], [one[column] for one in points]))
