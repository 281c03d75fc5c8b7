"""One pattern: its sentence, what to look at next, its picture and figures, what was done."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.formats import number_format

from fleet.pictures.plots import Life, Plot
from fleet.reads.patterns.chances import between, by_luck, false_share, figure, seen_on, times
from fleet.reads.patterns.group import Group, group_of, group_plot
from fleet.reads.patterns.kinds import REPEAT, TOE_DRIFT, is_by_statistics
from fleet.reads.patterns.lanes import pattern_life
from fleet.reads.patterns.listed import patterns
from fleet.reads.patterns.members import Names, names_for
from fleet.reads.patterns.next_looks import next_looks
from fleet.reads.patterns.rates import Rate, rates_of
from fleet.reads.patterns.repeats import Evidence, steps_of
from fleet.reads.patterns.sentences import not_apart, sentence
from fleet.reads.patterns.verdicts import verdict_words
from fleet.reads.toe_chart import toe_chart
from fleet.reads.toe_plot import toe_plot
from fleet.reads.words import names_of
from fleet.records.models import Pattern, Person, ToeReading

_MOST_TOES = 80


@dataclass(frozen=True)
class Beside:
    """Something else that a pattern mentions: what it is called, and its own page if it has one."""

    called: str
    uid: Any = None


@dataclass(frozen=True)
class Figures:
    """The figures in words; each is explained where its name stands."""

    observed: str = ""
    expected: str = ""
    ratio: str = ""
    range: str = ""
    luck: str = ""
    share: str = ""
    family: int = 0
    vehicles: int = 0
    checks: int = 0

    @property
    def checks_said(self) -> str:
        """'1,514'."""
        return number_format(self.checks, 0, force_grouping=True)


@dataclass(frozen=True)
class PatternStory:
    pattern: Pattern
    sentence: str
    next_look: list[str]
    methods: dict[str, str]
    # By the working rule.
    evidence: list[Evidence] = field(default_factory=list)
    rate: Rate | None = None
    # By statistics.
    figures: Figures = field(default_factory=Figures)
    group: Group = field(default_factory=Group)
    picture: Plot | None = None
    life: Life | None = None
    not_apart: list[str] = field(default_factory=list)
    explains: list[Beside] = field(default_factory=list)
    explained_by: Beside | None = None
    verdict: str = ""

    @property
    def by_statistics(self) -> bool:
        return is_by_statistics(self.pattern)

    @property
    def seen(self) -> str:
        """'12 finds on 9 vehicles, where 5.7 would be usual'."""
        return seen_on(self.pattern.kind, self.pattern.statistic)


def pattern_story(pattern: Pattern, person: Person, now: datetime) -> PatternStory:
    """All but the list of finds; the number of queries hangs on the kind alone."""
    if not is_by_statistics(pattern):
        return _repeated(pattern, person)
    names, group = names_for([pattern], person), group_of(pattern)
    said = pattern.statistic
    name = names.of(said["label"], said["member"]) if said.get("label") else ""
    pages, above = _pages(pattern, person), said.get("explained_by")
    is_toe = pattern.kind == TOE_DRIFT
    return PatternStory(
        pattern=pattern,
        sentence=sentence(pattern, names),
        next_look=next_looks(pattern),
        methods=names_of("method"),
        figures=figures_of(pattern),
        group=group,
        picture=_toes(pattern, person, now) if is_toe else group_plot(group, name),
        life=pattern_life(pattern, group.seen, now, in_part=bool(group.drawn_of)),
        not_apart=not_apart(pattern, names),
        explains=[_beside(pattern, one, names, pages) for one in said.get("explains", [])],
        explained_by=_beside(pattern, above, names, pages) if above else None,
        verdict=verdict_words(pattern),
    )


def _repeated(pattern: Pattern, person: Person) -> PatternStory:
    joint = pattern.joint
    return PatternStory(
        pattern=pattern,
        sentence=sentence(pattern, Names()),
        next_look=next_looks(pattern),
        methods=names_of("method"),
        evidence=steps_of(pattern),
        rate=rates_of([joint]).get(joint.pk) if joint else None,
        verdict=verdict_words(pattern),
    )


def figures_of(pattern: Pattern) -> Figures:
    said = pattern.statistic
    ratio, due, level = said.get("ratio"), said.get("expected"), said.get("level")
    return Figures(
        observed=str(said["observed"]) if said.get("observed") is not None else "",
        expected=figure(due) if due is not None else "",
        ratio=times(ratio) if ratio else "",
        range=between(said.get("low"), said.get("high")),
        luck=by_luck(said.get("log_e")),
        share=false_share([level] if level else []),
        family=int(said.get("family") or 0),
        vehicles=int(said.get("vehicles") or 0),
        checks=int(said.get("checks") or 0),
    )


def _pages(pattern: Pattern, person: Person) -> dict[str, Any]:
    """Pages of the patterns that this one mentions, by key; one query."""
    said = pattern.statistic
    others = [*said.get("explains", []), said.get("explained_by")]
    keys = [_key(pattern, one) for one in others if one]
    if not keys:
        return {}
    rows = patterns(person).exclude(kind=REPEAT).filter(key__in=keys)
    return dict(rows.order_by().values_list("key", "uid"))


def _key(pattern: Pattern, other: dict[str, Any]) -> str:
    return f"{pattern.statistic.get('clock', '')}:{other['label']}:{other['member']}"


def _beside(pattern: Pattern, other: dict[str, Any], names: Names, pages: dict[str, Any]) -> Beside:
    called = names.called(str(other["label"]), str(other["member"]))
    return Beside(called, pages.get(_key(pattern, other)))


def _toes(pattern: Pattern, person: Person, now: datetime) -> Plot | None:
    vehicle = pattern.vehicle
    if vehicle is None:
        return None
    read = ToeReading.objects.filter(vehicle=vehicle).select_related("by", "line_entry")
    chart = toe_chart(vehicle, list(read[:_MOST_TOES]))
    return toe_plot(chart, person.units, timezone.localtime(now).date())
