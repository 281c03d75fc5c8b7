"""A list that may be long, shown in part: its first rows, and how many there are."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.db.models import Count, QuerySet, Window

T = TypeVar("T")

FIRST = 10


@dataclass(frozen=True)
class Few(Generic[T]):
    rows: list[T]
    total: int

    def __iter__(self) -> Iterator[T]:
        return iter(self.rows)

    def __bool__(self) -> bool:
        return bool(self.rows)

    @property
    def more(self) -> int:
        return self.total - len(self.rows)


def few(rows: QuerySet[Any], first: int = FIRST) -> Few[Any]:
    """The first rows and the number of all; two queries.

    The number is counted over ids alone: a window over whole rows would build every one of them.
    """
    numbered = rows.annotate(rows_in_all=Window(Count("pk"))).values_list("pk", "rows_in_all")
    head = list(numbered[:first])
    found = {row.pk: row for row in rows.filter(pk__in=[pk for pk, _total in head])}
    return Few([found[pk] for pk, _total in head if pk in found], head[0][1] if head else 0)
