"""An interval accepted: what is made from then on takes it, what is owed keeps what it had."""

from typing import Any

import pytest

from fleet.operations.errors import Conflict, NotAllowed, Refused
from fleet.operations.intervals import (
    Decision,
    accept_interval,
    decline_interval,
    take_interval_back,
)
from fleet.operations.once import Request
from fleet.operations.refit import refit
from fleet.records.models import IntervalProposal, Recheck, Rule, TrailEntry
from tests import held
from tests.held import MILE
from tests.operations.conftest import RETORQUE, House

FRAME = "track_bar_frame_end"
LINK = "sway_bar_link"


def proposal(house: House, kind: str = FRAME, offered: float = 740, **extra: Any) -> Any:
    """An offer for joints like the house's own, retightened by the factory's figure, dry."""
    moments = {"made_at": house.now, "as_of": house.now}
    if kind == FRAME:
        return held.proposal(kind, offered=offered, **{**moments, **extra})
    # No figure is on file for the others, and no ladder of their kind.
    routine = {"now_from": {"routine": "gravel", "version": 1}, "now_si": round(4000 * MILE),
               "age_si": 0}  # fmt: skip
    return held.proposal(kind, practice="dry", offered=offered, **{**moments, **routine, **extra})


def accept(house: House, row: Any, **more: Any) -> Any:
    said = Decision(row.pk, **{k: more.pop(k) for k in ("basis", "reason") if k in more})
    return accept_interval(house.manager, said, at=house.now, **more).row


def back(house: House, row: Any, reason: str = "too long after all") -> Any:
    return take_interval_back(house.manager, Decision(row.pk, reason), at=house.now).row


def retightened(house: House) -> Recheck:
    """A retorque that turned the frame end: its first look is owed."""
    house.repair(("retorque", FRAME, RETORQUE))
    return owed(house)


def owed(house: House, kind: str = FRAME, ladder: str = "track_bar") -> Recheck:
    return Recheck.objects.get(
        vehicle=house.vehicle, joint__kind__code=kind, ladder=ladder, state="owed"
    )


def length(row: Recheck) -> tuple[float, int]:
    """Miles and days."""
    assert row.due_use_si is not None
    assert row.start_use_si is not None
    assert row.due_on is not None
    miles = (row.due_use_si - row.start_use_si) / MILE
    return round(miles, 1), (row.due_on - row.started_at.date()).days


def test_the_last_step_takes_what_was_accepted_and_its_days_scale_along(house: House) -> None:
    row = accept(house, proposal(house))
    assert length(retightened(house)) == (100, 7)  # the first look catches a joint that beds in
    house.later(days=7)
    house.tight()
    last = owed(house)
    assert length(last) == (740, 44)
    assert (last.interval, last.rung, row.state) == (row.rule, 1, "accepted")


def test_what_is_owed_already_keeps_what_it_started_with(house: House) -> None:
    retightened(house)
    house.later(days=7)
    house.tight()
    accept(house, proposal(house))
    before = owed(house)
    assert (length(before), before.interval) == ((500, 30), None)


def test_another_practice_or_stratum_is_another_cell(house: House) -> None:
    accept(house, proposal(house, key=f"{FRAME}|four_link_coil|gravel|shop, dry|again|distance"))
    accept(house, proposal(house, first=True))
    retightened(house)
    house.later(days=7)
    house.tight()
    assert length(owed(house)) == (500, 30)


def test_moved_at_it_halves_it_as_any_other(house: House) -> None:
    accept(house, proposal(house))
    retightened(house)
    house.later(days=7)
    house.tight()
    house.later(days=40)
    house.moved()
    again = owed(house)
    assert (length(again), again.interval) == ((370, 22), None)


def test_taken_back_the_ladder_stands_again_and_the_versions_stay(house: House) -> None:
    row = accept(house, proposal(house))
    back(house, row)
    retightened(house)
    house.later(days=7)
    house.tight()
    assert length(owed(house)) == (500, 30)
    told = Rule.objects.filter(kind="interval").order_by("version")
    assert [(rule.data["stands"], rule.is_current, rule.reason) for rule in told] == [
        (True, False, ""), (False, True, "too long after all"),
    ]  # fmt: skip


def test_taking_back_the_second_leaves_the_first(house: House) -> None:
    first = accept(house, proposal(house))
    IntervalProposal.objects.update(is_current=False)
    second = accept(house, proposal(
        house, offered=1000, now_si=round(740 * MILE)))  # fmt: skip
    back(house, second)
    standing = Rule.objects.get(kind="interval", is_current=True)
    assert (standing.version, standing.data["miles"], standing.data["stands"]) == (3, 740.0, True)
    assert first.rule.version == 1
    back(house, IntervalProposal.objects.get(is_current=True))
    assert not Rule.objects.get(kind="interval", is_current=True).data["stands"]


def test_a_kind_without_a_ladder_gets_a_recheck_of_its_own(house: House) -> None:
    row = accept(house, proposal(house, LINK, offered=900))
    [joint] = [house.joint(LINK, "left")]
    ticket = house.ticket()
    line = house.add_line(ticket, "retorque", LINK, "left")
    house.record(line, RETORQUE)
    house.close(ticket)
    made = Recheck.objects.get(joint=joint, ladder="interval", state="owed")
    assert (length(made), made.kind, made.interval) == ((900, 27), "retorque", row.rule)
    assert made.methods == ["wrench"]


def test_it_is_made_again_after_each_tight_look_and_halved_after_it_moved(house: House) -> None:
    test_a_kind_without_a_ladder_gets_a_recheck_of_its_own(house)
    joint = house.joint(LINK, "left")
    house.later(days=25)
    wrench = {"method": "wrench", "torque": "60 lbf·ft", "tool_id": house.tool.pk}
    house.inspect(house.look(LINK, "tight", "left", **wrench), kind="retorque")
    rows = Recheck.objects.filter(joint=joint, ladder="interval").order_by("id")
    assert [(row.state, row.started_at) for row in rows][1:] == [("owed", house.now)]
    house.later(days=25)
    house.inspect(house.look(LINK, "moved", "left", degrees="10", **wrench), kind="retorque")
    assert length(rows.get(state="owed")) == (450, 14)


def test_one_not_shorter_than_the_routine_makes_nothing(house: House) -> None:
    accept(house, proposal(house, LINK, offered=5000))
    ticket = house.ticket()
    house.record(house.add_line(ticket, "retorque", LINK, "left"), RETORQUE)
    house.close(ticket)
    assert not Recheck.objects.filter(ladder="interval").exists()


def test_declining_asks_for_a_reason_and_is_not_asked_again(house: House) -> None:
    row = proposal(house)
    with pytest.raises(Refused, match="Say why"):
        decline_interval(house.manager, Decision(row.pk, " "), at=house.now)
    decline_interval(house.manager, Decision(row.pk, "the maker says 500"), at=house.now)
    row.refresh_from_db()
    assert (row.state, row.reason, row.offers) == ("declined", "the maker says 500", False)
    with pytest.raises(Refused, match="decided before"):
        accept(house, row)
    assert not Rule.objects.filter(kind="interval").exists()


def test_only_a_manager_decides(house: House) -> None:
    row = proposal(house)
    for verb in (accept_interval, decline_interval, take_interval_back):
        with pytest.raises(NotAllowed):
            verb(house.technician, Decision(row.pk, "why"), at=house.now)


def test_somebody_elses_step_in_between_is_told(house: House) -> None:
    row = proposal(house)
    decline_interval(house.manager, Decision(row.pk, "no"), at=house.now)
    with pytest.raises(Conflict):
        accept(house, row, expected_version=1)


def test_where_todays_interval_is_another_by_now_it_is_not_accepted(house: House) -> None:
    row = proposal(house, now_si=round(400 * MILE))
    with pytest.raises(Conflict):
        accept(house, row)


def test_the_same_request_twice_is_one_acceptance(house: House) -> None:
    row, key = proposal(house), Request("k-1", "same")
    accept(house, row, request=key)
    accept(house, row, request=key)
    assert Rule.objects.filter(kind="interval").count() == 1
    entry = TrailEntry.objects.get(verb="accept_interval")
    assert (entry.before["miles"], entry.after["miles"]) == (500.0, 740.0)


def test_nothing_is_taken_back_that_does_not_stand(house: House) -> None:
    with pytest.raises(Refused, match="No accepted interval"):
        back(house, proposal(house))


@pytest.mark.parametrize(("kind", "planned", "miles"), [(FRAME, 1, None), (LINK, 1, 5400)])
def test_the_cheapest_is_taken_past_the_safe_one_only_where_nothing_holds(
    house: House, kind: str, planned: float, miles: float | None
) -> None:
    """Costs 1 to 3 at a shape of 1.4: longer than what nine of ten outlive."""
    for name, value in (("planned", planned), ("unplanned", 3)):
        Rule.objects.filter(key=f"interval_{name}_cost").update(data={"value": value})
    standing = kind == LINK
    row = proposal(house, kind, offered=4600 if standing else 740, scale_si=6000 * MILE,
                   longest_tight_si=round(5400 * MILE))  # fmt: skip
    if miles is None:
        with pytest.raises(Refused, match="nothing to accept"):
            accept(house, row, basis="cost")
    else:
        assert accept(house, row, basis="cost").rule.data["miles"] == miles


def test_the_night_after_a_decision_changes_nothing(house: House) -> None:
    row = accept(house, proposal(house))
    house.later(days=1)
    assert refit(house.manager, at=house.now) == 0
    row.refresh_from_db()
    assert (row.state, row.is_current) == ("accepted", True)
