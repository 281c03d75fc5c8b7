"""Patterns: what keeps coming back, in plain words and with its evidence."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet
from django.utils.translation import gettext, ngettext

from fleet.reads.words import names_of
from fleet.records.models import Finding, Pattern, Person, TorqueReading, Yard

# Those that wait for a person: to look, to act again.
WAITING = (Pattern.State.OPEN, Pattern.State.LOOKED_AT, Pattern.State.DID_NOT_HELP)


@dataclass(frozen=True)
class PatternRow:
    pattern: Pattern
    sentence: str

    @property
    def place(self) -> str:
        joint, vehicle = self.pattern.joint, self.pattern.vehicle
        if joint is None or vehicle is None:
            return self.sentence
        return gettext("%(joint)s, on %(unit)s") % {
            "joint": joint.name, "unit": vehicle.unit_number,
        }  # fmt: skip

    @property
    def in_short(self) -> str:
        """What is said of its place, where there is room for a few words only."""
        count, days = _counted(self.pattern)
        text = ngettext(
            "found loose %(count)d time within %(days)d days",
            "found loose %(count)d times within %(days)d days",
            count,
        )
        return text % {"count": count, "days": days} if count else ""


@dataclass(frozen=True)
class Evidence:
    """One step of the story: a finding, or a torque between two of them."""

    at: datetime
    use_si: int | None
    finding: Finding | None = None
    torque: TorqueReading | None = None


@dataclass(frozen=True)
class PatternStory:
    pattern: Pattern
    sentence: str
    evidence: list[Evidence]
    next_look: list[str]
    methods: dict[str, str]


def patterns(person: Person) -> QuerySet[Pattern]:
    """Every pattern in scope, the latest evidence first."""
    return Pattern.visible_to(person).select_related("vehicle__yard", "joint__kind", "yard")


def open_patterns(person: Person, yards: list[Yard]) -> QuerySet[Pattern]:
    return patterns(person).filter(state__in=WAITING, yard__in=yards)


def pattern_rows(rows: Iterable[Pattern]) -> list[PatternRow]:
    return [PatternRow(row, sentence(row)) for row in rows]


def sentence(pattern: Pattern) -> str:
    """What it says, without a figure that needs explaining."""
    count, days = _counted(pattern)
    if pattern.joint is None or pattern.vehicle is None:
        return str(pattern.kind)
    text = ngettext(
        "%(joint)s, on %(unit)s: found loose %(count)d time within %(days)d days "
        "after it had been tightened.",
        "%(joint)s, on %(unit)s: found loose %(count)d times within %(days)d days, "
        "each time after it had been tightened.",
        count,
    )
    return text % {
        "joint": pattern.joint.name,
        "unit": pattern.vehicle.unit_number,
        "count": count,
        "days": days,
    }


def _counted(pattern: Pattern) -> tuple[int, int]:
    """How many finds, within how many days."""
    said = pattern.statistic
    return int(said.get("count", 0)), int(said.get("window_days", 0))


def pattern_story(pattern: Pattern) -> PatternStory:
    """The pattern with its findings, the torques between them, and what to look at next."""
    return PatternStory(
        pattern=pattern,
        sentence=sentence(pattern),
        evidence=_evidence(pattern),
        next_look=next_looks(pattern),
        methods=names_of("method"),
    )


def _evidence(pattern: Pattern) -> list[Evidence]:
    findings = Finding.objects.filter(pk__in=pattern.evidence.get("findings", []))
    torque_ids = [pk for pk in pattern.evidence.get("torques", []) if pk is not None]
    torques = TorqueReading.objects.filter(pk__in=torque_ids)
    steps = [
        Evidence(row.occurred_at, row.use_si, finding=row)
        for row in findings.select_related("by", "inspection")
    ]
    steps += [
        Evidence(row.occurred_at, row.use_si, torque=row)
        for row in torques.select_related("by", "tool", "spec", "line_entry__line")
    ]
    return sorted(steps, key=lambda step: (step.at, step.torque is not None))


def next_looks(pattern: Pattern) -> list[str]:
    """What to look at, in order; a step without words of ours stands as it was written."""
    words = {
        "hole": gettext("the hole, in two directions: has it gone oval?"),
        "bolt": gettext("the bolt: shank, thread and class"),
        "sleeve": gettext("the sleeve: its length, and whether it is clamped"),
        "bracket": gettext("the bracket: gap, faces and cracks"),
        "tool": gettext("then the torque tool that tightened it"),
    }
    return [words.get(str(step), str(step)) for step in pattern.next_look]
