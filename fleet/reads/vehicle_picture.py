"""What happened to a vehicle over the years in one picture: looks, complaints, tickets, holds."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext, ngettext

from fleet.pictures.mark import SHAPES
from fleet.pictures.plots import Lane, Life, Sign, Stay, day_of
from fleet.reads.due import last_use_si
from fleet.reads.said import meter
from fleet.records.models import Mark, Vehicle

# Moment, kind and id, newest first.
Moments = Sequence[tuple[datetime, str, int]]
_ROOM = 0.03
_LEAST_ROOM_DAYS = 15.0


def vehicle_picture(
    vehicle: Vehicle,
    whole: Sequence[dict[str, Any]],
    found: set[int],
    now: datetime,
) -> Life | None:
    """The picture, or None while nothing was ever recorded; no query.

    `whole` is its timeline, newest first; `found` are the inspections at which something was loose
    or worse.
    """
    moments = [(row["moment"], row["row_kind"], row["row_id"]) for row in whole]
    use = last_use_si(vehicle)
    return years_of(moments, found, _on(now), "" if use is None else meter(use, vehicle.meter_unit))


def years_of(moments: Moments, found: set[int], today: float, use_now: str) -> Life | None:
    """The same of what was known on a day, which is a place of `day_of`; with the meter then."""
    if not moments:
        return None
    lanes = [
        Lane(gettext("Looks"), _looks(moments, found)),
        Lane(gettext("Complaints"), _signs(moments, "complaint", "triangle")),
        Lane(gettext("Tickets"), stays=_stays(moments, "ticket", "close", today)),
        Lane(gettext("Held"), stays=_stays(moments, "hold", "lift", today, act=True)),
        Lane(gettext("Taken apart"), _signs(moments, "fitting", "square")),
    ]
    days = [_on(at) for at, _kind, _id in moments]
    room = max((today - min(days)) * _ROOM, _LEAST_ROOM_DAYS)
    return Life(
        key="vehicle-life",
        name=gettext("What happened, over the years"),
        says=vehicle_sentence(moments, found),
        first=date.fromordinal(int(min(days) - room)),
        last=date.fromordinal(int(max(today, *days) + room)),
        lanes=[lane for lane in lanes if not lane.is_empty] or lanes[:1],
        ends=("", use_now),
        symbols=SHAPES,
    )


def vehicle_sentence(moments: Moments, found: set[int]) -> str:
    """What the picture says, in one sentence."""
    count = {
        kind: sum(one == kind for _at, one, _id in moments)
        for kind in ("inspection", "complaint", "ticket", "hold")
    }
    bad = sum(kind == "inspection" and pk in found for _at, kind, pk in moments)
    looks, complaints, tickets, holds = count.values()
    told = [
        ngettext("%(n)d look", "%(n)d looks", looks) % {"n": looks},
        ngettext("%(n)d found something", "%(n)d found something", bad) % {"n": bad},
        ngettext("%(n)d complaint", "%(n)d complaints", complaints) % {"n": complaints},
        ngettext("%(n)d ticket", "%(n)d tickets", tickets) % {"n": tickets},
        ngettext("%(n)d hold", "%(n)d holds", holds) % {"n": holds},
    ]
    first = timezone.localtime(moments[-1][0]).date()
    since = gettext("since %(year)s") % {"year": first.year}
    return f"{told[0]} {since}, {', '.join(told[1:])}."


def _on(moment: datetime) -> float:
    return day_of(timezone.localtime(moment).date())


def _looks(moments: Moments, found: set[int]) -> list[Sign]:
    """A tick for a look at which all held, the mark of a moved joint for one that found more."""
    return [
        Sign(_on(at), Mark.MOVED.value) if pk in found else Sign(_on(at), "tick")
        for at, kind, pk in moments
        if kind == "inspection"
    ]


def _signs(moments: Moments, wanted: str, shape: str) -> list[Sign]:
    return [Sign(_on(at), shape) for at, kind, _pk in moments if kind == wanted]


def _stays(
    moments: Moments, begins: str, ends: str, today: float, *, act: bool = False
) -> list[Stay]:
    """From one moment to the other of the same row, or to today while it lasts."""
    end = {pk: _on(at) for at, kind, pk in moments if kind == ends}
    return [
        Stay(_on(at), end.get(pk, max(today, _on(at))), act=act and pk not in end)
        for at, kind, pk in moments
        if kind == begins
    ]
