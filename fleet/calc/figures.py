"""Reads the number part of a typed figure: wholes, decimals, thousands, tape fractions.

`Scan.text` is the text made plain: each character stands for the one at the same index of what
was typed, so an index that failed here is an index into what was typed.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import NoReturn

from fleet.calc.unit_errors import UnitError

MAX_DIGITS = 12
MAX_TEXT = 64
_THREE = 3
TAPE_DENOMINATORS = (2, 4, 8, 16, 32, 64)

#: Single characters for fractions. Those no tape has are read too, then refused by name.
VULGAR: dict[str, tuple[int, int]] = {
    "½": (1, 2), "¼": (1, 4), "¾": (3, 4), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
    "⅓": (1, 3), "⅔": (2, 3), "⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5), "⅘": (4, 5), "⅙": (1, 6),
    "⅚": (5, 6), "⅐": (1, 7), "⅑": (1, 9), "⅒": (1, 10),
}  # fmt: skip

# Lookalikes by code point, since in print they can't be told apart.
_SPACES = "\t\n\r\u00a0\u1680" + "".join(map(chr, range(0x2000, 0x200B))) + "\u202f\u205f\u3000"
_SINGLE_MARKS = "\u2032\u2018\u2019\u201b\u0060\u00b4\u02b9\u02bc\uff07"
_DOUBLE_MARKS = "\u2033\u201c\u201d\u201f\u02ba\u3003\uff02"
_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe63\uff0d"
_SLASHES = "\u2044\u2215\uff0f"
_DOTS = "\u22c5\u2022\u2219\u30fb"
_PLAIN = {" ": _SPACES, "'": _SINGLE_MARKS, '"': _DOUBLE_MARKS, "-": _DASHES, "/": _SLASHES}
_TABLE = {ord(odd): mark for mark, odds in {**_PLAIN, "·": _DOTS}.items() for odd in odds}

_NUMBER = re.compile(r"[0-9][0-9.,]*|[.,][0-9]+")
_SPACED = re.compile(r"([0-9]{1,3}(?: [0-9]{3})+)(?:[.,]([0-9]+))?(?![0-9.,])")
_FRACTION = re.compile(r"([0-9]+) ?/ ?([0-9]+)")
_JOIN = re.compile(r" *-? *")
_EXPONENT = re.compile(r" ?[eE][+-]?[0-9]")
_NOT_FINITE = re.compile(r"(?:inf(?:inity)?|nan)\b|∞", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Figure:
    """A number found in a text: its value, where it ends, and how it was written."""

    value: Fraction
    end: int
    fraction_at: int | None = None
    whole: bool = True


@dataclass(frozen=True, slots=True)
class Scan:
    """A plain text being read, and what to say when it can't be.

    With `counter` the rules of a meter hold: thousands may be set off by a comma, points or
    spaces, and no fraction is looked for.
    """

    typed: str
    text: str
    hint: str
    counter: bool = False

    @classmethod
    def of(cls, typed: str, hint: str, *, counter: bool = False) -> "Scan":
        """Make marks, dashes and spaces plain; refuse an empty text and one far too long."""
        scan = cls(typed, typed.translate(_TABLE), hint, counter)
        if not scan.text.strip():
            scan.fail("empty", 0)
        if len(scan.text.strip()) > MAX_TEXT:
            scan.fail("too_long", 0)
        return scan

    def fail(self, code: str, at: int, hint: str = "") -> NoReturn:
        """Raise `UnitError` for the place `at`."""
        raise UnitError(code, self.typed, at, hint or self.hint)

    def skip_spaces(self, at: int) -> int:
        """Return the index of the first character from `at` on that is not a space."""
        while self.text[at : at + 1] == " ":
            at += 1
        return at

    def rest(self, at: int) -> str:
        """Return what stands from `at` on, without the spaces at its end."""
        return self.text[at:].rstrip(" ")

    def sign(self, at: int, *, signed: bool) -> tuple[int, int]:
        """Return the sign and where the figure begins; a sign is refused unless `signed`."""
        mark = self.text[at : at + 1]
        if mark not in ("+", "-"):
            return 1, at
        if not signed:
            self.fail("negative" if mark == "-" else "unexpected", at)
        return (-1 if mark == "-" else 1), self.skip_spaces(at + 1)

    def figure(self, at: int) -> Figure:
        """Read one number, with its fraction if one follows."""
        if _NOT_FINITE.match(self.text, at):
            self.fail("not_finite", at)
        if not self.counter and (alone := self._fraction(at)):
            return Figure(alone[0], alone[1], fraction_at=at, whole=False)
        if self.counter and (spaced := _SPACED.match(self.text, at)):
            return self._spaced(spaced)
        if not (found := _NUMBER.match(self.text, at)):
            self.fail("missing_number", at)
        self._refuse_exponent(found.end())
        number = Figure(self._number(found.group(), at), found.end(), whole=found[0].isdigit())
        return number if self.counter else self._with_fraction(number)

    def _with_fraction(self, number: Figure) -> Figure:
        joined = _JOIN.match(self.text, number.end)
        start = joined.end() if joined else number.end
        if not (part := self._fraction(start)):
            return number
        if not number.whole:
            self.fail("fraction_after_decimal", start)
        return Figure(number.value + part[0], part[1], fraction_at=start, whole=False)

    def _fraction(self, at: int) -> tuple[Fraction, int] | None:
        if (mark := self.text[at : at + 1]) in VULGAR:
            top, bottom = VULGAR[mark]
            end = below = at + 1
        elif found := _FRACTION.match(self.text, at):
            self._count_digits(found.group(), at)
            top, bottom, end, below = int(found[1]), int(found[2]), found.end(), found.start(2)
        else:
            return None
        if bottom == 0:
            self.fail("zero_denominator", below)
        if top >= bottom:
            self.fail("improper_fraction", at)
        if bottom not in TAPE_DENOMINATORS:
            self.fail("odd_denominator", at)
        return Fraction(top, bottom), end

    def _count_digits(self, token: str, at: int) -> None:
        if sum(c.isdigit() for c in token) > MAX_DIGITS:
            self.fail("too_many_digits", at)

    def _refuse_exponent(self, at: int) -> None:
        if _EXPONENT.match(self.text, at):
            self.fail("exponent", at)

    def _spaced(self, found: re.Match[str]) -> Figure:
        self._count_digits(found.group(), found.start())
        self._refuse_exponent(found.end())
        digits = found[1].replace(" ", "")
        return Figure(Fraction(f"{digits}.{found[2] or 0}"), found.end())

    def _number(self, token: str, at: int) -> Fraction:
        self._count_digits(token, at)
        marks = [c for c in token if c in ".,"]
        if not marks:
            return Fraction(token)
        if token[-1] in ".,":
            self.fail("unexpected", at + len(token) - 1)
        if len(marks) == 1:
            return self._one_mark(token, marks[0], at)
        return self._many_marks(token, marks, at)

    def _one_mark(self, token: str, mark: str, at: int) -> Fraction:
        head, tail = token.split(mark)
        # "0,125" can only be a decimal: nobody writes a nought before thousands.
        in_threes = head != "0" and _in_threes([head, tail])
        if in_threes and mark == "," and self.counter:
            return Fraction(head + tail)
        if in_threes and self.counter:
            self.fail("ambiguous_point", at + len(head), f"{head},{tail}")
        if in_threes and mark == ",":
            self.fail("ambiguous_comma", at + len(head), f"{head}{tail} or {head}.{tail}")
        return Fraction(f"{head or 0}.{tail}")

    def _many_marks(self, token: str, marks: list[str], at: int) -> Fraction:
        """Two kinds of mark: the last is the decimal one. One kind: all set off thousands."""
        point = marks[-1] if len(set(marks)) > 1 else None
        if point and marks.count(point) > 1:
            self.fail("bad_grouping", at + token.index(point))
        head, _, tail = token.partition(point) if point else (token, "", "0")
        groups = head.split(marks[0])
        if not _in_threes(groups):
            self.fail("bad_grouping", at + len(groups[0]))
        return Fraction(f"{''.join(groups)}.{tail}")


def _in_threes(groups: list[str]) -> bool:
    return len(groups[0]) in (1, 2, 3) and all(len(group) == _THREE for group in groups[1:])
