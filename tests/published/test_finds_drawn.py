"""A mean cumulative function as it is drawn, against a published set of data.

Data: valve seats of 41 diesel engines, 48 replacements (tests/published/data/valve_seat.csv, read
from three open copies). The published table of the function was not read: the one used here
(valve_seat_mcf_computed.csv) was computed apart from this code by Nelson's estimate, replacements
at an age over engines still at risk at it.
"""

import pytest

from fleet.pictures.plots import WIDE, Axis, Plot, Steps, draw
from fleet.pictures.plots.draw import laid_out
from tests.pictures.svg_read import corners, path_of, read, value
from tests.published.tables import rows

TABLE = rows("valve_seat_mcf_computed.csv")
# Coordinates are kept to a tenth of a unit.
DAYS, FINDS = 0.2, 0.002


def estimated() -> list[tuple[float, float]]:
    """Nelson's estimate straight from the data."""
    told = [(float(row["days"]), row["event"]) for row in rows("valve_seat.csv")]
    ends = [day for day, event in told if event == "end"]
    repairs = [day for day, event in told if event == "replacement"]
    total, found = 0.0, []
    for day in sorted(set(repairs)):
        total += repairs.count(day) / sum(end >= day for end in ends)
        found.append((day, total))
    return found


def drawn() -> list[tuple[float, float]]:
    """The corners at which the drawn curve has risen, read back from the picture."""
    points = [(0.0, 0.0), *estimated()]
    picture = Plot("mcf", "Finds", "It rises.", Axis("days"), Axis("finds"), [Steps(points, 700)])
    frame = laid_out(picture, WIDE)
    places = corners(path_of(read(draw(picture, WIDE)), "trace-line"))
    return [value(frame, place) for place in places[2::2]]


@pytest.mark.parametrize(
    ("row", "place"),
    list(zip(TABLE, drawn(), strict=True)),
    ids=[f"{row['age_days']} d" for row in TABLE],
)
def test_a_step_stands_where_the_table_has_it(
    row: dict[str, str], place: tuple[float, float]
) -> None:
    assert place[0] == pytest.approx(float(row["age_days"]), abs=DAYS)
    assert place[1] == pytest.approx(float(row["mcf"]), abs=FINDS)
