"""What the figures of rechecks kept on time come to, by yard: the trend, the oldest debt, and why
what is late is late."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import (
    Case,
    CharField,
    Count,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    Value,
    When,
    Window,
)
from django.db.models.functions import Coalesce, RowNumber, TruncDate
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from fleet.calc.proportion import Share, share_of
from fleet.pictures.plots import Axis, Line, Plot, day_of
from fleet.reads.days import today_at
from fleet.reads.due import STALE_DAYS, overdue, with_all_shown
from fleet.reads.reports.kept import KeptRow
from fleet.reads.rules import settings_now
from fleet.reads.vehicles import keeping_in_now
from fleet.records.models import Person, Recheck, Vehicle, Yard

#: Months that a trend is told over, against as many before them (own).
MONTHS = 3
_HUNDRED = 100
#: Why something is late, as far as the record tells; the first that holds is told.
WHY: dict[str, Any] = {
    "held": _("the vehicle is held"),
    "put_off": _("put off before"),
    "unread": _("the meter is not read"),
    "nobody": _("handed to nobody"),
    "somebody": _("handed to somebody, and not made"),
}


@dataclass(frozen=True)
class YardKept:
    """One yard: its share of late, its share before, what it owes the longest, and why."""

    yard: Yard
    late: Share | None
    before: Share | None
    oldest: Recheck | None
    days: int
    reasons: list[tuple[str, int]]

    @property
    def missed(self) -> int:
        return sum(n for _words, n in self.reasons)

    @property
    def trend(self) -> str:
        """Told only where the two ranges have nothing in common."""
        if self.late is None or self.before is None:
            return gettext("too little to tell a trend")
        if self.late.low > self.before.high:
            return gettext("better than before")
        if self.late.high < self.before.low:
            return gettext("worse than before")
        return gettext("no clear change")

    @property
    def kept(self) -> str:
        """'84 of 100 in the last three months, 91 before: no clear change'."""
        if self.late is None:
            return gettext("nothing fell due in the last three months")
        words = {"late": _of_100(self.late), "trend": self.trend}
        if self.before is None:
            text = gettext("%(late)s of 100 kept in the last three months: %(trend)s")
            return text % words
        words["before"] = _of_100(self.before)
        text = gettext(
            "%(late)s of 100 kept in the last three months, %(before)s in the three before: "
            "%(trend)s"
        )
        return text % words

    @property
    def owed_since(self) -> str:
        if self.oldest is None:
            return gettext("nothing is late")
        what = self.oldest.joint.name if self.oldest.joint else gettext("whole front end")
        words = {"unit": self.oldest.vehicle.unit_number, "what": what, "n": self.days}
        text = ngettext(
            "%(unit)s, %(what)s: %(n)s day late", "%(unit)s, %(what)s: %(n)s days late", self.days
        )
        return text % words


def _of_100(share: Share) -> int:
    return round(_HUNDRED * share.value)


def kept_story(
    person: Person, yards: Sequence[Yard], rows: Sequence[KeptRow], now: datetime
) -> list[YardKept]:
    """By yard, in the order of their names; three queries, whatever there is."""
    late = _late(person, yards, now)
    oldest, reasons = _oldest(late), _reasons(late, now)
    return [
        YardKept(
            yard, *_shares([row for row in rows if row.yard == yard], today_at(yard, now)),
            oldest.get(yard.pk), _days(oldest.get(yard.pk), today_at(yard, now)),
            [(str(WHY[why]), reasons[yard.pk][why]) for why in WHY if reasons[yard.pk][why]],
        )
        for yard in yards
    ]  # fmt: skip


def _late(person: Person, yards: Sequence[Yard], now: datetime) -> QuerySet[Any]:
    rows = Recheck.visible_to(person).filter(state__in=Recheck.LIVE, vehicle__yard__in=yards)
    rows = overdue(rows.exclude(vehicle__status=Vehicle.Status.OUT), list(yards), now)
    # What is late by the meter fell due on the day that the night's work wrote.
    return rows.annotate(since=Coalesce(TruncDate("fell_due_at"), "due_on", "falls_on"))


def _oldest(late: QuerySet[Any]) -> dict[int, Any]:
    first = Window(RowNumber(), partition_by="vehicle__yard", order_by=[F("since"), F("id")])
    rows = with_all_shown(late).annotate(place=first).filter(place=1)
    return {row.vehicle.yard_id: row for row in rows}


def _days(oldest: Any, today: date) -> int:
    return max(0, (today - oldest.since).days) if oldest is not None else 0


def _reasons(late: QuerySet[Any], now: datetime) -> dict[int, Counter[str]]:
    stale_days = int(settings_now().get("stale_meter_days", STALE_DAYS))
    read = Q(vehicle__use__last_at__gte=now - timedelta(days=stale_days))
    held = Exists(keeping_in_now().filter(vehicle=OuterRef("vehicle")))
    why = Case(
        When(held, then=Value("held")),
        When(put_off_by__isnull=False, then=Value("put_off")),
        When(Q(due_use_si__isnull=False) & ~read, then=Value("unread")),
        When(assigned_to__isnull=True, then=Value("nobody")),
        default=Value("somebody"),
        output_field=CharField(),
    )
    told = late.annotate(why=why).order_by().values("vehicle__yard", "why")
    found: dict[int, Counter[str]] = defaultdict(Counter)
    for row in told.annotate(n=Count("pk")):
        found[row["vehicle__yard"]][row["why"]] = row["n"]
    return found


def _shares(rows: Sequence[KeptRow], today: date) -> tuple[Share | None, Share | None]:
    """Of the last whole months, and of as many before them."""
    this_month = _month(today)
    late = [row for row in rows if 1 <= this_month - _month(row.month) <= MONTHS]
    before = [row for row in rows if MONTHS < this_month - _month(row.month) <= 2 * MONTHS]
    return _share(late), _share(before)


def _month(day: date) -> int:
    return day.year * 12 + day.month


def _share(rows: Sequence[KeptRow]) -> Share | None:
    owed = sum(row.owed for row in rows)
    return share_of(sum(row.in_time for row in rows), owed) if owed else None


def kept_plot(rows: Sequence[KeptRow]) -> Plot | None:
    """Each yard's share by month; None where there is no second month."""
    by_yard: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for row in rows:
        by_yard[row.yard.name].append((day_of(row.month), _HUNDRED * row.share))
    if max((len(points) for points in by_yard.values()), default=0) <= 1:
        return None
    title = gettext("Kept on time, of 100 rechecks, by month")
    return Plot(
        key="kept",
        name=title,
        says=gettext("Each yard's share by month; the table has the figures."),
        x=Axis(dates=True),
        y=Axis(gettext("kept on time, %"), low=0.0, high=float(_HUNDRED)),
        layers=[Line(points, name) for name, points in by_yard.items()],
    )
