"""A report of the fleet as PDF: its table, what was chosen, and its notes."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.papers import blocks
from fleet.papers.blocks import Head
from fleet.papers.table import Table


def report(table: Table, chosen: Sequence[str], zone: ZoneInfo, units: str, at: datetime) -> bytes:
    """`chosen` says in words which yards and days the report is of."""
    head = Head(table.title, "", at, zone, units, wide=True)
    _title, *section = blocks.table(table)
    return blocks.document(head, [
        blocks.heading(table.title, 1),
        *(blocks.text(words) for words in chosen if words),
        blocks.text(blocks.governs(), "caution"),
        *section,
    ])  # fmt: skip
