"""A road-test record as text: columns time, ax, ay, az and speed, with errors that name the place.

The first line that is not a remark (``#``) names the columns, in any order. A unit may stand
behind a name, in brackets, round or square: ``speed (km/h)``, ``ax [g]``. Commas, semicolons or
tabs stand between cells; with semicolons or tabs a decimal comma is read.
"""

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

TIME, SPEED = "time", "speed"
AXES = ("ax", "ay", "az")
#: Ten minutes at 400 samples a second, four times over.
MOST_ROWS = 1_000_000
FEWEST_ROWS = 2

#: By kind of column: the unit meant when none is written first.
_UNITS: dict[str, dict[str, float]] = {
    TIME: {"s": 1.0, "ms": 0.001},
    "acceleration": {"m/s²": 1.0, "m/s2": 1.0, "m/s^2": 1.0, "g": 9.80665},
    SPEED: {"m/s": 1.0, "km/h": 1 / 3.6, "mph": 0.44704},
}

#: Plain words for each stable code. Callers that translate look up the code, not the words.
MESSAGES: dict[str, str] = {
    "empty": "there is no line to read",
    "no_time": "no column is named time",
    "no_acceleration": "no column is named ax, ay or az",
    "unknown_column": "this column is not known here",
    "twice": "this column stands twice",
    "unknown_unit": "this unit does not go with the column",
    "cells": "the line has more or fewer cells than the first",
    "not_a_number": "a number belongs here",
    "no_time_here": "the line has no time",
    "time_backwards": "time goes back or stands still",
    "too_few_rows": "fewer than two samples",
    "too_many_rows": f"more than {MOST_ROWS:,} samples",
}
HINT = "time,ax,ay,az,speed"
_NAME = re.compile(r"\s*(?P<name>[A-Za-z]+)\s*(?:[\[(]\s*(?P<unit>[^\])]*?)\s*[\])])?\s*")
_NUMBER = re.compile(r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d{1,2})?", re.ASCII)
_SHOWN, _LONGEST_NAME = 20, 40


class RecordError(ValueError):
    """A text that is no road-test record.

    Attributes
    ----------
    code : str
        Stable name of what is wrong, a key of `MESSAGES`; translate by it.
    line, column : int
        The place, both counted from 1; column 0 for the whole line.
    shown : str
        What stands there, cut short.
    hint : str
        An example.
    """

    def __init__(
        self, code: str, line: int, column: int = 0, shown: str = "", hint: str = HINT
    ) -> None:
        self.code, self.line, self.column = code, line, column
        self.shown, self.hint = shown[:_SHOWN], hint
        where = f"line {line}" + (f", column {column}" if column else "")
        seen = f' at "{self.shown}"' if self.shown.strip() else ""
        super().__init__(f"Can't read {where}{seen}: {MESSAGES[code]}. Like: {hint}")

    def __reduce__(self) -> tuple[type["RecordError"], tuple[str, int, int, str, str]]:
        return type(self), (self.code, self.line, self.column, self.shown, self.hint)


@dataclass(frozen=True, slots=True, eq=False)
class RoadRecord:
    """A road-test record in SI.

    Attributes
    ----------
    time : ndarray, shape (n,)
        Seconds, rising.
    acceleration : ndarray, shape (n, k)
        One to three axes, m/s²; nan where a cell was empty.
    axes : tuple of str
        Their names.
    speed : ndarray, shape (n,), or None
        m/s; nan where a cell was empty.
    """

    time: Floats
    acceleration: Floats
    axes: tuple[str, ...]
    speed: Floats | None


def read_record(text: str) -> RoadRecord:
    """Read a road-test record.

    Parameters
    ----------
    text : str
        See the module. Empty cells (or nan) of acceleration and speed are missing samples.

    Raises
    ------
    RecordError
        With a stable code, the line and the column, both counted from 1.

    Examples
    --------
    >>> record = read_record("time,az [g],speed (km/h)\\n0,1.0,36\\n0.01,1.1,")
    >>> record.axes, record.acceleration.round(3).tolist(), record.speed.tolist()
    (('az',), [[9.807], [10.787]], [10.0, nan])
    """
    lines = text.removeprefix("\ufeff").splitlines()
    at = next((n for n, one in enumerate(lines) if _counts(one)), None)
    if at is None:
        raise RecordError("empty", 1)
    mark = max(";\t,", key=lines[at].count)
    names, factors = _header(lines[at].split(mark), at + 1)
    table = _cells(lines, at + 1, mark, names) * factors
    time = table[:, names.index(TIME)]
    axes = tuple(name for name in AXES if name in names)
    speed = table[:, names.index(SPEED)] if SPEED in names else None
    return RoadRecord(time, table[:, [names.index(name) for name in axes]], axes, speed)


def _counts(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _header(cells: list[str], line: int) -> tuple[list[str], Floats]:
    names: list[str] = []
    factors: list[float] = []
    for column, cell in enumerate(cells, start=1):
        found = _NAME.fullmatch(cell.replace('"', "")) if len(cell) <= _LONGEST_NAME else None
        name = found["name"].lower() if found else ""
        if found is None or name not in (TIME, SPEED, *AXES):
            raise RecordError("unknown_column", line, column, cell)
        if name in names:
            raise RecordError("twice", line, column, cell)
        units = _UNITS["acceleration" if name in AXES else name]
        unit = found["unit"] or next(iter(units))
        if unit not in units:
            known = f"{name} ({' or '.join(units)})"
            raise RecordError("unknown_unit", line, column, cell, known)
        names.append(name)
        factors.append(units[unit])
    if TIME not in names:
        raise RecordError("no_time", line)
    if not set(AXES) & set(names):
        raise RecordError("no_acceleration", line)
    return names, np.array(factors)


def _cells(lines: list[str], begin: int, mark: str, names: list[str]) -> Floats:
    rows: list[list[float]] = []
    numbers: list[int] = []
    for number, line in enumerate(lines[begin:], start=begin + 1):
        if not _counts(line):
            continue
        cells = line.split(mark)
        if len(cells) != len(names):
            raise RecordError("cells", number)
        rows.append(_row(cells, mark, number))
        numbers.append(number)
        if len(rows) > MOST_ROWS:
            raise RecordError("too_many_rows", number)
    if len(rows) < FEWEST_ROWS:
        raise RecordError("too_few_rows", len(lines))
    table = np.array(rows)
    _check_clock(table[:, names.index(TIME)], numbers, names.index(TIME) + 1)
    return table


def _row(cells: list[str], mark: str, line: int) -> list[float]:
    """Read one line; the common case first, as there may be hundreds of thousands."""
    try:
        row = [float(cell) for cell in cells]
    except ValueError:
        return [_figure(cell, mark, line, n) for n, cell in enumerate(cells, start=1)]
    if math.isfinite(sum(row)):
        return row
    return [_figure(cell, mark, line, n) for n, cell in enumerate(cells, start=1)]


def _figure(cell: str, mark: str, line: int, column: int) -> float:
    bare = cell.strip().strip('"')
    if not bare or bare.lower() == "nan":
        return math.nan
    if not _NUMBER.fullmatch(bare):
        raise RecordError("not_a_number", line, column, cell, "0.125")
    return float(bare if mark == "," else bare.replace(",", "."))


def _check_clock(time: Floats, numbers: list[int], column: int) -> None:
    if np.any(without := np.isnan(time)):
        raise RecordError("no_time_here", numbers[int(without.argmax())], column)
    if np.any(back := np.diff(time) <= 0):
        at = int(back.argmax()) + 1
        raise RecordError("time_backwards", numbers[at], column, f"{time[at]:g}")
