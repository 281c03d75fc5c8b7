"""The list: what stands out by statistics, and what came loose again by the working rule."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from django.db.models import Case, IntegerField, Q, QuerySet, Value, When
from django.utils.translation import ngettext

from fleet.reads.patterns.chances import between, false_share, seen_on
from fleet.reads.patterns.kinds import REPEAT, is_by_statistics
from fleet.reads.patterns.members import Names, names_for
from fleet.reads.patterns.rates import Rate, rates_of
from fleet.reads.patterns.sentences import counted, not_apart, place_of, sentence
from fleet.records.models import Pattern, Person, Yard

# Those that wait for a person: to look, to act again.
WAITING = (Pattern.State.OPEN, Pattern.State.LOOKED_AT, Pattern.State.DID_NOT_HELP)
#: Explained by another: shown under that one.
STANDS_ALONE = Q(statistic__explained_by=None) | Q(statistic__explained_by__isnull=True)


@dataclass(frozen=True)
class PatternRow:
    """One pattern in words. `folded` are those that it explains; `rate` only where asked for."""

    pattern: Pattern
    sentence: str
    not_apart: Sequence[str] = ()
    folded: Sequence["PatternRow"] = ()
    rate: Rate | None = None

    @property
    def by_statistics(self) -> bool:
        return is_by_statistics(self.pattern)

    @property
    def place(self) -> str:
        return self.sentence if self.by_statistics else place_of(self.pattern) or self.sentence

    @property
    def in_short(self) -> str:
        """What is said of its place, where there is room for a few words only."""
        if self.by_statistics:
            return self.range
        count, days = counted(self.pattern)
        text = ngettext(
            "found loose %(count)d time within %(days)d days",
            "found loose %(count)d times within %(days)d days",
            count,
        )
        return text % {"count": count, "days": days} if count else ""

    @property
    def range(self) -> str:
        """'likely between 1.5 and 2.9 times'."""
        said = self.pattern.statistic
        return between(said.get("low"), said.get("high"))

    @property
    def seen(self) -> str:
        """'12 finds on 9 vehicles, where 5.7 would be usual'."""
        return seen_on(self.pattern.kind, self.pattern.statistic)


@dataclass(frozen=True)
class Listed:
    """One page of the list in its two sections; `promise` is said once above the first."""

    stands_out: list[PatternRow] = field(default_factory=list)
    again: list[PatternRow] = field(default_factory=list)
    promise: str = ""

    @property
    def rows(self) -> list[PatternRow]:
        return [*self.stands_out, *self.again]


def patterns(person: Person) -> QuerySet[Pattern]:
    """Every pattern in scope, the latest evidence first."""
    return Pattern.visible_to(person).select_related("vehicle__yard", "joint__kind", "yard")


def waiting(person: Person) -> QuerySet[Pattern]:
    """Those in scope that wait for somebody, each by itself."""
    return patterns(person).filter(STANDS_ALONE, state__in=WAITING)


def open_patterns(person: Person, yards: list[Yard]) -> QuerySet[Pattern]:
    """Those that wait in these yards, and those of the whole fleet."""
    return waiting(person).filter(Q(yard__in=yards) | Q(yard=None))


def pattern_rows(rows: Iterable[Pattern], person: Person) -> list[PatternRow]:
    found = list(rows)
    names = names_for(found, person)
    return [row_of(one, names) for one in found]


def row_of(pattern: Pattern, names: Names) -> PatternRow:
    return PatternRow(pattern, sentence(pattern, names), not_apart(pattern, names))


def in_sections(rows: QuerySet[Pattern]) -> QuerySet[Pattern]:
    """Found by statistics first; within each what waits for somebody, the latest evidence first."""
    order = Case(
        When(kind=REPEAT, state__in=WAITING, then=Value(2)), When(kind=REPEAT, then=Value(3)),
        When(state__in=WAITING, then=Value(0)), default=Value(1), output_field=IntegerField(),
    )  # fmt: skip
    return rows.order_by(order, "-last_evidence_at", "-id")


def heads(rows: QuerySet[Pattern]) -> tuple[list[int], dict[int, list[int]]]:
    """Ids in the order of the list, and the ids folded under each; one query.

    What is explained by a pattern that these rows leave out stands by itself.
    """
    told = list(in_sections(rows).values_list("pk", "key", "statistic__clock",
                                              "statistic__explained_by"))  # fmt: skip
    by_key = {key: pk for pk, key, _clock, _by in told}
    parents = {
        pk: by_key.get(f"{clock}:{by['label']}:{by['member']}")
        for pk, _key, clock, by in told
        if by
    }
    folded: dict[int, list[int]] = defaultdict(list)
    for pk in parents:
        head = _head(pk, parents)
        if head != pk:
            folded[head].append(pk)
    under = {pk for pks in folded.values() for pk in pks}
    return [pk for pk, *_rest in told if pk not in under], dict(folded)


def _head(pk: int, parents: Mapping[int, int | None]) -> int:
    """The pattern that stands for it: what explains what explains it, however far."""
    seen = {pk}
    while (above := parents.get(pk)) is not None and above not in seen:
        seen.add(above)
        pk = above
    return pk


def listed(page: Sequence[int], folded: Mapping[int, list[int]], person: Person) -> Listed:
    """One page of ids in words, with what is folded under each."""
    wanted = [*page, *(pk for head in page for pk in folded.get(head, []))]
    found = patterns(person).in_bulk(wanted)
    names = names_for(found.values(), person)
    rows = {pk: row_of(one, names) for pk, one in found.items()}
    again = [found[pk] for pk in page if pk in found and found[pk].kind == REPEAT]
    rates = rates_of([one.joint for one in again if one.joint is not None])
    levels = [one.statistic["level"] for one in found.values() if one.statistic.get("level")]
    out = Listed(promise=false_share(levels))
    for pk in page:
        if pk not in rows:
            continue
        row = rows[pk]
        under = [rows[one] for one in folded.get(pk, []) if one in rows]
        rate = rates.get(row.pattern.joint_id or 0)
        section = out.stands_out if row.by_statistics else out.again
        section.append(replace(row, folded=under, rate=None if row.by_statistics else rate))
    return out
