"""One cell's page: what the record says in a sentence, what that rests on, what limits it."""

from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext

from fleet.pictures.plots import Plot
from fleet.reads.intervals.aims import aims_now
from fleet.reads.intervals.cells import cell_of
from fleet.reads.intervals.cost import Cheapest, cheapest_of
from fleet.reads.intervals.plot import interval_plot, seen_at
from fleet.reads.intervals.rows import accepted_stands, in_force_si, says
from fleet.reads.intervals.today import Rules, Today, rules_now
from fleet.reads.intervals.words import (
    about,
    amount,
    amount_both,
    cell_words,
    counted,
    how_much_more,
    lacking,
    limited,
)
from fleet.records.models import IntervalProposal

_HUNDRED = 100


@dataclass(frozen=True)
class Point:
    """One line of the table behind the picture."""

    use: str
    best: float
    low: float
    seen: float | None


@dataclass(frozen=True)
class IntervalStory:
    """Everything the page shows; amounts are text in the reader's unit."""

    row: IntervalProposal
    joints: str
    sentence: str
    limits: list[str]
    counted: str
    now: str
    offered: str
    allowed: str
    begins: str
    seen: str
    rule: str
    source: str
    cheapest: Cheapest | None
    cheapest_words: str
    cheapest_offer: str
    can_take_back: bool
    picture: Plot | None
    points: list[Point]
    earlier: list[IntervalProposal]


def interval_story(row: IntervalProposal, units: str) -> IntervalStory:
    """Three queries: settings, rules, and what was reckoned before."""
    rules, aims = rules_now(), aims_now()
    today = rules.today(cell_of(row))
    cheapest = cheapest_of(row, aims, today.floor if today else 0.0)
    name, source = _rule(rules, today)

    def both(use_si: float | None) -> str:
        return amount_both(use_si, row.meter, units)

    return IntervalStory(
        row=row, joints=cell_words(row), sentence=sentence(row, units),
        limits=_limits(row, units), counted=counted(row),
        now=both(in_force_si(row)), offered=both(row.offered_si),
        allowed=about(row.allowed_si, row.meter, units), begins=both(row.age_si),
        seen=both(row.longest_tight_si), rule=name, source=source,
        cheapest=cheapest, cheapest_words=_cheapest(row, cheapest, units),
        cheapest_offer=both(cheapest.offered_si if cheapest else None),
        can_take_back=accepted_stands(row), picture=interval_plot(row, units),
        points=_points(row, units), earlier=_earlier(row),
    )  # fmt: skip


def _limits(row: IntervalProposal, units: str) -> list[str]:
    return [text for text in (how_much_more(row), *limited(row, units)) if text]


def sentence(row: IntervalProposal, units: str) -> str:
    """What it comes to, for somebody who knows no statistics."""
    told = {
        "now": amount(in_force_si(row), row.meter, units),
        "allowed": about(row.allowed_si, row.meter, units),
        "offered": amount(row.offered_si, row.meter, units),
        "of": round(row.target * _HUNDRED),
        "lacking": capfirst(lacking(row, units)) if row.missing else "",
    }
    return _sentence(row, units) % told


def _sentence(row: IntervalProposal, units: str) -> str:
    if row.state in (IntervalProposal.State.ACCEPTED, IntervalProposal.State.DECLINED):
        return capfirst(says(row, units)).replace("%", "%%") + "."
    if row.missing:
        return gettext("The record can't say yet how long such joints hold, so %(now)s stands. "
                       "%(lacking)s.")  # fmt: skip
    if row.offered_si is None:
        return gettext("Of such joints at least %(of)d of 100 are still tight after %(allowed)s: "
                       "%(now)s can stay.")  # fmt: skip
    if row.offered_si > row.now_si:
        return gettext("Of such joints at least %(of)d of 100 are still tight after %(allowed)s: "
                       "the recheck now made at %(now)s could go to %(offered)s.")  # fmt: skip
    return gettext("Too many of such joints are loose by %(now)s: to find at least %(of)d of 100 "
                   "still tight, they have to be looked at after %(offered)s.")  # fmt: skip


def _rule(rules: Rules, today: Today | None) -> tuple[str, str]:
    """The rule that today's interval stands in, and its source."""
    if today is None:
        return "", ""
    ladder = rules.ladders.get(today.said.get("ladder", ""))
    rule = ladder or rules.routine[today.said["routine"]]
    if ladder is None:
        name = gettext("Routine: %(duty)s") % {"duty": rule.name}
    else:
        name = gettext("%(ladder)s, last step") % {"ladder": rule.name}
    if "interval" in today.said:
        return gettext("%(rule)s, as accepted here") % {"rule": name}, rule.source
    return name, rule.source


def _cheapest(row: IntervalProposal, found: Cheapest | None, units: str) -> str:
    if found is None:
        return ""
    if found.reason == "shape":
        return gettext("These joints come loose early or not at all: the longer one has held, the "
                       "longer it holds, so that no interval saves anything.")  # fmt: skip
    if found.reason:
        return gettext("By these costs no interval is cheaper than waiting.")
    value = about(found.value_si, row.meter, units)
    text = gettext("Work planned every %(value)s would cost least, if it tightened the joint anew.")
    if found.past_safe:
        text += " " + gettext("That is longer than what is safe, and a loose joint here can hold "
                              "the vehicle: it is not offered.")  # fmt: skip
    return text % {"value": value}


def _points(row: IntervalProposal, units: str) -> list[Point]:
    """Every third point of the curve, the first and the last."""
    told = row.curve.get("on", [])
    return [
        Point(amount(use, row.meter, units), best, low, seen_at(row, use))
        for number, (use, best, low, _high) in enumerate(told)
        if number % 3 == 0 or number == len(told) - 1
    ]


def _earlier(row: IntervalProposal) -> list[IntervalProposal]:
    """What was decided of the cell before, newest first."""
    rows = IntervalProposal.objects.filter(key=row.key, is_current=False)
    decided = rows.filter(state__in=("accepted", "declined")).select_related("decided_by", "rule")
    return list(decided.order_by("-id")[:20])
