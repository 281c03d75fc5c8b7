"""A digest as a letter: plain text, and simple HTML that fetches nothing from anywhere."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.template.loader import render_to_string
from django.utils import formats, translation
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.reads.digest import DigestOfYard
from fleet.reads.due import DueItem
from fleet.reads.few import Few
from fleet.records.models import Hold, Ticket, Vehicle

Row = TypeVar("Row")


@dataclass(frozen=True)
class Line:
    unit_number: str
    text: str


@dataclass(frozen=True)
class Section:
    title: str
    lines: Sequence[Line]
    more: int = 0

    @property
    def rest(self) -> str:
        if not self.more:
            return ""
        return ngettext("and %(n)d more", "and %(n)d more", self.more) % {"n": self.more}


@dataclass(frozen=True)
class YardPart:
    name: str
    sections: Sequence[Section]


@dataclass(frozen=True)
class Letter:
    subject: str
    text: str
    html: str


def digest_letter(yards: Sequence[DigestOfYard], home: str, stop: str) -> Letter:
    """In the language in force. `home` is the site's address, `stop` the one that ends these."""
    parts = [YardPart(each.yard.name, _sections(each)) for each in yards]
    subject = _subject(yards)
    ending = _(
        "The vehicle maker's service information governs; local codes and licensed practice "
        "stand above what is shown here."
    )
    context = {
        "subject": subject, "parts": parts, "home": home, "stop": stop, "ending": ending,
        "language": (translation.get_language() or "en").split("-")[0],
    }  # fmt: skip
    text = "\n".join(_lines(parts, home, ending, stop)) + "\n"
    return Letter(subject, text, render_to_string("mail/digest.html", context))


def _subject(yards: Sequence[DigestOfYard]) -> str:
    """The yards, and what weighs most: 'Alder: 2 held, 3 overdue'."""
    held = sum(each.held.total for each in yards)
    late = sum(each.overdue.total for each in yards)
    soon = sum(each.this_week.total for each in yards)
    return _("%(yards)s: %(held)d held, %(late)d overdue, %(soon)d due this week") % {
        "yards": ", ".join(each.yard.name for each in yards), "held": held, "late": late,
        "soon": soon,
    }  # fmt: skip


def _sections(of: DigestOfYard) -> list[Section]:
    made = [
        _section(_("Held: must not go out"), of.held, _held),
        _section(_("Overdue"), of.overdue, _owed),
        _section(_("Due this week"), of.this_week, _owed),
        _section(_("Waiting for a second check"), of.waiting, _waits),
    ]
    return [section for section in made if section.lines]


def _section(title: str, rows: Few[Row], said: Callable[[Row], Line]) -> Section:
    return Section(f"{title} ({rows.total})", [said(row) for row in rows], rows.more)


def _held(vehicle: Vehicle) -> Line:
    holds: list[Hold] = getattr(vehicle, "open_holds", [])
    return Line(vehicle.unit_number, "; ".join(hold.words for hold in holds))


def _owed(item: DueItem) -> Line:
    day = _when(item)
    text = _("%(what)s, %(rule)s: %(day)s") % {"what": item.what, "rule": item.name, "day": day}
    return Line(item.recheck.vehicle.unit_number, str(capfirst(text)))


def _when(item: DueItem) -> str:
    """A date by the meter is no date by the rule: it is told as what it is."""
    day = formats.date_format(item.recheck.falls_on, "DATE_FORMAT")
    if item.waits:
        return _("laid up: looked at before it goes out")
    return _("likely %(day)s, by its meter") % {"day": day} if item.first == "use" else day


def _waits(ticket: Ticket) -> Line:
    return Line(ticket.vehicle.unit_number, ticket.title)


def _lines(parts: Sequence[YardPart], home: str, ending: str, stop: str) -> Iterator[str]:
    for part in parts:
        yield from (part.name, "=" * len(part.name), "")
        for section in part.sections:
            yield section.title
            yield from (f"- {line.unit_number}: {line.text}" for line in section.lines)
            yield from ([f"  {section.rest}"] if section.rest else [])
            yield ""
    yield from (home, "", ending, "")
    yield _("To get no more of these: %(address)s") % {"address": stop}
