"""What a file that was brought in came to: counts, and every problem by row and column."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Self

from fleet.operations.errors import Problem

# More problems than these are told by their number only.
MOST_SHOWN = 500
MOST_CELL = 60
MOST_ROW = 120


@dataclass(frozen=True, slots=True)
class RowProblem:
    """One thing wrong: the row as a spreadsheet counts it, the column by its title.

    Row and column are empty where the file as a whole can't be read.
    """

    message: str
    row: int | None = None
    column: str = ""
    typed: str = ""

    def as_dict(self) -> dict[str, Any]:
        return {
            "row": self.row, "column": self.column, "typed": self.typed,
            "message": str(self.message),
        }  # fmt: skip


class UnreadableError(Exception):
    """The file as a whole, or from some row on, can't be read; nothing of it is taken."""

    def __init__(self, message: str, row: int | None = None, column: str = "") -> None:
        self.problem = RowProblem(message, row, column)
        super().__init__(message)


@dataclass(frozen=True, slots=True)
class LastRow:
    """The last row of a file that has no line end behind it: its last cell may be half a cell."""

    row: int
    reads: str

    @classmethod
    def of(cls, row: int, cells: Sequence[str]) -> Self:
        """Its end is what is doubted, so where it is long its beginning is left out."""
        text = ", ".join(cells)
        return cls(row, text if len(text) <= MOST_ROW else f"… {text[-MOST_ROW:]}")


@dataclass
class BroughtIn:
    """What came of bringing in one file. With problems, nothing was written."""

    kind: str
    rows: int = 0
    added: int = 0
    on_file: int = 0
    repeated: int = 0
    problems: list[RowProblem] = field(default_factory=list)
    problem_count: int = 0
    notes: list[str] = field(default_factory=list)
    written: bool = False
    replayed: bool = False
    # None where the file can be seen to be whole, or somebody has said that it is.
    doubted: LastRow | None = None
    # Refused for nothing but that.
    in_doubt: bool = False

    @property
    def fine(self) -> bool:
        return self.problem_count == 0

    def refuse(self, problem: RowProblem) -> None:
        """Keep one problem, while there is room to show it."""
        self.problem_count += 1
        if len(self.problems) < MOST_SHOWN:
            self.problems.append(problem)

    def refuse_cell(self, row: int, column: str, typed: str, problem: Problem) -> None:
        self.refuse(RowProblem(str(problem.message), row, column, typed[:MOST_CELL]))

    def in_order(self) -> None:
        """Put the problems in the order of their rows; what is wrong with the file as a whole
        comes last."""
        self.problems.sort(key=lambda problem: (problem.row is None, problem.row))

    def counts(self) -> dict[str, Any]:
        """What is stored with a request, so that a repeat is answered alike."""
        return {
            "rows": self.rows, "added": self.added, "on_file": self.on_file,
            "repeated": self.repeated, "notes": self.notes,
        }  # fmt: skip
