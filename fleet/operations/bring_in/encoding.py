"""Bytes to text: which encoding a file is in, or why it can't be read as text."""

import codecs
from typing import BinaryIO

from django.utils.translation import gettext as _

from fleet.operations.bring_in.report import UnreadableError

CHUNK = 1 << 20
# Kinds of file that are sent by mistake, by how they begin.
NOT_TEXT = {
    b"PK\x03\x04": "xlsx, ods",
    b"\xd0\xcf\x11\xe0": "xls",
    b"%PDF": "PDF",
    b"\x1f\x8b": "gzip",
}
UTF_32 = (codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)
# Windows-1252 leaves these five without a character.
NOT_IN_1252 = b"\x81\x8d\x8f\x90\x9d"
CONTROL = bytes(set(range(32)) - set(b"\t\n\r"))


def encoding_of(source: BinaryIO) -> str:
    """Find out the encoding of a whole file, and leave it at its start.

    UTF-8 and UTF-16 with their marks, else UTF-8, else Windows-1252; anything else is refused.
    """
    source.seek(0)
    head = source.read(4)
    source.seek(0)
    if not head:
        raise UnreadableError(_("The file is empty."))
    for mark, kind in NOT_TEXT.items():
        if head.startswith(mark):
            message = _("This is a %(kind)s file. Open it and save it as CSV (UTF-8).")
            raise UnreadableError(message % {"kind": kind})
    if head in UTF_32:
        raise UnreadableError(_("The file is in UTF-32. Save it as CSV (UTF-8)."))
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        _must_decode(source, "utf-16")
        return "utf-16"
    name = "utf-8-sig" if head.startswith(codecs.BOM_UTF8) else "utf-8"
    return _utf8_or_1252(source, name)


def _must_decode(source: BinaryIO, name: str) -> None:
    decoder = codecs.getincrementaldecoder(name)()
    try:
        while chunk := source.read(CHUNK):
            decoder.decode(chunk)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError as error:
        message = _("The file is damaged: it begins as %(name)s, but is not. Save it as UTF-8.")
        raise UnreadableError(message % {"name": name.upper()}) from error
    finally:
        source.seek(0)


def _utf8_or_1252(source: BinaryIO, name: str) -> str:
    """Nearly any bytes are Windows-1252: it is believed only where nothing speaks for UTF-8."""
    decoder = codecs.getincrementaldecoder("utf-8")()
    beyond_ascii = False
    try:
        while chunk := source.read(CHUNK):
            _no_control(chunk)
            text = decoder.decode(chunk)
            beyond_ascii = beyond_ascii or not text.isascii()
        decoder.decode(b"", final=True)
    except UnicodeDecodeError as error:
        if "unexpected end" in error.reason:
            message = _("The file ends in the middle of a letter: it was cut short. Send it again.")
            raise UnreadableError(message) from error
        whole_before = error.object[: error.start].isascii()
        if name == "utf-8-sig" or beyond_ascii or not whole_before:
            message = _("The file mixes encodings. Save it as CSV (UTF-8).")
            raise UnreadableError(message) from error
        source.seek(0)
        _must_be_1252(source)
        name = "cp1252"
    finally:
        source.seek(0)
    return name


def _must_be_1252(source: BinaryIO) -> None:
    while chunk := source.read(CHUNK):
        _no_control(chunk)
        if _holds(chunk, NOT_IN_1252):
            message = _("The encoding of the file is not known. Save it as CSV (UTF-8).")
            raise UnreadableError(message)


def _no_control(chunk: bytes) -> None:
    if b"\0" in chunk:
        message = _(
            "The file holds NUL bytes: it is not plain text, or UTF-16 without its mark. "
            "Save it as CSV (UTF-8)."
        )
        raise UnreadableError(message)
    if _holds(chunk, CONTROL):
        raise UnreadableError(_("The file is not plain text. Save it as CSV (UTF-8)."))


def _holds(chunk: bytes, any_of: bytes) -> bool:
    return len(chunk.translate(None, any_of)) != len(chunk)
