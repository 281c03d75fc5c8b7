"""The quick way for many readings says what the serializers say, or leaves it to them."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.cache import cache
from hypothesis import given
from hypothesis import strategies as st

from api.many_readings import MOST, ManyReadingsIn
from api.plain_rows import plain_rows
from fleet.records.models import MeterReading, Vehicle
from tests.api.conftest import Client

PLAIN = {
    "vehicle": "A-12", "meter": "48,210", "unit": "mi", "new_meter": True, "reason": "a reason",
    "at": "2026-03-09T07:00:00-07:00", "uid": "0197a3c2-5b1e-7c44-9f0a-2f6b1c0d9e11",
}  # fmt: skip
MOMENTS = [
    "2026-03-09T14:00:00Z", "2026-03-09 14:00+01:00", "2026-03-09T14:00:00", "2026-03-09", "",
    "2026-13-01T00:00:00Z", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00",
    "20260309T140000Z", "2026-W11-1T10:00Z", "2026-03-09T14:00:00.1234567Z", " 2026-03-09T14:00Z",
]  # fmt: skip
UIDS = [
    "0197A3C25B1E7C449F0A2F6B1C0D9E11", "urn:uuid:0197a3c2-5b1e-7c44-9f0a-2f6b1c0d9e11",
    "{0197a3c2-5b1e-7c44-9f0a-2f6b1c0d9e11}", "0197a3c2", "1" * 33, 5,
]  # fmt: skip
ODD = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False), st.text(max_size=8),
    st.sampled_from(["", " ", " A-12", "A-12\u2003", "\x85", "a" * 21, "a" * 41, "a" * 201, "h",
                     "furlong", "true", "\ufeffA"]),
    st.sampled_from([*MOMENTS, *UIDS]), st.lists(st.text(max_size=2), max_size=2),
)  # fmt: skip
ROWS = st.lists(
    st.tuples(
        st.dictionaries(st.sampled_from([*PLAIN, "vehicel"]), ODD, max_size=3),
        st.sets(st.sampled_from(list(PLAIN)), max_size=7),
    ).map(lambda pair: {**{k: v for k, v in PLAIN.items() if k not in pair[1]}, **pair[0]}),
    max_size=3,
)  # fmt: skip


@given(rows=ROWS)
def test_what_it_takes_the_serializers_take_alike(rows: list[dict[str, Any]]) -> None:
    body = json.loads(json.dumps({"readings": rows}))
    plain = plain_rows(body, MOST)
    asked = ManyReadingsIn(data=body)
    if plain is not None:
        assert asked.is_valid(), (rows, asked.errors)
        assert asked.validated_data["readings"] == plain


@pytest.mark.parametrize("left_out", [(), ("at", "uid"), ("unit", "new_meter", "reason")])
def test_what_is_plain_is_taken(left_out: tuple[str, ...]) -> None:
    row = {name: value for name, value in PLAIN.items() if name not in left_out}
    plain = plain_rows({"readings": [row, {**row, "vehicle": "B-7"}]}, MOST)
    assert plain is not None
    assert [found["vehicle"] for found in plain] == ["A-12", "B-7"]
    assert plain[0].keys() == row.keys()


@pytest.mark.parametrize("name", [name for name in PLAIN if name not in ("new_meter", "unit")])
@pytest.mark.parametrize("odd", [None, 5, " 5", {"a": 1}, "x" * 300])
def test_what_is_odd_is_left_to_them(name: str, odd: object) -> None:
    assert plain_rows({"readings": [{**PLAIN, name: odd}]}, MOST) is None


@pytest.mark.parametrize("body", [None, [], {}, {"readings": {}}, {"readings": []}, {"rows": []},
                                  {"readings": [5]}, {"readings": [PLAIN], "more": 1}])  # fmt: skip
def test_a_body_of_another_shape_is_left_to_them(body: object) -> None:
    assert plain_rows(body, MOST) is None


def test_a_body_cut_after_any_byte_is_refused(integrator: Client, truck: Vehicle) -> None:
    """Half a body is no JSON: no word is needed that it is whole, and none would help."""
    at = (datetime.now(UTC) - timedelta(days=3)).isoformat()
    whole = json.dumps({"readings": [{"vehicle": "A-12", "meter": "48,210", "at": at}]})
    for cut in range(len(whole)):
        cache.clear()  # so many requests a minute are not taken
        assert integrator.raw("meter-readings/bulk/", whole[:cut]).status_code == 400, cut
    assert not MeterReading.objects.exists()
