"""Fasteners as people write them: ``M14 x 2 10.9``, ``9/16-18 UNF grade 8``."""

import re
from dataclasses import dataclass
from typing import NoReturn

from fleet.calc.fastener_tables import (
    CLASSES,
    INCH,
    METRIC,
    METRIC_PITCHES,
    MILLIMETRE,
    UNIFIED,
    UNIFIED_THREADS,
    StrengthClass,
)

MAX_TEXT = 60
#: Plain words for each stable code. Callers that translate look up the code, not the words.
MESSAGES: dict[str, str] = {
    "empty": "nothing was typed",
    "too_long": "the text is too long for one fastener",
    "unknown_thread": "this thread is not known here",
    "unknown_pitch": "this size has no such pitch",
    "series_mismatch": "the pitch is not of the series written behind it",
    "class_missing": "the strength class belongs here",
    "unknown_class": "this strength class is not known here",
    "class_of_other_series": "metric threads go with 8.8, 10.9, 12.9; inch threads with 2, 5, 8",
    "unexpected": "this does not belong to the fastener",
}
_HINTS = {METRIC: "M14 x 2 10.9", UNIFIED: "9/16-18 UNF grade 8", "": "M14 x 2 10.9"}
_CLASS_HINTS = {METRIC: "10.9", UNIFIED: "grade 8", "": "10.9"}

_METRIC = re.compile(
    r"M\s*(?P<size>\d+)(?:\s*[x×*]\s*(?P<pitch>\d+(?:[.,]\d+)?))?(?![.,]?\d|/|\s*[x×*])", re.I
)
_UNIFIED = re.compile(
    r"(?P<size>\d+(?:/\d+)?)\s*(?:inch|in\.?|\"|\u2033)?\s*[-\u2013]\s*(?P<threads>\d+)(?![.,]?\d)"
    r"(?:\s*[-\u2013]?\s*(?P<series>UNC|UNF)\b)?",
    re.I,
)
_CLASS = re.compile(
    r"[\s,;-]*(?:(?:SAE|ISO|property|J429)\s*)*(?:(?:class|grade|gr|cl)\b\.?\s*)?"
    r"(?P<name>\d+(?:[.,]\d+)?)",
    re.I,
)


class FastenerTextError(ValueError):
    """A text that names no fastener.

    Attributes
    ----------
    code : str
        Stable name of what is wrong, a key of `MESSAGES`; translate by it.
    text : str
        What was typed, unchanged.
    position : int
        Index in `text` of the place that failed; ``len(text)`` when the end came too soon.
    hint : str
        An example to type instead.
    """

    def __init__(self, code: str, text: str, position: int, hint: str) -> None:
        self.code, self.text, self.position, self.hint = code, text, position, hint
        rest = text[position : position + 12].strip()
        place = f' at "{rest}" (character {position + 1})' if rest else ""
        super().__init__(
            f'Can\'t read "{text[:MAX_TEXT]}"{place}: {MESSAGES[code]}. Type it like: {hint}'
        )

    def __reduce__(self) -> tuple[type["FastenerTextError"], tuple[str, str, int, str]]:
        return type(self), (self.code, self.text, self.position, self.hint)


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread of the tables.

    Attributes
    ----------
    diameter, pitch : float
        Nominal, metres.
    series : {"metric", "inch"}
    name : str
        As it is usually written: ``"M14 x 2"``, ``"9/16-18 UNF"``.
    """

    diameter: float
    pitch: float
    series: str
    name: str


def parse_thread(text: str) -> Thread:
    """Read a thread.

    Parameters
    ----------
    text : str
        ``M14 x 2``, ``M14×2``, ``M14`` (the coarse pitch), ``9/16-18 UNF``, ``9/16-18``.

    Raises
    ------
    FastenerTextError
        With the place that failed, a stable code and an example. A pitch that the tables do not
        have is refused: it is a slip more often than a rare bolt.

    Examples
    --------
    >>> parse_thread("M10x1,25").name, parse_thread('1/2"-20').name
    ('M10 x 1.25', '1/2-20 UNF')
    """
    thread, end = _thread(text)
    if text[end:].strip():
        _fail("unexpected", text, _next(text, end), _HINTS[thread.series].rsplit(" ", 1)[0])
    return thread


def parse_class(text: str, series: str) -> StrengthClass:
    """Read a strength class that goes with a series of threads.

    Raises
    ------
    FastenerTextError
        Also for a class of the other series: an 8 is no 8.8.

    Examples
    --------
    >>> parse_class("class 10,9", "metric").name, parse_class("SAE grade 8", "inch").name
    ('10.9', '8')
    """
    if not text.strip():
        _fail("class_missing", text, len(text), _CLASS_HINTS[series])
    return _class(text, 0, series, _CLASS_HINTS[series])


def parse_thread_and_class(text: str) -> tuple[Thread, StrengthClass]:
    """Read a thread with its strength class behind it; errors as the two alone.

    >>> thread, strength = parse_thread_and_class("9/16-18 UNF grade 8")
    >>> thread.name, strength.name
    ('9/16-18 UNF', '8')
    """
    thread, end = _thread(text)
    if not text[end:].strip():
        _fail("class_missing", text, len(text), f"{thread.name} {_CLASS_HINTS[thread.series]}")
    return thread, _class(text, end, thread.series, f"{thread.name} {_CLASS_HINTS[thread.series]}")


def _fail(code: str, text: str, at: int, hint: str) -> NoReturn:
    raise FastenerTextError(code, text, at, hint)


def _next(text: str, at: int) -> int:
    return at + len(text[at:]) - len(text[at:].lstrip())


def _thread(text: str) -> tuple[Thread, int]:
    if not text.strip():
        _fail("empty", text, 0, _HINTS[""])
    if len(text) > MAX_TEXT:
        _fail("too_long", text, MAX_TEXT, _HINTS[""])
    begin = _next(text, 0)
    if found := _METRIC.match(text, begin):
        return _metric(text, found), found.end()
    if found := _UNIFIED.match(text, begin):
        return _unified(text, found), found.end()
    _fail("unknown_thread", text, begin, _HINTS[""])


def _number(written: str) -> float:
    return float(written.replace(",", "."))


def _metric(text: str, found: re.Match[str]) -> Thread:
    size = int(found["size"])
    pitches = METRIC_PITCHES.get(size)
    if pitches is None:
        _fail("unknown_thread", text, found.start("size"), _HINTS[METRIC])
    pitch = _number(found["pitch"]) if found["pitch"] else pitches[0]
    if pitch not in pitches:
        known = " or ".join(f"M{size} x {one:g}" for one in pitches)
        _fail("unknown_pitch", text, found.start("pitch"), known)
    name = f"M{size} x {pitch:g}"
    return Thread(size * MILLIMETRE, pitch * MILLIMETRE, METRIC, name)


def _unified(text: str, found: re.Match[str]) -> Thread:
    row = UNIFIED_THREADS.get(found["size"])
    if row is None:
        _fail("unknown_thread", text, found.start("size"), _HINTS[UNIFIED])
    diameter, coarse, fine = row
    threads = int(found["threads"])
    known = f"{found['size']}-{coarse} UNC or {found['size']}-{fine} UNF"
    if threads not in (coarse, fine):
        _fail("unknown_pitch", text, found.start("threads"), known)
    series = "UNC" if threads == coarse else "UNF"
    if found["series"] and found["series"].upper() != series:
        _fail("series_mismatch", text, found.start("series"), known)
    name = f"{found['size']}-{threads} {series}"
    return Thread(diameter * INCH, INCH / threads, UNIFIED, name)


def _class(text: str, at: int, series: str, hint: str) -> StrengthClass:
    found = _CLASS.match(text, at)
    if found is None:
        _fail("unknown_class", text, _next(text, at), hint)
    if text[found.end() :].strip():
        _fail("unexpected", text, _next(text, found.end()), hint)
    known = CLASSES.get(found["name"].replace(",", "."))
    if known is None:
        _fail("unknown_class", text, found.start("name"), hint)
    if known.series != series:
        _fail("class_of_other_series", text, found.start("name"), hint)
    return known
