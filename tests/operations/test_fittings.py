"""A joint apart, not fitted, or fitted again: what it holds, what it owes, who may say so."""

from datetime import timedelta

import pytest

from fleet.operations import holds, repair
from fleet.operations.fittings import Fitting, set_fitting
from fleet.operations.inspect import Sheet, record_inspection
from fleet.operations.vehicles import bring_back, lay_up
from fleet.records.models import Finding, Hold, JointState, Recheck
from tests import build
from tests.operations.apart import (
    AXLE,
    CLAMPS,
    DAMPER,
    FRAME,
    make,
    open_holds,
    put_together,
    refused,
    taken_apart,
)
from tests.operations.conftest import RETORQUE, House
from tests.operations.tables import refusal, row_counts, state_of

CHECK = holds.Check(dry_steer=True, note="Damper in, both ends looked at.")


def owed(house: House, kind: str) -> list[str]:
    live = Recheck.objects.filter(joint=house.joint(kind), state__in=Recheck.LIVE)
    return list(live.values_list("ladder", flat=True))


# Apart -----------------------------------------------------------------------------------------


def test_a_joint_apart_holds_the_vehicle_and_says_which_and_why(house: House) -> None:
    row = make(house, "apart")
    assert house.joint().fitted == "apart"
    assert (row.by, row.reason) == (house.technician.person, "bushing on order")
    assert open_holds() == [("apart", "Track bar, frame end is apart: bushing on order")]


def test_it_undoes_the_second_check_that_came_before(house: House) -> None:
    ticket = house.ticket(("retorque", FRAME))
    house.record(house.line(ticket, "retorque"), RETORQUE)
    house.check(ticket)
    make(house, "apart", AXLE)
    assert state_of(ticket) == "open"
    assert Hold.objects.get().ticket == ticket


def test_a_vehicle_laid_up_is_not_held_and_does_not_come_back(house: House) -> None:
    lay_up(house.manager, house.vehicle.pk, "bushing on order", at=house.now)
    make(house, "apart")
    assert open_holds() == []
    with pytest.raises(Exception, match="Track bar, frame end is apart") as caught:
        bring_back(house.manager, house.vehicle.pk, at=house.later(days=20))
    assert {p.code for p in caught.value.problems} == {"joint_apart"}  # type: ignore[attr-defined]


def test_its_ticket_neither_passes_a_second_check_nor_closes(house: House) -> None:
    ticket = house.ticket(("replace_track_bar", FRAME))
    put_together(house, ticket)
    make(house, "apart", AXLE)
    assert refusal(house.check, ticket) == {("joint_apart", "")}
    assert ("joint_apart", "") in refusal(house.close, ticket)


def test_the_refusal_names_the_joint(house: House) -> None:
    ticket = house.ticket(("retorque", FRAME))
    make(house, "apart", AXLE)
    with pytest.raises(Exception, match="Track bar, axle end is apart"):
        house.close(ticket)


def test_a_hold_for_a_joint_apart_is_not_lifted_by_hand(house: House) -> None:
    make(house, "apart", DAMPER)
    lift = (house.manager, Hold.objects.get().pk, CHECK)
    assert refusal(holds.lift_hold, *lift, at=house.now) == {("joint_apart", "")}


# Put together again ----------------------------------------------------------------------------


def test_it_is_put_together_on_a_ticket_line_and_the_close_lets_the_vehicle_go(
    house: House,
) -> None:
    ticket = taken_apart(house)
    assert refused(house, "fitted") == {"not_assembled"}
    put_together(house, ticket, torque="")
    assert refused(house, "fitted") == {"not_assembled"}
    put_together(house, ticket)
    row = make(house, "fitted", reason="new bar in")
    assert row.line == house.line(ticket, "replace_track_bar")
    assert open_holds()  # until the second check, the road test and the close
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    assert open_holds() == []
    assert owed(house, FRAME) == ["track_bar"]


def test_a_line_from_before_it_was_taken_apart_proves_nothing(house: House) -> None:
    ticket = house.ticket(("replace_track_bar", FRAME))
    put_together(house, ticket)
    house.later(hours=1)
    make(house, "apart")
    assert refused(house, "fitted") == {"not_assembled"}


@pytest.mark.parametrize("action", ["clean_protect", "repair_hole"])
def test_work_without_its_torque_puts_nothing_together(house: House, action: str) -> None:
    ticket = taken_apart(house)
    line = house.add_line(ticket, action, FRAME)
    build.entry(line, house.technician.person, {}, at=house.now)
    assert refused(house, "fitted") == {"not_assembled"}


def test_dropping_the_line_afterwards_stands_in_the_way_of_the_close(house: House) -> None:
    ticket = taken_apart(house)
    put_together(house, ticket)
    make(house, "fitted")
    line = house.line(ticket, "replace_track_bar")
    repair.drop_line(house.technician, line.pk, "wrong joint", at=house.now)
    house.add_line(ticket, "retorque", AXLE)
    house.record(house.line(ticket, "retorque"), RETORQUE)
    assert refusal(house.check, ticket) == {("not_assembled", "")}
    again = house.add_line(ticket, "retorque", FRAME)
    house.record(again, RETORQUE)
    house.check(ticket)


def test_a_laid_up_vehicle_comes_back_only_once_that_ticket_is_closed(house: House) -> None:
    lay_up(house.manager, house.vehicle.pk, "bushing on order", at=house.now)
    ticket = taken_apart(house)
    put_together(house, ticket)
    make(house, "fitted")
    back = (house.manager, house.vehicle.pk)
    assert refusal(bring_back, *back, at=house.now) == {("ticket_open", "")}
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    assert bring_back(*back, at=house.now).row.status == "in_service"


def test_what_takes_nothing_away_is_fitted_without_a_line_and_owes_a_look(house: House) -> None:
    make(house, "apart", DAMPER)
    make(house, "fitted", DAMPER, reason="new bolt in")
    assert owed(house, DAMPER) == ["fitted_again"]
    lift = (house.manager, Hold.objects.get().pk, CHECK)
    assert holds.lift_hold(*lift, at=house.now).row.lifted_by == house.manager.person


def test_its_own_retorque_where_its_kind_has_one(house: House) -> None:
    joint = house.joint("link_lower_axle_end", "left")
    for to in ("apart", "fitted"):
        set_fitting(house.technician, Fitting(joint.pk, to, "bushing"), at=house.now)
    live = Recheck.objects.get(joint=joint, state="owed")
    assert (live.ladder, live.due_on) == ("link_bolts", house.now.date() + timedelta(days=30))


# Not fitted ------------------------------------------------------------------------------------


def test_only_what_may_be_absent_is_left_out(house: House) -> None:
    make(house, "not_fitted", DAMPER)
    assert house.joint(DAMPER).fitted == "not_fitted"
    wheel = Fitting(house.joint("wheel_tyre", "left").pk, "not_fitted", "no wheel")
    named = refusal(set_fitting, house.manager, wheel, at=house.now)
    assert named == {("never_absent", "to")}


def test_a_joint_that_warrants_a_hold_is_left_out_by_a_manager_alone(house: House) -> None:
    assert refused(house, "not_fitted", CLAMPS) == {"manager_only"}
    row = make(house, "not_fitted", CLAMPS, by=house.manager, reason="one-piece drag link")
    assert row.reason == "one-piece drag link"
    assert open_holds() == []


def test_what_it_owed_is_dropped_with_the_reason(house: House) -> None:
    recheck = build.recheck(house.vehicle, house.joint(DAMPER))
    make(house, "not_fitted", DAMPER, reason="sold without one")
    recheck.refresh_from_db()
    assert (recheck.state, recheck.drop_reason) == ("dropped", "sold without one")
    assert JointState.objects.get(joint=house.joint(DAMPER)).due_recheck is None


def test_no_look_and_no_work_is_recorded_on_what_is_not_there(house: House) -> None:
    make(house, "not_fitted", DAMPER)
    before = row_counts()
    look = house.look(DAMPER, "no_play", method="look")
    assert refusal(house.inspect, look) == {("joint_not_fitted", "findings.0.code")}
    assert refusal(house.ticket, ("retorque", DAMPER)) == {("joint_not_fitted", "joint")}
    assert row_counts() == before
    house.inspect(house.look(DAMPER, "not_fitted"))


def test_not_while_it_holds_the_vehicle_or_is_worked_on(house: House) -> None:
    ticket = house.ticket(("retorque", DAMPER))
    assert refused(house, "not_fitted", DAMPER) == {"line_open"}
    repair.drop_line(house.technician, house.line(ticket, "retorque").pk, "none", at=house.now)
    house.inspect(house.look(DAMPER, "cracked", method="look"))
    assert refused(house, "not_fitted", DAMPER) == {"held_joint"}


def test_left_out_after_it_was_apart_the_hold_is_still_lifted_by_a_check(house: House) -> None:
    make(house, "apart", DAMPER)
    make(house, "not_fitted", DAMPER, reason="goes without")
    assert open_holds()
    lift = (house.manager, Hold.objects.get().pk, CHECK)
    holds.lift_hold(*lift, at=house.now)
    assert open_holds() == []


def test_what_warrants_a_hold_goes_on_by_way_of_apart(house: House) -> None:
    make(house, "not_fitted", CLAMPS, by=house.manager)
    assert refused(house, "fitted", CLAMPS, by=house.manager) == {"not_assembled"}
    make(house, "apart", CLAMPS)
    assert open_holds()


def test_a_late_sheet_on_what_was_there_then_is_kept_as_a_note(house: House) -> None:
    seen_at = house.now
    make(house, "not_fitted", DAMPER, occurred_at=house.later(days=2))
    look = house.look(DAMPER, "worn_out", method="look")
    late = Sheet(house.vehicle.pk, "routine", (look,), occurred_at=seen_at)
    record_inspection(house.technician, late, at=house.now)
    assert Finding.objects.get().response == "note"
