"""Toe over time as a picture: the band that applied then, as found and as left, tape and rack."""

from datetime import date
from fractions import Fraction
from itertools import pairwise

from django.utils import timezone
from django.utils.translation import gettext, ngettext

from fleet.pictures.plots import Axis, Band, Layer, Line, Plot, Points, Stretch, day_of, number
from fleet.reads.said import toe as said
from fleet.reads.toe_chart import ToeChart, ToePoint
from fleet.reads.toe_specs import Stood

_INCH, _MILLIMETRE = 0.0254, 0.001
_INCH_STEPS = (1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0)
_FINEST = 32
# Half as long again as a month, so that a lone reading does not stand at an edge.
_ROOM_DAYS = 45.0


def toe_plot(chart: ToeChart, units: str, today: date) -> Plot | None:
    """The chart in inches or millimetres, or None where there is no reading to draw."""
    if not chart.points:
        return None
    last_day = max(day_of(day) for day in (today, *(point.on for point in chart.points)))
    first_day = day_of(chart.points[0].on)
    first_day -= max(_ROOM_DAYS, (last_day - first_day) * 0.04)
    scale = _MILLIMETRE if units == "metric" else _INCH
    stretches = _stretches(chart.stood, first_day, last_day, scale)
    layers: list[Layer] = [Band(stretches, _band_name(chart, units)), *_own_bands(chart, scale)]
    layers += [*_ties(chart, scale), *_readings(chart, scale)]
    return Plot(
        key="toe-plot",
        name=gettext("Toe over time"),
        says=toe_sentence(chart, units),
        x=Axis(low=first_day, high=last_day, dates=True),
        y=_upward(units),
        layers=layers,
        events=[(begin, gettext("new spec")) for begin in _turns(chart, first_day)],
    )


def toe_sentence(chart: ToeChart, units: str) -> str:
    """What the picture says, in one sentence."""
    last = chart.points[-1]
    told = {"n": len(chart.points), "last": said(last.toe_m, units)}
    if not chart.judged:
        text = ngettext(
            "Toe was read once, %(last)s; there was no specification to hold it against.",
            "Toe was read %(n)d times and there was no specification to hold it against; "
            "the last reading is %(last)s.",
            len(chart.points),
        )
        return text % told
    told |= {"out": chart.out, "judged": len(chart.judged), "stands": _stands(last)}
    text = ngettext(
        "Toe was read once against a specification: %(last)s, %(stands)s.",
        "Toe was out of its band at %(out)d of %(judged)d readings; the last one, %(last)s, "
        "is %(stands)s.",
        len(chart.judged),
    )
    return text % told


def _stands(point: ToePoint) -> str:
    return {
        "in_spec": gettext("inside"),
        "below": gettext("outside, towards toe-out"),
        "above": gettext("outside, towards toe-in"),
    }.get(point.answer, gettext("not judged"))


def _upward(units: str) -> Axis:
    if units == "metric":
        return Axis(gettext("toe-in, mm"))
    return Axis(gettext("toe-in, in"), steps=_INCH_STEPS, show=_fraction)


def _fraction(inches: float) -> str:
    """'1/16', '−1 1/8': as a tape has it.

    >>> _fraction(-1.125), _fraction(0.0625), _fraction(0.0)
    ('−1 1/8', '1/16', '0')
    """
    whole, part = divmod(Fraction(abs(inches)).limit_denominator(_FINEST), 1)
    text = f"{whole} {part}" if whole and part else str(part or whole)
    return f"−{text}" if inches < 0 else text


def _day(stood: Stood) -> float:
    return day_of(timezone.localtime(stood.since).date()) if stood.since else float("-inf")


def _stretches(stood: list[Stood], first: float, last: float, scale: float) -> list[Stretch]:
    """What the file said, cut to the time that is shown."""
    ends = [*[_day(one) for one in stood[1:]], last]
    return [
        Stretch(max(first, _day(one)), min(end, last), spec.low_m / scale, spec.high_m / scale)
        for one, end in zip(stood, ends, strict=True)
        if (spec := one.spec) is not None and end > first and _day(one) < last
    ]


def _turns(chart: ToeChart, first: float) -> list[float]:
    return [_day(one) for one in chart.stood if _day(one) > first]


def _band_name(chart: ToeChart, units: str) -> str:
    spec = chart.stood[-1].spec
    if spec is None:
        return ""
    low, high = _short(spec.low_m, units), _short(spec.high_m, units)
    return gettext("spec %(low)s to %(high)s") % {"low": low, "high": high}


def _short(toe_m: float, units: str) -> str:
    if units == "metric":
        return number(round(toe_m / _MILLIMETRE, 1))
    return _fraction(toe_m / _INCH)


def _own_bands(chart: ToeChart, scale: float) -> list[Band]:
    """A specification typed on a line, or printed on a rack's sheet, about its own reading."""
    found = [
        Stretch(day_of(p.on) - 6, day_of(p.on) + 6, p.spec.low_m / scale, p.spec.high_m / scale)
        for p in chart.points
        if p.spec and p.own_spec
    ]
    return [Band(found)] if found else []


def _ties(chart: ToeChart, scale: float) -> list[Line]:
    """From as found to as left at one visit, and on to the next visit's as found."""
    tape = [point for point in chart.points if not point.on_rack]
    pairs = [(a, b) for a, b in pairwise(tape) if a.visit == b.visit or not b.as_left]
    return [Line([_place(a, scale), _place(b, scale)], kind="link") for a, b in pairs]


def _place(point: ToePoint, scale: float) -> tuple[float, float]:
    return day_of(point.on), point.toe_m / scale


def _readings(chart: ToeChart, scale: float) -> list[Points]:
    """Shape says how it was read and filled says as left; the accent is for a last one outside."""
    kinds: dict[tuple[bool, bool, bool], list[ToePoint]] = {}
    for point in chart.points:
        act = point is chart.points[-1] and point.is_out
        kinds.setdefault((point.on_rack, point.as_left, act), []).append(point)
    lasts = {key[:2]: points[-1] for key, points in sorted(kinds.items())}
    return [
        Points(
            [_place(point, scale) for point in points],
            shape="square" if on_rack else "circle",
            solid=as_left,
            act=act,
            name=_name(on_rack, as_left) if points[-1] is lasts[on_rack, as_left] else "",
        )
        for (on_rack, as_left, act), points in kinds.items()
    ]


def _name(on_rack: bool, as_left: bool) -> str:
    if on_rack:
        return gettext("on a rack")
    return gettext("as left") if as_left else gettext("as found")
