"""Once and in order: request keys, and versions that somebody else has moved."""

from typing import Any

import pytest

from fleet.operations.errors import Conflict, KeyReused
from fleet.operations.once import Request
from fleet.records.models import StoredRequest
from tests.operations.conftest import House
from tests.operations.tables import refusal, row_counts, undone
from tests.operations.verbs import VERBS, Scene, key

# Who may do each verb on the scene and have it done.
DONE_BY = {
    "report_complaint": "driver", "answer_complaint": "manager",
    "record_inspection": "technician", "record_meter": "driver", "withdraw_reading": "manager",
    "add_line": "technician", "drop_line": "technician", "record_line": "technician",
    "second_check": "colleague", "place_hold": "driver", "lift_hold": "manager",
    "add_tool": "manager", "calibrate": "manager", "report_mishap": "technician",
    "record_tool_use": "manager", "correct_tool_use": "manager",
    "compare": "technician", "set_spec": "manager", "add_vehicle": "manager",
    "change_vehicle": "manager", "lay_up": "manager", "let_go": "manager",
    "assign_recheck": "manager", "judge_pattern": "manager", "decide_move": "technician",
    "end_move": "driver", "allow_self_check": "manager", "take_leave_back": "manager",
    "set_fitting": "technician", "set_lever": "manager",
    "ask_for_file": "manager", "answer_file": "manager", "withdraw_file": "manager",
    "add_yard": "manager", "change_yard": "manager", "add_person": "manager",
    "change_person": "manager", "let_person_go": "manager", "take_person_back": "manager",
    "reset_sign_in": "manager", "add_design": "manager", "set_fleet": "manager",
    "look_over_rules": "manager", "set_first_looks": "manager",
    "take_out": "manager", "accept_interval": "manager", "decline_interval": "manager",
    "set_aims": "manager", "add_photo": "technician", "change_rule": "manager",
    "set_exception": "manager", "end_exception": "manager", "put_off": "manager",
    "take_put_off_back": "manager", "open_sweep": "manager",
    "close_sweep": "manager", "take_sweep_back": "manager", "revoke_feed": "manager",
    "choose_digest": "manager",
    "change_webhook": "manager", "send_test": "manager", "send_again": "manager",
    "send_all_again": "manager", "replay": "manager",
}  # fmt: skip


def test_a_verb_asked_twice_with_one_key_is_done_once(
    house: House, subtests: pytest.Subtests
) -> None:
    scene = Scene(house)
    for verb, who in DONE_BY.items():
        actor, call = getattr(house, who), VERBS[verb][1]
        with subtests.test(verb), undone():
            first = call(scene, actor, request=key("k-1"))
            counts = row_counts()
            again = call(scene, actor, request=key("k-1"))
            assert (first.replayed, again.replayed) == (False, True)
            assert again.row == first.row
            assert row_counts() == counts


def test_the_same_key_for_something_else_is_refused(house: House) -> None:
    scene = Scene(house)
    call = VERBS["record_meter"][1]
    call(scene, house.driver, request=key("k-1", "a" * 64))
    before = row_counts()
    for verb, body in (("record_meter", "b" * 64), ("place_hold", "a" * 64)):
        asked: dict[str, Any] = {"request": key("k-1", body), "raising": KeyReused}
        assert refusal(VERBS[verb][1], scene, house.driver, **asked) == {("key_reused", "")}
    assert row_counts() == before


def test_another_persons_key_is_another_key(house: House) -> None:
    scene = Scene(house)
    first = VERBS["place_hold"][1](scene, house.driver, request=key("k-1"))
    second = VERBS["place_hold"][1](scene, house.technician, request=key("k-1"))
    assert first.row != second.row
    assert StoredRequest.objects.count() == 2


def test_what_was_refused_may_be_asked_again_with_its_key(house: House) -> None:
    scene = Scene(house)
    request = Request("k-1", "a" * 64)
    check = VERBS["second_check"][1]
    refusal(lambda: check(scene, house.technician, request=request))
    assert not StoredRequest.objects.exists()
    assert not check(scene, house.colleague, request=request).replayed


VERSIONED = {
    "add_line": "technician", "drop_line": "technician", "record_line": "technician",
    "cancel_ticket": "technician", "second_check": "colleague", "release": "colleague",
    "road_test": "colleague", "close_ticket": "technician", "judge_pattern": "manager",
    "change_vehicle": "manager", "accept_interval": "manager", "decline_interval": "manager",
    "take_interval_back": "manager", "set_aims": "manager", "change_rule": "manager",
    "change_webhook": "manager",
    "close_sweep": "manager", "take_sweep_back": "manager",
}  # fmt: skip


def test_what_somebody_else_has_changed_meanwhile_is_not_written_over(
    house: House, subtests: pytest.Subtests
) -> None:
    scene = Scene(house)
    before = row_counts()
    for verb, who in VERSIONED.items():
        call = VERBS[verb][1]
        with subtests.test(verb), undone():
            stale: dict[str, Any] = {"expected_version": 0, "raising": Conflict}
            assert refusal(call, scene, getattr(house, who), **stale) == {("changed", "")}
            assert row_counts() == before


def test_each_change_of_a_ticket_moves_its_version(house: House) -> None:
    scene = Scene(house)
    seen = [scene.ticket.version]
    for verb, who in (("add_line", "technician"), ("drop_line", "technician")):
        version = seen[-1]
        VERBS[verb][1](scene, getattr(house, who), expected_version=version)
        scene.ticket.refresh_from_db()
        seen.append(scene.ticket.version)
    assert seen == sorted(set(seen))


def test_the_version_that_was_read_is_accepted(house: House) -> None:
    scene = Scene(house)
    house.vehicle.refresh_from_db()
    version = house.vehicle.version
    VERBS["change_vehicle"][1](scene, house.manager, expected_version=version)
    stale: dict[str, Any] = {"expected_version": version, "raising": Conflict}
    refusal(VERBS["change_vehicle"][1], scene, house.manager, **stale)
