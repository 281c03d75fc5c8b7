"""A pattern on paper: its sentence, what to look at next, the picture, the figures, the finds."""

from collections.abc import Sequence
from datetime import datetime

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from fleet.papers import blocks
from fleet.papers.blocks import Block, Head
from fleet.papers.table import Column, Kind
from fleet.pictures.plots import PAPER, WIDE, Life, Plot, draw, draw_life
from fleet.reads.days import zone_of
from fleet.reads.patterns import PatternStory
from fleet.reads.patterns.kinds import REPEAT
from fleet.reads.patterns.repeats import Evidence
from fleet.reads.pulls import as_pulled
from fleet.records.models import Clock, Exposure, Recheck

#: Rows of evidence on paper; a longer list stays on the page (own).
MOST_ROWS = 200


def pattern_paper(
    story: PatternStory,
    finds: Sequence[Exposure],
    missed: Sequence[Recheck],
    more: int,
    units: str,
    at: datetime,
) -> bytes:
    """As PDF. `more` is how many finds are not among these rows."""
    pattern = story.pattern
    yard = pattern.yard.name if pattern.yard else ""
    head = Head(_("Pattern"), yard, at, zone_of(pattern.yard), units)
    evidence = _rows(story, finds, missed)
    return blocks.document(head, [
        *_opening(story),
        blocks.heading(_look_next(story)),
        blocks.steps(story.next_look),
        blocks.text(blocks.governs(), "caution"),
        *_pictures(story),
        *_figures(story),
        blocks.heading(_("Evidence")),
        *evidence,
        *([blocks.text(_("and %(n)d more on the page") % {"n": more}, "soft")] if more else []),
        *_done(story),
    ])  # fmt: skip


def _opening(story: PatternStory) -> list[Block]:
    told = [str(capfirst(f"{words}.")) for words in (story.figures.range, story.seen) if words]
    if not story.by_statistics:
        told = [_("Tightening it again has not kept it tight.")]
        told += [str(capfirst(f"{story.rate.in_words}."))] if story.rate else []
    state = _("State: %(state)s.") % {"state": story.pattern.get_state_display()}
    made = [blocks.heading(story.sentence, 1), blocks.text(" ".join([*told, state]))]
    return [*made, *(blocks.text(words, "strong") for words in story.not_apart)]


def _look_next(story: PatternStory) -> str:
    if story.pattern.kind in (REPEAT, "joint"):
        return _("Look at next, in this order, before torque is added")
    return _("Look at next, in this order")


def _pictures(story: PatternStory) -> list[Block]:
    return [
        block
        for shown in (story.picture, story.life)
        if shown is not None
        for block in (
            blocks.heading(shown.name),
            blocks.picture(_drawn(shown), shown.says, 70 if isinstance(shown, Plot) else 40),
            blocks.text(shown.says, "soft"),
        )
    ]


def _drawn(shown: Plot | Life) -> str:
    return draw_life(shown, WIDE, PAPER) if isinstance(shown, Life) else draw(shown, WIDE, PAPER)


def _figures(story: PatternStory) -> list[Block]:
    said = story.figures
    ratio = f"{said.ratio}, {said.range}" if said.range else said.ratio
    rows = [
        (_("Finds seen"), said.observed),
        (_("Finds expected of like checks"), said.expected),
        (_("As often as usual"), ratio),
        (_("So much by luck alone"), said.luck),
        (_("False among those listed"), said.share),
        (_("Looked at together with it"), str(said.family or "")),
    ]
    known = [row for row in rows if row[1]]
    return [blocks.heading(_("The figures behind it")), blocks.facts(known)] if known else []


def _rows(story: PatternStory, finds: Sequence[Exposure], missed: Sequence[Recheck]) -> list[Block]:
    when, vehicle = Column("when", _("When"), Kind.DAY), Column("vehicle", _("Vehicle"))
    joint = Column("joint", _("Joint"), width=1.6)
    if missed:
        columns = [when, vehicle, joint, Column("done", _("Done"), Kind.DAY)]
        rows = [
            [row.fell_due_at, row.vehicle.unit_number, row.joint.name if row.joint else "",
             row.done_at]
            for row in missed
        ]  # fmt: skip
        return [blocks.grid(columns, rows)]
    found, how = Column("found", _("Found"), width=1.4), Column("how", _("How"), width=1.6)
    if story.by_statistics:
        columns = [when, vehicle, joint, found, how, _begun(story)]
        return [blocks.grid(columns, [_find(row, story) for row in finds])]
    return [blocks.grid([when, found, how], [_step(step, story) for step in story.evidence])]


def _begun(story: PatternStory) -> Column:
    wears = story.pattern.statistic.get("clock") == Clock.WEAR
    return Column("begun", _("Part fitted") if wears else _("Tightened with"))


def _find(row: Exposure, story: PatternStory) -> list[str | datetime]:
    finding = row.finding
    return [
        finding.occurred_at, row.vehicle.unit_number, row.joint.name,
        finding.get_code_display(), _how(story, finding.method, finding.get_why_display()),
        _held_by(row),
    ]  # fmt: skip


def _held_by(row: Exposure) -> str:
    """What the clock began with: the part where it wears, else the wrench."""
    if row.turning is not None:
        return row.turning.tool.code
    return f"{row.part.number} {row.part.lot}".strip() if row.part else ""


def _step(step: Evidence, story: PatternStory) -> list[str | datetime]:
    if step.finding is not None:
        found = _("Found: %(finding)s") % {"finding": step.finding.get_code_display()}
        return [step.at, found, _how(story, step.finding.method, step.finding.get_why_display())]
    if step.torque is None:
        return [step.at, "", ""]
    pulled = _("Tightened: %(figure)s") % {"figure": as_pulled(step.torque)}
    return [step.at, pulled, f"{step.torque.tool.code}, {step.torque.get_band_display()}"]


def _how(story: PatternStory, method: str, why: str) -> str:
    return f"{story.methods.get(method, method)}, {why}"


def _done(story: PatternStory) -> list[Block]:
    pattern = story.pattern
    told = [
        _("Cause found: %(cause)s") % {"cause": pattern.cause} if pattern.cause else "",
        _("Done: %(action)s") % {"action": pattern.action} if pattern.action else "",
        _("Set aside: %(reason)s") % {"reason": pattern.set_aside_reason}
        if pattern.set_aside_reason
        else "",
        story.verdict,
    ]
    known = [words for words in told if words] or [_("Nothing is recorded yet.")]
    return [blocks.heading(_("What was done about it")), *(blocks.text(one) for one in known)]
