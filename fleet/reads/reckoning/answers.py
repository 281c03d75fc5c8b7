"""What a calculator answers: figures with unit, limit and origin, and what was understood.

Nothing here knows of a page or of JSON. The calculators under this package are called by the
Reckoner and its API, and by whatever else shows a figure judged (a torque spec, a ticket line).
"""

from dataclasses import dataclass, field
from typing import NoReturn


@dataclass(frozen=True, slots=True)
class Amount:
    """A number as it is written, its unit, and the same as a plain number in that unit.

    `value` is None where it is no number (a range, a letter, a date).
    """

    shown: str
    unit: str
    value: float | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of an answer, in every unit it is wanted in.

    `limit` says what it was judged against, or that it was not judged, and `origin` where the
    figure and its limit are from.
    """

    key: str
    label: str
    amounts: tuple[Amount, ...]
    limit: str
    origin: str
    grave: bool = False


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence with a stable code: a verdict or a caution. A grave one wants a person to act."""

    code: str
    text: str
    grave: bool = False


@dataclass(frozen=True, slots=True)
class Understood:
    """What was typed into a field, and what it was taken for."""

    field: str
    label: str
    typed: str
    read_as: str


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its name and the unit of everything under it."""

    key: str
    label: str
    unit: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of figures that belong together; `rows` as written, in the order of `columns`."""

    key: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    limit: str
    origin: str


Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a plot; one with a name is drawn lightly, to judge the others by."""

    points: Points
    name: str = ""


@dataclass(frozen=True, slots=True)
class Plot:
    """What is to be drawn: lines and dots over two named axes; `named` are places across."""

    key: str
    title: str
    across: str
    upward: str
    lines: tuple[Line, ...] = ()
    dots: Points = ()
    named: tuple[tuple[float, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """What a calculator says. `refused` is true where it does not hold, and `verdict` says why."""

    calculator: str
    verdict: Said
    figures: tuple[Figure, ...] = ()
    understood: tuple[Understood, ...] = ()
    cautions: tuple[Said, ...] = ()
    tables: tuple[Table, ...] = ()
    plots: tuple[Plot, ...] = ()
    refused: bool = False


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """One field that can't be used as typed: a stable code, words, and an example to type."""

    field: str
    code: str
    message: str
    hint: str = ""


MISSING = "missing"


@dataclass
class Unclear(Exception):
    """What was typed does not make a question; `understood` is what could be read of it."""

    problems: tuple[FieldProblem, ...]
    understood: tuple[Understood, ...] = field(default_factory=tuple)

    def __str__(self) -> str:
        return "; ".join(problem.message for problem in self.problems)


def refuse(name: str, code: str, message: str, hint: str = "") -> NoReturn:
    """Raise with one problem."""
    raise Unclear((FieldProblem(name, code, message, hint),))
