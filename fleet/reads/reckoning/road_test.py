"""A road-test record: its spectrum, its strongest frequency, and whether it follows the wheels.

The arithmetic is loaded when a record is first asked about: its signal library is large.
"""

import math
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.records import RecordError, RoadRecord, read_record
from fleet.reads.reckoning import show, why, wobble
from fleet.reads.reckoning.answers import Answer, Column, Figure, Line, Plot, Said, Table, refuse
from fleet.reads.reckoning.asked import Ask, Calculator
from fleet.reads.reckoning.given import Given, speed_words

if TYPE_CHECKING:
    from fleet.calc.vibration import Peak, Spectrum, SpeedFollow

NAME = "vibration"
#: Drawn and listed up to here, hertz; and no peak with a smaller share is called one (own).
TOP, LEAST_SHARE = 30.0, 0.1
_WELCH = gettext_lazy("Welch spectrum of all axes added, pieces of 4 s, gravity taken out")
_NEVER = gettext_lazy(
    "Never a clearance to drive. A vehicle with violent axle oscillation is not driven; a road "
    "test never provokes it. Hold the vehicle and look at the joints."
)
VERDICTS: dict[str, Any] = {
    "follows_wheel_speed": gettext_lazy(
        "Follows wheel speed, %(order)s times a turn: balance or run-out first. Doubt %(doubt)s %%."
    ),
    "stays_as_speed_falls": gettext_lazy(
        "Stays near %(hertz)s Hz as speed falls: axle oscillation. Doubt %(doubt)s %%. Hold the "
        "vehicle; the track bar's frame end is looked at first (common practice, no source)."
    ),
    "no_clear_peak": gettext_lazy(
        "No frequency stands out for long enough: nothing can be said. That clears nothing."
    ),
    "speed_too_even": gettext_lazy(
        "Speed changed by less than a fifth: it can't be told whether the shake follows it."
    ),
    "neither_fits": gettext_lazy(
        "It neither follows the wheels nor stays: more than one thing shakes, or the road does."
    ),
    "cannot_tell": gettext_lazy("Following the wheels and staying fit alike: it can't be told."),
    "order_not_whole": gettext_lazy(
        "Follows speed, %(order)s times a turn of the wheel: something else that turns."
    ),
    "no_speed": gettext_lazy(
        "Without speed it can't be told whether the shake follows the wheels or stays."
    ),
    "no_tire": gettext_lazy(
        "Without the tire's circumference it can't be told how often a turn it shakes."
    ),
}


@dataclass(frozen=True, slots=True)
class Shake:
    """What was found in a record; damping and follow are None where nothing can be said."""

    spectrum: "Spectrum"
    peak: "Peak"
    damping: tuple[float, float] | None
    follow: "SpeedFollow | None"
    why_not: str


def found_in(record: RoadRecord, way: float | None) -> Shake:
    """Look into a record; raises VibrationError where nothing can be said at all."""
    from fleet.calc import vibration  # noqa: PLC0415  (50 MB of signal library, for few)

    spectrum = vibration.spectrum(record.time, record.acceleration)
    peak = vibration.dominant_frequency(record.time, record.acceleration)
    damping, follow, why_not = None, None, ""
    if peak.share >= LEAST_SHARE:
        try:
            damping = vibration.damping_ratio(record.time, record.acceleration, peak.hertz)
        except vibration.VibrationError:
            damping = None
    if record.speed is None or way is None:
        why_not = "no_speed" if record.speed is None else "no_tire"
    else:
        try:
            follow = vibration.follow_speed(record.time, record.acceleration, record.speed, way)
        except vibration.VibrationError as error:
            why_not = error.code
    return Shake(spectrum, peak, damping, follow, why_not)


def work(given: Given, today: date) -> Answer:
    record = given.read("record", lambda text, ask: _record(given, text))
    way, speed = wobble.circumference(given), given.speed("speed")
    given.settle()
    record = given.must(record)
    from fleet.calc.samples import VibrationError  # noqa: PLC0415  (loads SciPy's splines)

    try:
        shake = found_in(record, way)
    except VibrationError as error:
        refuse("record", error.code, str(why.SHAKE[error.code]))
    return _answer(shake, way, speed, given.units)


def _record(given: Given, text: str) -> RoadRecord | None:
    try:
        found = read_record(text)
    except RecordError as error:
        where = {"line": error.line, "column": error.column, "shown": error.shown,
                 "why": why.RECORD[error.code], "hint": error.hint}  # fmt: skip
        message = _("Line %(line)s: %(why)s. Like: %(hint)s")
        if error.column:
            message = _("Line %(line)s, column %(column)s, “%(shown)s”: %(why)s. Like: %(hint)s")
        given.wrong("record", error.code, message % where, error.hint)
        return None
    seconds = float(found.time[-1] - found.time[0])
    words = {"n": f"{found.time.size:,}", "seconds": show.number(seconds, 1),
             "axes": ", ".join(found.axes)}  # fmt: skip
    read = _("%(n)s samples over %(seconds)s s, %(axes)s")
    if found.speed is not None:
        read = _("%(n)s samples over %(seconds)s s, %(axes)s, with speed")
    given.read_as("record", read % words)
    return found


def _answer(shake: Shake, way: float | None, speed: float | None, units: str) -> Answer:
    figures, cautions = _figures(shake), [Said("never_a_clearance", str(_NEVER), grave=True)]
    verdict = _verdict(shake)
    if speed is not None and way is not None:
        order = shake.peak.hertz * way / speed
        figures.append(_order(order, _("at the speed typed, %(speed)s") % {
            "speed": speed_words(speed)}))  # fmt: skip
        if shake.follow is None and shake.peak.share >= LEAST_SHARE:
            pointed = wobble.order_words(order)
            cautions += [pointed, Said("one_speed", str(wobble.STAYS))]
    if shake.damping is None and shake.peak.share >= LEAST_SHARE:
        cautions.append(Said("no_decay", str(why.SHAKE["no_decay"])))
    return Answer(NAME, verdict, tuple(figures), cautions=tuple(cautions), tables=(_table(shake),),
                  plots=_plots(shake, way, units))  # fmt: skip


def _verdict(shake: Shake) -> Said:
    follow = shake.follow
    if shake.peak.share < LEAST_SHARE:
        return Said("no_clear_peak", str(VERDICTS["no_clear_peak"]))
    if follow is None:
        return Said(shake.why_not, str(VERDICTS.get(shake.why_not, why.SHAKE["no_speed"])))
    code = follow.verdict if follow.verdict != "unclear" else follow.reason
    words = {"order": _plain(follow.order, 2), "hertz": _plain(follow.hertz, 1),
             "doubt": _plain(max(100 * follow.doubt, 0.1), 1)}  # fmt: skip
    return Said(code, str(VERDICTS[code]) % words, code == "stays_as_speed_falls")


def _plain(value: float, places: int) -> str:
    return show.number(value, places) if math.isfinite(value) else "–"


def _figures(shake: Shake) -> list[Figure]:
    peak, of = shake.peak, str(_WELCH)
    rows = [
        Figure("hertz", _("Strongest frequency"), show.amount(peak.hertz, 2, "Hz"),
               _("looked for from 2 to 30 Hz (own)"), of),
        Figure("amplitude", _("Swing each way"), show.amount(peak.amplitude, 2, "m/s²"),
               _("not judged: a calm record clears nothing"), of),
        Figure("share", _("Share of all that shakes"), show.amount(100 * peak.share, 0, "%"),
               _("under 10 % it is no clear peak (own)"), of),
    ]  # fmt: skip
    if shake.damping is not None:
        ratio, error = shake.damping
        rows.append(
            Figure("damping", _("Damping, of critical"), show.amount(100 * ratio, 1, "%"),
                   _("near 0 it does not die away; ± %(error)s %% standard error") % {
                       "error": show.number(100 * error, 1)},
                   _("decaying sine fitted by least squares; a rough road has more doubt"))
        )  # fmt: skip
    if shake.follow is not None and math.isfinite(shake.follow.order):
        rows.append(_order(shake.follow.order, _("median of 2 s windows against speed")))
        if math.isfinite(shake.follow.slope):
            rows.append(
                Figure("slope", _("How far it follows speed"), show.ratio(shake.follow.slope),
                       _("1 follows, 0 stays"),
                       _("median slope of log frequency on log speed (Theil and Sen)"))
            )  # fmt: skip
    return rows


def _order(order: float, of: str) -> Figure:
    limit = _("1 or 2 within 8 % is the wheel's (own)")
    label = _("Shakes a turn of the wheel")
    return Figure("order", label, show.ratio(order), limit, of)


def _table(shake: Shake) -> Table:
    """Power of the record, hertz by hertz: what the picture shows."""
    hertz, density = shake.spectrum.hertz, shake.spectrum.density
    rows = []
    for low in range(int(min(TOP, hertz[-1]))):
        inside = (hertz >= low) & (hertz < low + 1)
        if inside.any():
            rows.append((f"{low} – {low + 1}", f"{float(density[inside].mean()):.3g}"))
    columns = (Column("hertz", _("Frequency"), "Hz"), Column("power", _("Power"), "(m/s²)²/Hz"))
    return Table("spectrum", _("The picture in figures"), columns, tuple(rows),
                 _("not judged: a calm record clears nothing"), str(_WELCH))  # fmt: skip


def _plots(shake: Shake, way: float | None, units: str) -> tuple[Plot, ...]:
    """The spectrum; and frequency against speed, with once and twice a turn to judge it by."""
    hertz, density = shake.spectrum.hertz, shake.spectrum.density
    seen = hertz <= TOP
    points = tuple(
        (round(float(x), 4), float(y)) for x, y in zip(hertz[seen], density[seen], strict=True)
    )
    place = (shake.peak.hertz, _("%(hertz)s Hz") % {"hertz": show.number(shake.peak.hertz, 1)})
    spectrum = Plot("spectrum", _("Spectrum of the record"), _("frequency, Hz"),
                    _("power, (m/s²)² a Hz"), (Line(points),), named=(place,))  # fmt: skip
    follow = shake.follow
    if follow is None or way is None or not follow.window_speed.size:
        return (spectrum,)
    metres, unit = wobble.SPEED_UNITS[units]
    dots = tuple(
        (float(v) / metres, float(f))
        for v, f in zip(follow.window_speed, follow.window_hertz, strict=True)
    )
    fastest = max(x for x, _y in dots)
    turns = tuple(
        Line(((0.0, 0.0), (fastest, n * fastest * metres / way)), _("%(n)s x a turn") % {"n": n})
        for n in (1, 2)
    )
    title = _("Frequency against speed, in windows of 2 s")
    against = Plot("follow", title, _("speed, %(unit)s") % {"unit": unit}, _("frequency, Hz"),
                   turns, dots)  # fmt: skip
    return spectrum, against


CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Shake on a road test"),
    gettext_lazy(
        "A record of acceleration, from a phone or logger anywhere in the cab: what shakes, how "
        "fast, and whether it follows the wheels."
    ),
    (
        Ask("record", gettext_lazy("Record, CSV"), "record", example="time,ax,ay,az,speed",
            needed=True,
            hint=gettext_lazy(
                "Columns time (s), ax, ay, az (m/s² or g), and speed where there is one; 50 to 400 "
                "samples a second, 20 seconds or more. Looked at and not kept."
            )),
        *wobble.TIRE_ASKS,
        Ask("speed", gettext_lazy("Steady speed, if the record has none"), "speed",
            example="45 mph", example_metric="72 km/h"),
    ),
    work,
    gettext_lazy(
        "One drives and another records; the phone lies fixed. Nothing here is a clearance to "
        "drive, and axle oscillation is never provoked."
    ),
    _WELCH,
)  # fmt: skip
