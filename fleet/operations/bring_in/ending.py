"""How a file ends: whether it can be seen to be whole, or may have been cut short.

A row with too few cells, an open quotation mark and half a letter can only be half a file; those
are refused where they are met. What is left is a last row with all its cells and no line end
behind it. Spreadsheets write that too, and "48" may be the first half of "48,210": whoever sends
it says that it is the whole file, or nothing of it is taken.
"""

import io
from typing import BinaryIO

from django.utils.translation import gettext as _

from fleet.operations.bring_in.report import BroughtIn, RowProblem

LINE_ENDS = ("\n", "\r")


def ends_in_line_end(source: BinaryIO, size: int, encoding: str) -> bool:
    """Whether the last character is a line end. Leaves the source at its start."""
    source.seek(0)
    name = encoding.removesuffix("-sig")
    if encoding == "utf-16":
        # The mark at its start says in which order its bytes are.
        name = "utf-16-le" if source.read(2) == b"\xff\xfe" else "utf-16-be"
    wide = len("\n".encode(name))
    source.seek(max(0, size - wide), io.SEEK_SET)
    last = source.read(wide)
    source.seek(0)
    return last in [mark.encode(name) for mark in LINE_ENDS]


def settle(report: BroughtIn, *, whole: bool, dry_run: bool) -> None:
    """Take the sender's word that the file is whole; without it a file in doubt is refused.

    A dry run only asks: the report goes on saying which row is doubted.
    """
    report.in_order()
    if whole:
        report.doubted = None
    elif report.doubted is not None and not dry_run and report.fine:
        report.in_doubt = True
        report.refuse(RowProblem(question(report), report.doubted.row))


def question(report: BroughtIn) -> str:
    """What is asked before a file in doubt is taken; empty where nothing is."""
    if report.doubted is None:
        return ""
    message = _(
        "The file ends in the middle of a line as far as can be seen: its last row reads "
        "“%(row)s”. If this is the whole file, say so."
    )
    return message % {"row": report.doubted.reads}
