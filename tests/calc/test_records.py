"""Road-test records as text: what is read, and where a text fails."""

import copy
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.calc.records import MESSAGES, RecordError, read_record

GOOD = "time,ax,ay,az,speed\n0,0.1,0.2,9.8,20\n0.01,0.1,,9.7,\n0.02,-0.1,0.3,9.9,20.5\n"
figures = st.floats(-1000, 1000).map(lambda value: round(value, 4))


def test_a_plain_record() -> None:
    record = read_record(GOOD)
    assert record.axes == ("ax", "ay", "az")
    assert record.time.tolist() == [0, 0.01, 0.02]
    assert record.acceleration[:, 2].tolist() == [9.8, 9.7, 9.9]
    assert record.speed is not None
    assert math.isnan(record.acceleration[1, 1])
    assert math.isnan(record.speed[1])


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("\ufefftime,az\n0,1\n1,2", id="byte order mark"),
        pytest.param("# a remark\n\ntime,az\n# more\n0,1\n\n1,2\n", id="remarks and empty lines"),
        pytest.param("time;az\n0;1,0\n1;2,0", id="semicolons and decimal commas"),
        pytest.param("time\taz\r\n0\t1\r\n1\t2\r\n", id="tabs, other line ends"),
        pytest.param('"time","az"\n"0","1"\n"1","2"', id="quotes"),
        pytest.param("AZ , Time\n1, 0\n2, 1e0", id="any order, any letters, spaces"),
        pytest.param("time (ms),az [m/s2]\n0,1\n1000,2", id="units"),
    ],
)
def test_ways_of_writing_a_record(text: str) -> None:
    record = read_record(text)
    assert record.time.tolist() == [0, 1]
    assert record.acceleration.tolist() == [[1], [2]]
    assert record.speed is None


def test_units_are_made_si() -> None:
    record = read_record("time (ms),ax [g],speed (km/h)\n0,1,36\n10,0,72")
    assert record.time.tolist() == [0, 0.01]
    assert record.acceleration[0, 0] == 9.80665
    assert record.speed is not None
    assert record.speed.tolist() == pytest.approx([10, 20])
    miles = read_record("time,ax,speed (mph)\n0,1,100\n1,1,0").speed
    assert miles is not None
    assert miles[0] == pytest.approx(44.704)


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        ("", "empty", 1, 0),
        ("# only remarks\n", "empty", 1, 0),
        ("ax,ay\n0,0", "no_time", 1, 0),
        ("time,speed\n0,0", "no_acceleration", 1, 0),
        ("time,ax,rpm\n0,0,0", "unknown_column", 1, 3),
        ("time,ax," + "x" * 999, "unknown_column", 1, 3),
        ("# r\ntime,ax,ax\n0,0,0", "twice", 2, 3),
        ("time,ax (ft/s2)\n0,0", "unknown_unit", 1, 2),
        ("time,ax\n0,0\n0.1", "cells", 3, 0),
        ("time,ax\n0,0\n0.1,0.1 g", "not_a_number", 3, 2),
        ("time,ax\n0,0\n0.1,inf", "not_a_number", 3, 2),
        ("time,ax\n0,0\n0.1,1e999", "not_a_number", 3, 2),
        ("time,ax\n0,0\n,1", "no_time_here", 3, 1),
        ("ax,time\n0,0\n\n1,0", "time_backwards", 4, 2),
        ("time,ax\n0,0\n", "too_few_rows", 2, 0),
    ],
)
def test_an_error_names_line_and_column(text: str, code: str, line: int, column: int) -> None:
    with pytest.raises(RecordError) as failed:
        read_record(text)
    error = failed.value
    assert (error.code, error.line, error.column) == (code, line, column)
    assert f"line {line}" in str(error)
    assert MESSAGES[code] in str(error)
    assert error.hint in str(error)
    assert len(str(error)) < 200
    assert str(copy.copy(error)) == str(error)


@settings(max_examples=40)
@given(st.lists(st.tuples(figures, figures), min_size=2, max_size=12), st.sampled_from(",;\t"))
def test_what_is_written_is_read_back(rows: list[tuple[float, float]], mark: str) -> None:
    lines = [f"{n / 100}{mark}{a}{mark}{b}" for n, (a, b) in enumerate(rows)]
    record = read_record("\n".join([mark.join(("time", "ay", "speed")), *lines]))
    assert record.speed is not None
    assert np.column_stack([record.acceleration[:, 0], record.speed]).tolist() == [
        list(row) for row in rows
    ]


@given(st.text(max_size=60) | st.text("time,ax\n0.5;-", max_size=40).map("time,ax\n{}".format))
def test_any_text_is_read_or_refused_in_its_place(text: str) -> None:
    line = 1
    try:
        record = read_record(text)
    except RecordError as error:
        line = error.line
    else:
        assert np.all(np.diff(record.time) > 0)
    assert 1 <= line <= len(text.splitlines()) + 1
