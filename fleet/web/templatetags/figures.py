"""Figures as the reader's trade says them; units always shown.

`units` ("us" or "metric") is the reader's and stands in every template's context.
"""

import re
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Any

from django import template
from django.utils import formats, timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext, ngettext, pgettext

from fleet.calc.units import convert, format_length, use_from_si
from fleet.reads import pulls, said
from fleet.reads.said import ABSENT, NONE

register = template.Library()
meter = register.filter(said.meter)
tape = register.filter(said.tape)
toe = register.filter(said.toe)
torque = register.filter(said.torque)

_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:\d+/\d+|in|mm|mi|km|mph|km/h|lbf·ft|N·m|lb|kg|psi)\b)")
_THOUSANDTH = Decimal("0.001")
_MPH = "mi"
_SECONDS_IN_HOUR = 3600
_MINUS = re.compile(r"(?<!\S)-(?=[\d.])")
# A unit or lot number: a line may end at a hyphen, but not inside one of these.
_HYPHENED = re.compile(r"(?<![\w-])(\w+-\d\w*)(?![\w-])")


@register.filter
def named(code: str, names: dict[str, str]) -> str:
    """The name of a code; a code that has none is read as it is written."""
    return names.get(code, code.replace("_", " "))


@register.filter
def unbroken(text: str) -> SafeString:
    """A sentence of which no unit or lot number is torn at its hyphen by the end of a line."""
    pieces = enumerate(_HYPHENED.split(text))
    whole = '<span class="nowrap">{}</span>'
    return format_html_join(
        "", "{}", ((format_html(whole, piece) if n % 2 else piece,) for n, piece in pieces)
    )


@register.filter
def torque_band(spec: Any, units: str) -> str:
    """'80 to 90 lbf·ft', or one figure where low and high are the same."""
    low, high = torque(spec.low_nm, units), torque(spec.high_nm, units)
    if low == high:
        return high
    return gettext("%(low)s to %(high)s") % {"low": low.split(" ")[0], "high": high}


@register.filter
def says_otherwise(figure: str, typed: str) -> bool:
    """Whether a figure in the reader's unit tells more than what was typed: other numbers or
    another unit. '195 to 220 lbf·ft' says of '195 – 220 lbf·ft' nothing new.
    """
    numbers = _NUMBER.findall(figure), _NUMBER.findall(typed)
    units = figure.split()[-1:], typed.split()[-1:]
    return numbers[0] != numbers[1] or units[0] != units[1]


@register.filter
def in_one_piece(figure: str) -> str:
    """A figure as it was typed, kept on one line: '195 – 220 lbf·ft', '−0.5 – 0.7'."""
    # A line may end behind a dash even where the space after it may not break.
    joined = figure.replace("–", "–\N{WORD JOINER}").replace(" ", "\N{NO-BREAK SPACE}")
    return _MINUS.sub("−", joined)


@register.filter
def bound(text: Any) -> str:
    """A hint whose figures keep their units beside them: no line ends in '915'."""
    return _BEFORE_UNIT.sub("\N{NO-BREAK SPACE}", str(text))


@register.filter
def as_pulled(reading: Any) -> str:
    """'80 lbf·ft with 3 in extension: 92 lbf·ft at the bolt', or what the wrench said alone."""
    return pulls.as_pulled(reading)


@register.filter
def at_bolt(reading: Any) -> str:
    """The latter half alone: 'with 3 in extension: 92 lbf·ft at the bolt', or nothing."""
    return pulls.at_bolt(
        reading.typed, reading.extension_typed, reading.extension_m, reading.torque_nm
    )


@register.filter
def play(metres: Any, units: str) -> str:
    """A small length as a gauge shows it: '0.031 in' or '0.8 mm'."""
    if metres in ABSENT:
        return NONE
    if units == "metric":
        return format_length(metres, "mm")
    inches = Decimal(str(convert(metres, "m", "in")))
    return f"{inches.quantize(_THOUSANDTH, ROUND_HALF_UP)} in"


@register.filter
def per_day(rate: Any, unit: str) -> str:
    """Metres or seconds a day as '38 mi a day'."""
    if rate in ABSENT:
        return NONE
    return gettext("%(figure)s %(unit)s a day") % {
        "figure": f"{use_from_si(rate, unit, 0 if rate > _SECONDS_IN_HOUR * 10 else 1):,}",
        "unit": unit,
    }


@register.filter
def speed(metres_per_second: Any, units: str) -> str:
    if metres_per_second in ABSENT:
        return NONE
    unit, name = ("km", "km/h") if units == "metric" else (_MPH, "mph")
    return f"{use_from_si(metres_per_second * _SECONDS_IN_HOUR, unit, 0)} {name}"


@register.filter
def degrees(value: Any) -> str:
    return NONE if value in ABSENT else f"{value:g}°"


@register.filter
def share(value: Any) -> str:
    """A share of an interval: '62%'."""
    return NONE if value in ABSENT else f"{round(value * 100)}%"


@register.filter
def day(value: Any) -> str:
    """A date as the reader writes it; a moment becomes the day it was where the reader is."""
    if value in ABSENT:
        return NONE
    if isinstance(value, datetime):
        value = timezone.localtime(value).date()
    return _written(value, "DATE_FORMAT", get_language())


@register.filter
def brief(value: Any, today: date) -> str:
    """A date without its year where that is this year's: 'Nov 28'."""
    if value in ABSENT:
        return NONE
    this_year = value.year == today.year
    # Translators: a date without its year, in Django's date format.
    form = pgettext("date", "M j") if this_year else pgettext("date", "M j, Y")
    return _written(value, form, get_language())


@lru_cache(maxsize=4096)
def _written(value: date, form: str, language: str | None) -> str:
    """Kept, since the same few dates stand many times on a page."""
    return formats.date_format(value, form)


@register.filter
def moment(value: Any) -> str:
    """A date and a time, in the zone in force."""
    if value in ABSENT:
        return NONE
    local = timezone.localtime(value)
    return f"{formats.date_format(local, 'DATE_FORMAT')}, {formats.time_format(local, 'H:i')}"


@register.filter
def days_from(value: Any, today: date) -> str:
    """'in 3 days', 'today', '12 days ago'."""
    if value in ABSENT:
        return ""
    ahead: int = (value - today).days
    if ahead == 0:
        return gettext("today")
    if ahead > 0:
        return ngettext("in %d day", "in %d days", ahead) % ahead
    return ngettext("%d day ago", "%d days ago", -ahead) % -ahead


@register.filter
def age(value: Any, now: datetime) -> str:
    """How long since: in days, or in hours on the first day."""
    if value in ABSENT:
        return NONE
    passed = max(0, int((now - value).total_seconds()))
    days, hours = passed // (24 * _SECONDS_IN_HOUR), passed // _SECONDS_IN_HOUR
    if days:
        return ngettext("%d day", "%d days", days) % days
    return ngettext("%d hour", "%d hours", hours) % hours
