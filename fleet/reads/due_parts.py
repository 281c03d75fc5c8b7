"""The due list cut into pages, as quickly for 20,000 vehicles as for 60.

What is owed and what is missed are asked for apart: each then comes in its order straight from the
index on state and date, and no more is read than the page needs. Both are merged by date.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from heapq import merge
from itertools import islice
from typing import Any

from django.core.paginator import EmptyPage, Page, Paginator
from django.db.models import QuerySet
from django.utils.functional import cached_property
from django.utils.translation import gettext as _

from fleet.reads.days import by_day
from fleet.reads.due import WEEK
from fleet.records.models import Recheck, Yard

# Beyond this a page says 'more than': counting on would cost more than the page itself.
COUNTED = 1_000
# What is past its meter falls on the day of its last reading, at the latest; at a yard further
# west, or made anew on that day, on the day after.
MARGIN = 1


class Parts:
    """A list that stands in several querysets: no row in two, each by `falls_on` and id."""

    def __init__(self, parts: Sequence[QuerySet[Recheck]]) -> None:
        self.parts = [part.order_by("falls_on", "id") for part in parts]

    def ids(self, first: int, last: int) -> list[int]:
        """The ids of the rows from the first to before the last; one query a part."""
        heads = [part.values_list("falls_on", "pk")[:last] for part in self.parts]
        return [pk for _day, pk in islice(merge(*heads), first, last)]

    def rows(self, ids: list[int]) -> list[Recheck]:
        """These rows in this order, with all that the list reads with them; one query."""
        whole = self.parts[0].model._default_manager.all()
        whole.query.select_related = self.parts[0].query.select_related
        found = {row.pk: row for row in whole.filter(pk__in=ids)}
        return [found[pk] for pk in ids if pk in found]

    def count(self, most: int | None = None) -> int:
        """How many rows; more than `most` are not counted on. One query a part."""
        heads = [part.order_by() for part in self.parts]
        if most is None:
            return sum(head.count() for head in heads)
        return sum(head[: most + 1].count() for head in heads)


def in_parts(
    rows: QuerySet[Recheck], when: str | None, yards: Sequence[Yard], now: datetime
) -> Parts:
    """What a filter left of the due list. `when` is the filter's word, by which the range of dates
    is known in which its rows stand; it changes no answer."""
    missed, owed = (rows.filter(state=s) for s in (Recheck.State.MISSED, Recheck.State.OWED))
    days = sorted(by_day(yards, now))
    if when not in ("late", "week", "later") or not days:
        return Parts([missed, owed])
    if when == "late":
        return Parts([missed, owed.filter(falls_on__lte=days[-1] + timedelta(days=MARGIN))])
    # What is missed is late, and in neither of these.
    if when == "week":
        return Parts([owed.filter(falls_on__lte=days[-1] + timedelta(days=WEEK))])
    return Parts([owed.filter(falls_on__gt=days[0] + timedelta(days=WEEK))])


class PartsPaginator(Paginator):  # type: ignore[type-arg]  # not subscriptable when run
    """Pages of a list in parts, all rows of it counted."""

    object_list: Any
    most: int | None = None

    @cached_property
    def found(self) -> int:
        return int(self.object_list.count(self.most))

    @property
    def more(self) -> bool:
        """Whether there are more rows than were counted."""
        return self.most is not None and self.found > self.most

    @cached_property
    def count(self) -> int:  # type: ignore[override]  # as Django has it, its stubs differ
        return self.most if self.more and self.most is not None else self.found

    def validate_number(self, number: Any) -> int:
        """Past what was counted any page may be asked for."""
        try:
            return super().validate_number(number)
        except EmptyPage:
            if self.more and int(number) > 0:
                return int(number)
            raise

    def page(self, number: Any) -> Page[Any]:
        number = self.validate_number(number)
        first = (number - 1) * self.per_page
        ids = self.object_list.ids(first, first + self.per_page + 1)
        if not ids and self.more and number > 1:
            # Nothing there after all: now the whole is counted.
            self.most = None
            for kept in ("found", "count", "num_pages"):
                self.__dict__.pop(kept, None)
            raise EmptyPage(_("That page contains no results"))
        rows = self.object_list.rows(ids[: self.per_page])
        return _PageOfParts(rows, number, self, follows=len(ids) > self.per_page)

    def get_page(self, number: Any) -> Page[Any]:
        """A page number past the end gives the last page."""
        try:
            return super().get_page(number)
        except EmptyPage:
            return self.page(self.num_pages)


class LongPaginator(PartsPaginator):
    """Pages of a list that may be long: counted to a thousand."""

    most = COUNTED


class _PageOfParts(Page[Any]):
    def __init__(self, rows: Any, number: int, of: PartsPaginator, *, follows: bool) -> None:
        super().__init__(rows, number, of)
        self.follows = follows

    def has_next(self) -> bool:
        return self.follows
