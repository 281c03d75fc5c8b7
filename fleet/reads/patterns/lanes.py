"""A pattern's own life along its dates: looks, finds, and what was done about it."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from django.utils import formats, timezone
from django.utils.translation import gettext, ngettext

from fleet.pictures.mark import SHAPES
from fleet.pictures.plots import Lane, Life, Sign, day_of
from fleet.reads.patterns.curves import Look
from fleet.records.models import Clock, Mark, Pattern

_ROOM = 0.03
_LEAST_ROOM_DAYS = 10.0
#: Places along the picture: more looks than this lie on each other anyway.
_PLACES = 120


def pattern_life(
    pattern: Pattern, seen: Sequence[Look], now: datetime, *, in_part: bool
) -> Life | None:
    """The picture, or None where nobody ever looked; no query.

    `in_part`: the looks are those of some vehicles, which stand for all.
    """
    if not seen:
        return None
    today = _on(now)
    found = [one.at for one in seen if one.finds]
    steps = _steps(pattern)
    days = [*(_on(one.at) for one in seen), *(_on(at) for at, _text in steps), today]
    room = max((max(days) - min(days)) * _ROOM, _LEAST_ROOM_DAYS)
    first, last = min(days) - room, max(days) + room
    mark = Mark.PLAY if pattern.statistic.get("clock") == Clock.WEAR else Mark.MOVED
    lanes = [
        Lane(gettext("Looks"), _thinned((one.at for one in seen), first, last, "tick")),
        Lane(gettext("Finds"), _thinned(found, first, last, mark.value)),
        *_done(steps),
    ]
    return Life(
        key="pattern-life",
        name=gettext("Looks, finds and what was done, along the dates"),
        says=_says(pattern, seen, len(found), in_part),
        first=date.fromordinal(int(first)),
        last=date.fromordinal(int(last)),
        lanes=[lane for lane in lanes if not lane.is_empty],
        today=today,
        symbols=SHAPES,
    )


def _on(moment: datetime) -> float:
    return day_of(timezone.localtime(moment).date())


def _thinned(moments: Iterable[datetime], first: float, last: float, shape: str) -> list[Sign]:
    """One sign for each place where there is any."""
    step = max((last - first) / _PLACES, 1.0)
    places = sorted({int((_on(at) - first) / step) for at in moments})
    return [Sign(first + (place + 0.5) * step, shape) for place in places]


def _steps(pattern: Pattern) -> list[tuple[datetime, str]]:
    """When it stood out, and what a person did about it; what is still so."""
    told = [
        (pattern.opened_at, gettext("stood out")),
        (pattern.acted_at, gettext("acted on")),
        (pattern.set_aside_at, gettext("set aside")),
    ]
    return sorted((at, text) for at, text in told if at is not None)


def _done(steps: Sequence[tuple[datetime, str]]) -> list[Lane]:
    """A lane for each, so that none is written over another."""
    return [Lane(text.capitalize(), [Sign(_on(at), "diamond")]) for at, text in steps]


def _says(pattern: Pattern, seen: Sequence[Look], found: int, in_part: bool) -> str:
    looks = len(seen)
    told = [
        ngettext("Looked at once", "Looked at %(n)d times", looks) % {"n": looks},
        ngettext("found at one of them", "found at %(n)d of them", found) % {"n": found},
        gettext("it stood out on %(day)s") % {"day": _day(pattern.opened_at)},
    ]
    if pattern.acted_at:
        told.append(gettext("acted on %(day)s") % {"day": _day(pattern.acted_at)})
    says = "; ".join(told) + "."
    return gettext("On the vehicles drawn: %(says)s") % {"says": says} if in_part else says


def _day(moment: datetime) -> str:
    return formats.date_format(timezone.localtime(moment).date(), "DATE_FORMAT")
