"""Intervals over the API: read by those who read specs, decided by a manager, once."""

from typing import Any

import pytest

from fleet.records.models import IntervalProposal, Rule
from tests import held
from tests.api.conftest import Client, codes, fields


@pytest.fixture
def offer(rules: None) -> IntervalProposal:
    return held.proposal()


def test_what_waits_comes_first_with_its_curve(technician: Client, offer: IntervalProposal) -> None:
    held.too_little()
    first, second = technician.get("intervals/").json()["results"]
    assert (first["kind"], first["offers"], first["missing"]) == (offer.kind.code, True, "")
    assert first["curve"]["on"][1] == [1_000_000, 0.97, 0.93, 0.99]
    assert (second["missing"], second["have"], second["need"]) == ("too_few_finds", 3, 5)
    waiting = technician.get("intervals/", {"says": "offered"}).json()
    assert [row["id"] for row in waiting["results"]] == [offer.pk]


def test_a_manager_accepts_once_by_the_version_that_was_read(
    manager: Client, offer: IntervalProposal
) -> None:
    path, body = f"intervals/{offer.pk}/accept/", {"reason": "The maker allows it."}
    assert manager.post(path, body).status_code == 428
    assert manager.post(path, body, match=9).status_code == 412
    done: Any = manager.post(path, body, key="k-1", match=1)
    assert (done.status_code, done.json()["state"], done.json()["version"]) == (200, "accepted", 2)
    again = manager.post(path, body, key="k-1", match=1)
    assert again["Idempotency-Replayed"] == "true"
    assert Rule.objects.get(kind="interval").data["miles"] == 740.0
    back = manager.post(f"intervals/{offer.pk}/take-back/", {"reason": "stretched"}, match=2)
    assert (back.status_code, back.json()["state"]) == (200, "declined")


def test_declining_wants_its_reason(manager: Client, offer: IntervalProposal) -> None:
    path = f"intervals/{offer.pk}/decline/"
    assert fields(manager.post(path, {}, match=1)) == {"reason"}
    assert manager.post(path, {"reason": "The maker says 500."}, match=1).status_code == 200


def test_what_is_not_offered_can_t_be_accepted(manager: Client, rules: None) -> None:
    row = held.too_little()
    assert codes(manager.post(f"intervals/{row.pk}/accept/", {}, match=1)) == {"nothing_offered"}


def test_nobody_else_decides(technician: Client, offer: IntervalProposal) -> None:
    assert technician.post(f"intervals/{offer.pk}/accept/", {}, match=1).status_code == 403
