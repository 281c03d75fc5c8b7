"""The due list cut into pages, as quickly for 20,000 vehicles as for 60.

What is owed and what is missed are asked for apart: each then comes in its order straight from the
index on state and date, and no more is read than the page needs. Both are merged by date.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from heapq import merge
from itertools import islice
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.utils.functional import cached_property

from fleet.reads.days import by_day
from fleet.records.models import Recheck, Yard

# Beyond this a page says 'more than': counting on would cost more than the page itself.
COUNTED = 1_000
# A page number with more digits than this is none.
DIGITS = 7
# What is past its meter falls on the day of its last reading, at the latest; at a yard further
# west, or made anew on that day, on the day after.
MARGIN = 1


class Parts:
    """A list that stands in several querysets: no row in two, each by `falls_on` and id."""

    def __init__(self, parts: Sequence[QuerySet[Recheck]]) -> None:
        self.parts = [part.order_by("falls_on", "id") for part in parts]

    def head(self, most: int) -> list[int]:
        """The ids of the first rows; one query a part."""
        heads = [part.values_list("falls_on", "pk")[:most] for part in self.parts]
        return [pk for _day, pk in islice(merge(*heads), most)]

    def rows(self, ids: list[int]) -> list[Recheck]:
        """These rows in this order, with all that the list reads with them; one query."""
        whole = self.parts[0].model._default_manager.all()
        whole.query.select_related = self.parts[0].query.select_related
        found = {row.pk: row for row in whole.filter(pk__in=ids)}
        return [found[pk] for pk in ids if pk in found]

    def count(self) -> int:
        """How many rows; one query a part."""
        return sum(part.order_by().count() for part in self.parts)


def in_parts(
    rows: QuerySet[Recheck], when: str | None, yards: Sequence[Yard], now: datetime
) -> Parts:
    """What a filter left of the due list. `rows` are of every state: one that is asked for twice
    makes a database think it rare, and read the whole table. `when` is the filter's word, by which
    the range of dates is known in which its rows stand; it changes no answer."""
    missed, owed = (rows.filter(state=s) for s in (Recheck.State.MISSED, Recheck.State.OWED))
    days = sorted(by_day(yards, now))
    if when == "late" and days:
        owed = owed.filter(falls_on__lte=days[-1] + timedelta(days=MARGIN))
    # What is missed is late, and in neither of the others.
    return Parts([owed] if when in ("week", "later") else [missed, owed])


class PartsPaginator(Paginator):  # type: ignore[type-arg]  # not subscriptable when run
    """Pages of a list in parts, all rows of it counted."""

    object_list: Any

    def __init__(self, parts: Any, per_page: int, **named: Any) -> None:
        super().__init__(parts, per_page, **named)

    @cached_property
    def count(self) -> int:
        return int(self.object_list.count())

    def page(self, number: Any) -> Page[Any]:
        number = self.validate_number(number)
        # As many as the other counts: a database that is asked for few of them expects them soon,
        # and walks the whole list where there are none.
        head = self.object_list.head(max(number * self.per_page, COUNTED + 1))
        return Page(self.cut(head, number), number, self)

    def cut(self, head: list[int], number: int) -> list[Recheck]:
        """The rows of a page, from the ids of all rows to its end."""
        parts: Parts = self.object_list
        return parts.rows(head[(number - 1) * self.per_page : number * self.per_page])


class LongPaginator(PartsPaginator):
    """The same, counted to a thousand: the ids that a page is found by tell so many too."""

    more = False

    def get_page(self, number: Any) -> Page[Any]:
        """A page number past the end gives the last page."""
        wanted = int(number) if str(number).isdecimal() and len(str(number)) < DIGITS else 1
        last = max(wanted, 1) * self.per_page
        head = self.object_list.head(max(last, COUNTED) + 1)
        self.more = len(head) > COUNTED
        self.count = min(len(head), COUNTED)
        if len(head) <= last - self.per_page:
            # Past the end: these are all the ids there are.
            last = max(self.per_page, len(head))
        number = -(-last // self.per_page)
        return _Page(self.cut(head, number), number, self, follows=len(head) > last)

    def validate_number(self, number: Any) -> int:
        """Any page may follow where not all is counted."""
        return int(number) if self.more else super().validate_number(number)


class _Page(Page[Any]):
    """A page that knows whether another follows, though not all is counted."""

    def __init__(self, rows: Any, number: int, of: LongPaginator, *, follows: bool) -> None:
        super().__init__(rows, number, of)
        self.follows = follows

    def has_next(self) -> bool:
        return self.follows
