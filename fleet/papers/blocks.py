"""What a document is made of: blocks of plain data that `templates/paper/look.typ` sets."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import formats, translation
from django.utils.translation import gettext as _

from fleet.papers import typeset
from fleet.papers.table import Cell, Column, Part, Shown, Table, shown_rows
from fleet.pictures.mark import SMALL_SHAPES, ink_svg
from fleet.pictures.qr import qr_svg
from fleet.records.inspections import mark_of
from fleet.records.models import Hold

Block = dict[str, Any]
# A picture names nothing outside itself: no address, no file.
_NAMES_ANOTHER = re.compile(r"""(?:href|src)\s*=\s*["'](?!#)|@import|url\(\s*["']?(?!#)""", re.I)


@dataclass(frozen=True)
class Head:
    """What stands on every page: the document, the unit with its VIN, and when it was printed."""

    title: str
    subject: str
    at: datetime
    zone: ZoneInfo
    units: str = "us"
    wide: bool = False


def heading(text: str, level: int = 2) -> Block:
    return {"kind": "heading", "level": level, "text": text}


def text(words: str, kind: str = "text", mark: str = "") -> Block:
    """A paragraph; kind is text, strong, soft, must or caution. A mark stands before its words."""
    return {"kind": kind, "text": words, "mark": mark}


def held(hold: Hold) -> Block:
    """That and why the vehicle must not go out; what was found has its mark."""
    mark = mark_of(hold.finding.code) if hold.finding else ""
    return text(_("HELD: %(why)s") % {"why": hold.words}, "must", mark)


def facts(rows: Sequence[tuple[str, str]]) -> Block:
    heads = [_("What"), _("As it is on file")]
    return {"kind": "facts", "heads": heads, "rows": [list(row) for row in rows]}


def items(words: Sequence[str]) -> Block:
    return {"kind": "list", "items": list(words)}


def steps(words: Sequence[str]) -> Block:
    """A list whose order matters: it is numbered."""
    return {"kind": "steps", "items": list(words)}


def signs(labels: Sequence[str]) -> Block:
    """Lines to sign on."""
    return {"kind": "signs", "labels": list(labels)}


def picture(svg: str, alt: str, height_mm: float = 90) -> Block:
    """A drawing made by us, with its words for a screen reader. Raises ValueError for one that
    names a file or an address."""
    if _NAMES_ANOTHER.search(svg.replace('xmlns="http://www.w3.org/2000/svg"', "")):
        raise ValueError("a picture may name nothing outside itself")
    return {"kind": "picture", "svg": svg, "alt": alt, "height": height_mm}


def code(address: str, alt: str) -> Block:
    """A QR code that opens an address, 24 mm wide, with the address in words beneath it."""
    made = picture(qr_svg(address), alt)
    return made | {"kind": "code", "address": address}


def beside(left: Sequence[Block], right: Block) -> Block:
    """What opens a document, with a narrow block at its right."""
    return {"kind": "beside", "left": list(left), "right": right}


def figure(svg: str, alt: str, caption: str, of: str = "", width_mm: float = 165) -> Block:
    """A plot with what it is of and what it says beneath it; never torn over two pages."""
    made = picture(svg, alt)
    return made | {"kind": "figure", "caption": caption, "of": of, "width": width_mm}


def pairs(figures: Sequence[Block]) -> Block:
    """Figures two and two side by side."""
    return {"kind": "pairs", "figures": list(figures)}


def table(made: Table, columns: Sequence[Column] | None = None) -> list[Block]:
    """A section of the document: its heading, its table or that there is nothing, its notes."""
    blocks = [heading(made.title)]
    if made.rows:
        blocks.append(_grid(columns or made.columns, shown_rows(made)))
    else:
        blocks.append(text(made.empty, "soft"))
    return [*blocks, *(text(note, "soft") for note in made.notes)]


def grid(columns: Sequence[Column], rows: Sequence[Sequence[Cell]], *, tall: bool = False) -> Block:
    """A table alone; a tall one has room to write in."""
    return _grid(columns, shown_rows(Table("", "", columns, rows))) | {"tall": tall}


def _grid(columns: Sequence[Column], rows: list[list[Shown]]) -> Block:
    return {
        "kind": "table",
        "tall": False,
        "columns": [
            {"heading": str(c.heading), "width": c.width, "figure": c.is_figure,
             "marks": list(c.marks)}
            for c in columns
        ],
        "rows": [[_cell(one) for one in row] for row in rows],
    }  # fmt: skip


def _cell(one: Shown) -> str | Block:
    """A text, one in the accent, or texts behind their marks."""
    if one.parts:
        return {"parts": [part_of(part) for part in one.parts], "between": one.between}
    return {"t": one.text, "a": True} if one.act else one.text


def part_of(part: Part) -> Block:
    return {"t": part.words, "m": part.mark, "a": part.act, "says": part.says}


def document(head: Head, blocks: Sequence[Block]) -> bytes:
    """A whole document as PDF."""
    data = frame(head) | {"wide": head.wide, "blocks": list(blocks)}
    return typeset.pdf("document", data, head.at)


def frame(head: Head) -> dict[str, Any]:
    """Title, language, sheet, header and footer of any document."""
    local = head.at.astimezone(head.zone)
    when = f"{formats.date_format(local, 'DATE_FORMAT')}, {formats.time_format(local, 'H:i')}"
    printed = _("Printed %(when)s (%(zone)s).") % {"when": when, "zone": head.zone.key}
    return {
        "title": f"{head.title}: {head.subject}" if head.subject else head.title,
        "author": "Axlekeep",
        "marks": {shape: ink_svg(shape) for shape in SMALL_SHAPES},
        "lang": (translation.get_language() or "en").split("-")[0],
        "paper": typeset.paper_of(head.units),
        "head": {"left": head.subject or head.title, "right": head.title if head.subject else ""},
        "foot": {
            "governs": governs(),
            "printed": printed,
            # Translators: {n} and {of} stay as they are: numbers take their place.
            "page": _("Page {n} of {of}"),
        },
    }


def governs() -> str:
    return _(
        "The vehicle maker's service information governs; local codes and licensed practice "
        "stand above what is shown here."
    )
