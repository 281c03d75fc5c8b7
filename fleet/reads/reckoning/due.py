"""The date when a meter will have come to a figure, from readings pasted in."""

import re
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.units import UnitError, convert, parse_meter
from fleet.calc.usage import STALE_AFTER_DAYS, Due, Stale, date_of, date_when_due, meter_rate
from fleet.reads.reckoning import show, why
from fleet.reads.reckoning.answers import Amount, Answer, Figure, Said
from fleet.reads.reckoning.asked import NOT_JUDGED, Ask, Calculator
from fleet.reads.reckoning.given import Given

NAME = "due-date"
#: As many as an address can carry.
MOST_READINGS = 100
_LINE = re.compile(
    r"(?P<date>\d{4}-\d{1,2}-\d{1,2})[\s,;]+(?P<meter>.*?)(?P<new>[\s,;]+new meter)?", re.I
)
_ORIGIN = gettext_lazy(
    "every stretch the vehicle has driven is one possible future; 8 of 10 lie between"
)
STALE: dict[str, Any] = {
    "too_few_readings": gettext_lazy("Too few readings: three on different days at least."),
    "too_short": gettext_lazy("The readings cover less than a week: too short to say."),
    "too_old": gettext_lazy(
        "Stale: the last reading is more than %(days)s days old. Read the meter, then ask again."
    ),
}
UNITS: tuple[tuple[str, Any], ...] = (
    ("mi", gettext_lazy("miles")),
    ("km", gettext_lazy("kilometers")),
    ("h", gettext_lazy("hours")),
)


@dataclass(frozen=True, slots=True)
class Pasted:
    """Readings as days and SI, and the days on which a new meter began."""

    days: list[float]
    meters: list[float]
    resets: list[float]


def work(given: Given, today: date) -> Answer:
    unit = given.choice("unit")
    target = given.read("target", lambda text, ask: _meter(given, "target", text, unit))
    as_of = given.read("as_of", lambda text, ask: _date(given, text)) or today
    pasted = given.read("readings", lambda text, ask: _readings(given, text, unit))
    given.settle()
    pasted, target = given.must(pasted), given.must(target)
    ordinal = float(as_of.toordinal())
    found = date_when_due(
        pasted.days, pasted.meters, target, ordinal, unit=unit, resets=pasted.resets
    )
    if isinstance(found, Stale):
        text = str(STALE[found.reason]) % {"days": round(STALE_AFTER_DAYS)}
        return Answer(NAME, Said(found.reason, text, grave=True), refused=True)
    rate = meter_rate(pasted.days, pasted.meters, unit=unit, resets=pasted.resets)
    return _answer(found, rate if isinstance(rate, float) else None, unit, as_of, target)


def _answer(found: Due, rate: float | None, unit: str, as_of: date, target: float) -> Answer:
    goal = show.number(convert(target, "s" if unit == "h" else "m", unit), 0)
    limit = _("meter at %(goal)s %(unit)s") % {"goal": goal, "unit": unit}
    rows = (
        ("low", _("Not likely before"), found.low),
        ("likely", _("Likely"), found.likely),
        ("high", _("Not likely after"), found.high),
    )
    figures = [
        Figure(key, label, (Amount(_iso(day), ""),), limit, str(_ORIGIN))
        for key, label, day in rows
    ]
    if rate is not None:
        a_day = convert(rate, "s" if unit == "h" else "m", unit)
        of = _("weighted median of its stretches; recent ones weigh more")
        amount = show.amount(a_day, 1, _("%(unit)s a day") % {"unit": unit})
        figures.append(Figure("rate", _("Use a day, likely"), amount, str(NOT_JUDGED), of))
    passed = found.likely <= as_of.toordinal()
    words = {"likely": _iso(found.likely), "low": _iso(found.low), "high": _iso(found.high)}
    text = _("Likely due on %(likely)s, from %(low)s to %(high)s.") % words
    if passed:
        text = _("Due by now: the readings have come to the figure, or likely so.")
    if date_of(found.likely) is None:
        text = _("Not within ten years at this use: a date or hours must decide.")
    code = "due" if passed else ("never" if date_of(found.likely) is None else "to_come")
    return Answer(NAME, Said(code, text, passed), tuple(figures))


def _iso(day: float) -> str:
    found = date_of(day)
    return found.isoformat() if found else _("not within ten years")


def _date(given: Given, text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        given.wrong("as_of", "no_date", _("Type a date like 2026-11-25."), "2026-11-25")
        return None


def _meter(given: Given, name: str, text: str, unit: str) -> float | None:
    try:
        found = parse_meter(text, unit)
    except UnitError as error:
        _slip(given, name, text, why.FIGURE[error.code])
        return None
    given.read_as(name, f"{float(found.magnitude):,g} {found.unit}")
    return found.si


def _readings(given: Given, text: str, unit: str) -> Pasted | None:
    """One reading a line: a date, then what the meter showed; 'new meter' after its first."""
    lines = [(n, line.strip()) for n, line in enumerate(text.splitlines(), 1) if line.strip()]
    if len(lines) > MOST_READINGS:
        message = _("More than %(most)s readings: leave the oldest out.")
        given.wrong("readings", "too_many", message % {"most": MOST_READINGS})
        return None
    pasted, before = Pasted([], [], []), len(given.problems)
    for n, line in lines:
        _one(given, pasted, n, line, unit)
    if len(given.problems) > before:
        return None
    given.read_as("readings", _("%(n)s readings in %(unit)s, %(first)s to %(last)s") % {
        "n": len(pasted.days), "unit": unit, "first": _iso(min(pasted.days)),
        "last": _iso(max(pasted.days))})  # fmt: skip
    return pasted


def _one(given: Given, pasted: Pasted, n: int, line: str, unit: str) -> None:
    found = _LINE.fullmatch(line)
    try:
        day = float(date(*map(int, found["date"].split("-"))).toordinal()) if found else None
    except ValueError:
        day = None
    if found is None or day is None:
        _slip(given, "readings", line, _("a line is a date like 2026-11-25, then the meter"), n)
        return
    try:
        meter = parse_meter(found["meter"], unit).si
    except UnitError as error:
        _slip(given, "readings", line, why.FIGURE[error.code], n)
        return
    if found["new"]:
        pasted.resets.append(day)
    pasted.days.append(day)
    pasted.meters.append(meter)


def _slip(given: Given, name: str, text: str, reason: Any, line: int = 0) -> None:
    hint = "2026-11-25, 48,210" if line else "52,000"
    parts = {"n": line, "text": text[:40], "why": reason, "hint": hint}
    message = _("“%(text)s” can't be read: %(why)s. Type it like %(hint)s.")
    if line:
        message = _("Line %(n)s, “%(text)s”, can't be read: %(why)s. Type it like %(hint)s.")
    given.wrong(name, "unreadable", message % parts, hint)


CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Due date from meter readings"),
    gettext_lazy("When a meter will have come to a figure, by the vehicle's own use."),
    (
        Ask("readings", gettext_lazy("Readings, one a line"), "lines",
            example="2026-09-02, 46,100\n2026-10-01, 47,180\n2026-11-04, 48,210", needed=True,
            hint=gettext_lazy("A date and the meter; behind a new meter's first: new meter.")),
        Ask("unit", gettext_lazy("The meter counts"), "choice", choices=UNITS, default="mi",
            default_metric="km"),
        Ask("target", gettext_lazy("Due at"), example="52,000", needed=True),
        Ask("as_of", gettext_lazy("Seen from"), example="2026-11-25",
            hint=gettext_lazy("Today at your yard if left empty.")),
    ),
    work,
    gettext_lazy("The first of distance, hours and date counts; this tells of the meter alone."),
    _ORIGIN,
)  # fmt: skip
