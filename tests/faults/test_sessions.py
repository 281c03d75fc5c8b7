"""Tablets over a network that fails, with the server killed in the middle: nothing lost, nothing
doubled, everything refused back with its person.

`make prove` runs it; SESSIONS says how many, SEED which.
"""

import os
import random
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from fleet.operations import rebuild
from fleet.records.models import (
    Hold,
    Inspection,
    LineEntry,
    MeterReading,
    StoredRequest,
    TabletOperation,
)
from tests.faults.session import Far, Session
from tests.faults.site import Site
from tests.faults.wire import FAULTS, SESSIONS, Wire
from tests.operations.conftest import make_house

SEED = int(os.environ.get("SEED", "1"))
# The rows whose uid is that of the operation that made them.
MADE_BY_UID: dict[str, Any] = {
    "record_inspection": Inspection, "record_line": LineEntry, "record_meter": MeterReading,
}  # fmt: skip
ENDS = {"accepted", "refused", "answered", "set_aside"}


@pytest.fixture
def site(transactional_db: None, tmp_path: Path) -> Iterator[Site]:
    site = Site(tmp_path)
    site.start()
    yield site
    site.kill()


@pytest.mark.whole
@pytest.mark.postgresql
def test_every_operation_comes_to_one_end(site: Site, capsys: Any) -> None:
    house, seen = make_house(), Counter[str]()
    seeded = random.Random(SEED)
    fars: list[Far] = []
    for number in range(SESSIONS):
        session = Session(house, number, random.Random(seeded.random()), Wire(site, seeded, seen))
        session.run()
        fars += session.fars
    told = _held_against(fars)
    assert set(seen) == set(FAULTS), seen
    assert list(rebuild.differences()) == []
    with capsys.disabled():
        sys.stdout.write(
            f"\n{SESSIONS} sessions, seed {SEED}: {dict(told)}; on the way {dict(seen)}; "
            f"killed {site.kills} times\n"
        )


def _held_against(fars: list[Far]) -> Counter[str]:
    """Each tablet's memory against the records."""
    rows = {str(row.uid): row for row in TabletOperation.objects.all()}
    assert set(rows) == {uid for far in fars for uid in far.made}
    told: Counter[str] = Counter()
    for far in fars:
        for uid, (_hand, verb, _body) in far.made.items():
            row, heard = rows[uid], far.tablet.results.get(uid)
            told[row.state] += 1
            assert row.state in ENDS, (uid, row.state)
            # What was left while it was parked is told to nobody again.
            assert heard is not None
            accepted = row.state == "accepted"
            assert accepted == (heard["status"] == "accepted"), (uid, verb, row.state, heard)
            assert accepted or row.problems or row.state == "set_aside"
            made = StoredRequest.objects.filter(key=f"tablet:{uid}").count()
            assert made == int(accepted), (uid, verb, row.state)
            if verb in MADE_BY_UID:
                assert MADE_BY_UID[verb].objects.filter(uid=uid).count() == int(accepted)
    _none_but_these(rows)
    return told


def _none_but_these(rows: dict[str, TabletOperation]) -> None:
    """Nothing stands in the records that no accepted operation made."""
    accepted = Counter(row.verb for row in rows.values() if row.state == "accepted")
    for verb, model in MADE_BY_UID.items():
        assert model.objects.exclude(tablet=None).count() == accepted[verb]
    placed = [row.row_id for row in rows.values()
              if row.state == "accepted" and row.verb == "place_hold"]  # fmt: skip
    assert Counter(placed) == Counter(
        Hold.objects.filter(reason="person").values_list("pk", flat=True)
    )
