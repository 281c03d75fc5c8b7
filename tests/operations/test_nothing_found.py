"""Complaints at the close: what never cures one alone, and nothing found."""

from typing import Any

import pytest

from fleet.operations import complain, repair
from fleet.records.models import (
    Hold,
    Recheck,
    Ticket,
)
from tests.operations.conftest import RETORQUE, SET_TOE, House
from tests.operations.tables import refusal, undone

FRAME = "track_bar_frame_end"
CLEANED = {"what": "washed"}


# Complaints ------------------------------------------------------------------------------------

DAMPER = {
    "part_number": "D-1", "part_lot": "L1", "as_found": "worn_out", "torque": "60 lbf·ft",
    "tool": "TW-1", "thread_condition": "dry", "full_lock": True, "hoses_clear": True,
}  # fmt: skip
PRESSURES = {
    "as_found": "worn_out", "pressure": "35 psi", "balance": "not_done",
    "run_out_checked": "not_done", "replaced": "none", "wheel_off": "no",
}  # fmt: skip
ALONE: list[tuple[str, str, str | None, str, dict[str, Any], bool]] = [
    ("axle_oscillation", "replace_damper", "damper_link_end", "", DAMPER, True),
    ("axle_oscillation", "tyre_or_wheel", "wheel_tyre", "left", PRESSURES, True),
    ("axle_oscillation", "clean_protect", "pitman_arm", "", CLEANED, True),
    ("axle_oscillation", "set_toe", None, "", SET_TOE, True),
    ("axle_oscillation", "retorque", FRAME, "", RETORQUE, False),
    ("wheel_shake", "tyre_or_wheel", "wheel_tyre", "left", PRESSURES, False),
    ("wheel_shake", "replace_damper", "damper_link_end", "", DAMPER, False),
]


def test_a_damper_or_pressures_alone_never_close_an_oscillation(
    house: House, subtests: pytest.Subtests
) -> None:
    for kind, action, joint, side, typed, refused in ALONE:
        with subtests.test(kind=kind, action=action), undone():
            report = complain.Report(house.vehicle.pk, kind)
            felt = complain.report_complaint(house.driver, report, at=house.now).row
            new = repair.NewTicket(house.vehicle.pk, complaint_id=felt.pk)
            ticket = repair.open_ticket(house.technician, new, at=house.now).row
            house.add_line(ticket, action, joint, side)
            house.record(house.line(ticket, action), typed)
            named = {("not_enough", "")} & refusal(house.check, ticket, dry_steer=False)
            assert bool(named) is refused


def looked_over(house: House, **more: Any) -> None:
    """Every hold joint and tire, each by a method that can see it there."""
    looks = []
    for joint in house.vehicle.joints.select_related("kind"):
        if joint.kind.holds or joint.kind.code == "wheel_tyre":
            method = joint.kind.play_methods[0]
            looks.append(house.look(joint.kind.code, "no_play", joint.side, method=method))
    house.inspect(*looks, kind="complaint", **more)


def felt_and_opened(house: House, kind: str = "axle_oscillation") -> Ticket:
    report = complain.Report(house.vehicle.pk, kind)
    felt = complain.report_complaint(house.driver, report, at=house.now).row
    new = repair.NewTicket(house.vehicle.pk, complaint_id=felt.pk)
    return repair.open_ticket(house.technician, new, at=house.now).row


def test_nothing_found_needs_every_hold_joint_seen_by_a_sufficient_method(house: House) -> None:
    ticket = felt_and_opened(house)
    named = refusal(lambda: house.check(ticket))
    assert named == {("dry_steer_missing", ""), ("joints_unseen", "")}
    house.later(hours=1)
    # A look tells nothing of most joints' play.
    house.inspect(*[house.look(joint.kind.code, "no_play", joint.side, method="look")
                    for joint in house.vehicle.joints.select_related("kind")])  # fmt: skip
    assert ("joints_unseen", "") in refusal(lambda: house.check(ticket))
    house.later(hours=1)
    looked_over(house)
    house.check(ticket)
    house.test_drive(ticket)
    assert house.close(ticket, outcome="Nothing found.").state == "closed"
    assert not Hold.objects.filter(lifted_at=None).exists()


@pytest.mark.parametrize(
    ("kind", "ladder"), [("axle_oscillation", "oscillation_closed"), ("clunk", "nothing_found")]
)
def test_nothing_found_is_looked_at_again_at_100_miles(
    house: House, kind: str, ladder: str
) -> None:
    ticket = felt_and_opened(house, kind)
    looked_over(house)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    owed = Recheck.objects.get(ladder=ladder)
    assert owed.due_use_si is not None
    assert owed.start_use_si is not None
    assert owed.due_use_si - owed.start_use_si == 160_934  # 100 mi in metres
    assert (owed.kind, owed.joint) == ("dry_steer", None)


def test_what_was_seen_before_the_complaint_says_nothing_of_it(house: House) -> None:
    looked_over(house)
    house.later(hours=1)
    ticket = felt_and_opened(house)
    assert ("joints_unseen", "") in refusal(lambda: house.check(ticket))


@pytest.mark.parametrize(("days", "refused"), [(29, True), (30, True), (31, False)])
def test_the_same_complaint_within_30_days_can_t_close_so_again(
    house: House, days: int, refused: bool
) -> None:
    report = complain.Report(house.vehicle.pk, "clunk")
    complain.report_complaint(house.driver, report, at=house.now)
    house.later(days=days)
    ticket = felt_and_opened(house, "clunk")
    looked_over(house)
    named = refusal(house.check, ticket, dry_steer=False)
    assert (("same_complaint", "") in named) is refused
