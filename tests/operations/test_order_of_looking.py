"""The order of looking: practice's weights, what the driver told, what the fleet found before.

Weights stand in fixtures/rules/complaints.json: common practice, no source. Shares are reckoned by
hand: (10 x practice's share + finds) / (10 + all finds), by what the vehicle has.
"""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.operations import complain, repair
from fleet.reads.triage import LookStep, OrderOfLooking, order_of_looking
from fleet.records.models import Complaint, Joint, Rule, Ticket, TicketLine, Vehicle
from tests import build
from tests.operations.conftest import RETORQUE, SET_TOE, TRACK_BAR, House
from tests.operations.tables import heavy_truck, refusal, undone

SHAKE = "axle_oscillation"


def felt(house: House, kind: str = SHAKE, of: Vehicle | None = None, **told: Any) -> Complaint:
    return build.complaint(of or house.vehicle, house.driver.person, kind=kind, **told)


def closed(
    house: House, *work: tuple[str, str], kind: str = SHAKE, of: Vehicle | None = None
) -> None:
    """A closed ticket of a like complaint, with its closed lines: (action, joint kind)."""
    of = of or house.vehicle
    job = ticket(house, kind, of, state="closed", closed_at=build.NOW,
                 closed_by=house.manager.person)  # fmt: skip
    for action, code in work:
        joint = of.joints.filter(kind__code=code)[0]
        build.line(job, joint, action=action, state="closed")


def ticket(house: House, kind: str, of: Vehicle, **state: Any) -> Ticket:
    return build.ticket(of, house.technician.person, complaint=felt(house, kind, of), **state)


def pulled(house: House, job: Ticket, code: str, *, turned: bool) -> None:
    """A line closed with a wrench that turned something, or nothing."""
    line = build.line(job, house.joint(code))
    entry = build.entry(line, house.technician.person, {})
    by, tool = house.technician.person, house.tool
    build.torque(house.joint(code), by, tool, line_entry=entry, turned=turned)
    TicketLine.objects.filter(pk=line.pk).update(state="closed")


def order(house: House, kind: str = SHAKE, **told: Any) -> OrderOfLooking:
    return order_of_looking(felt(house, kind, **told))


def step(found: OrderOfLooking, key: str) -> LookStep:
    return next(one for one in found.steps if one.key == key)


def keys(found: OrderOfLooking) -> list[str]:
    return [one.key for one in found.steps]


def test_with_nothing_found_yet_it_is_practice_s_order(house: House) -> None:
    found = order(house)
    assert keys(found)[:5] == [
        "wheel_nuts", "wheel_tyre", "track_bar_frame_end", "track_bar_axle_end",
        "track_bar_frame_bracket",
    ]  # fmt: skip
    assert found.like == 0
    assert sum(one.share for one in found.steps) == pytest.approx(1)
    assert all(one.share == pytest.approx(one.prior) for one in found.steps)


def test_a_joint_found_behind_like_complaints_moves_up_and_says_how_often(house: House) -> None:
    """Four-link: practice weighs 49 in all, the axle end 6, the frame end 8."""
    closed(house, ("replace_track_bar", "track_bar_axle_end"))
    closed(house, ("replace_track_bar", "track_bar_axle_end"))
    closed(house)  # nothing was found behind this one
    found = order(house)
    axle, frame = step(found, "track_bar_axle_end"), step(found, "track_bar_frame_end")
    total = sum({"nuts": 10, "tyre": 9, "frame": 8, "axle": 6, "bracket": 4, "axle bracket": 4,
                 "frame at": 3, "tie rod": 3, "drag link": 3, "knuckles": 2, "hubs": 2,
                 "steering": 2, "links": 1, "damper": 1}.values())  # fmt: skip
    assert (found.like, axle.found, frame.found) == (3, 2, 0)
    assert axle.prior == pytest.approx(6 / total)
    assert axle.share == pytest.approx((10 * 6 / total + 2) / 12)
    assert keys(found).index("track_bar_axle_end") < keys(found).index("track_bar_frame_end")


@pytest.mark.parametrize("kind", ["wheel_shake", SHAKE])
def test_any_shake_begins_with_nuts_pressures_and_tires_whatever_was_found(
    house: House, kind: str
) -> None:
    for _ in range(30):
        closed(house, ("replace_drag_link", "drag_link_frame_end"), kind=kind)
    found = order(house, kind)
    assert keys(found)[:3] == ["wheel_nuts", "wheel_tyre", "drag_link"]
    assert [one.first for one in found.steps[:3]] == [True, True, False]


def test_what_was_no_cause_does_not_count(house: House) -> None:
    """Grease and cleaning; open work; other complaints; a wrench that turned nothing."""
    closed(house, ("grease", "tie_rod_end"), ("clean_protect", "pitman_arm"))
    closed(house, ("replace_tie_rod", "tie_rod_end"), kind="clunk")
    over = {"closed_at": build.NOW, "closed_by": house.manager.person}
    job = ticket(house, SHAKE, house.vehicle, state="closed", **over)
    pulled(house, job, "track_bar_frame_end", turned=False)
    pulled(house, job, "track_bar_axle_end", turned=True)
    other = build.vehicle(house.yard, design=house.design)
    build.line(ticket(house, SHAKE, other), build.joint(other), action="replace_track_bar")
    found = order(house)
    assert {one.key: one.found for one in found.steps if one.found} == {"track_bar_axle_end": 1}
    assert found.like == 2


def test_one_ticket_counts_once_for_a_group_however_many_lines(house: House) -> None:
    closed(house, ("replace_tie_rod", "tie_rod_end"), ("replace_tie_rod", "tie_rod_at_drag_link"))
    assert step(order(house), "tie_rod").found == 1


def test_a_complaint_is_no_evidence_for_itself(house: House) -> None:
    closed(house, ("replace_track_bar", "track_bar_axle_end"))
    own = Complaint.objects.get()
    assert order_of_looking(own).like == 0
    assert order(house).like == 1


def test_finds_of_the_whole_fleet_count(house: House) -> None:
    """A count names no vehicle, person or yard."""
    far = build.vehicle(build.yard("Birch"), design=house.design)
    closed(house, ("replace_track_bar", "track_bar_axle_end"), of=far)
    assert step(order(house), "track_bar_axle_end").found == 1


def test_what_practice_does_not_name_comes_in_once_it_was_found(house: House) -> None:
    assert "steering" not in keys(order(house, "wheel_shake"))
    closed(house, ("replace_part", "pitman_arm"), kind="wheel_shake")
    found = step(order(house, "wheel_shake"), "steering")
    assert (found.prior, found.found) == (0.0, 1)
    assert found.share == pytest.approx(1 / 11)


def test_groups_and_kinds_are_this_vehicle_s_own_joints_each_once(house: House) -> None:
    for of in (house.vehicle, heavy_truck(house)):
        found = order_of_looking(felt(house, of=of))
        shown = [joint for one in found.steps for joint in one.joints] + found.rest
        assert {joint.pk for joint in shown} == {joint.pk for joint in of.joints.all()}
        assert len(shown) == of.joints.count()
        assert [one for one in found.steps if not one.joints] == []
        assert found.rest == sorted(found.rest, key=lambda joint: joint.order)
    assert "leaf_springs" in keys(order_of_looking(felt(house, of=of)))
    assert "leaf_springs" not in keys(order(house))


def test_a_joint_that_is_not_fitted_is_not_looked_for(house: House) -> None:
    gone = house.joint("damper_link_end")
    Joint.objects.filter(pk=gone.pk).update(fitted="not_fitted")
    found = order(house)
    assert gone not in [joint for one in found.steps for joint in one.joints] + found.rest


TOLD: list[tuple[str, dict[str, bool], str, float]] = [
    # Complaint, what the driver told, the suspect and how its weight moves.
    ("wheel_shake", {"stopped_only_when_slowed": True}, "track_bar", 2),
    ("wheel_shake", {"stopped_only_when_slowed": False}, "track_bar", 1),
    ("wheel_shake", {"after_bump": True, "stopped_only_when_slowed": True}, "track_bar", 4),
    ("wheel_shake", {"after_bump": False}, "hubs", 2),
    ("wheel_shake", {"under_braking": True}, "hubs", 2),
    ("clunk", {"under_braking": True}, "links", 2),
    ("wheel_off_centre", {"sudden": True}, "drag_link", 2),
    ("hit_something", {"steering_changed": True}, "knuckles", 2),
    (SHAKE, {"after_bump": True}, "track_bar_frame_end", 1),
]


@pytest.mark.parametrize(("kind", "told", "key", "times"), TOLD)
def test_what_the_driver_told_moves_the_weights_and_says_so(
    house: House, kind: str, told: dict[str, bool], key: str, times: float
) -> None:
    asked, unasked = order(house, kind, **told), order(house, kind)

    def weight(found: OrderOfLooking) -> float:
        """Against a suspect that nothing told here moves."""
        fixed = {"wheel_shake": "wheel_nuts", "clunk": "knuckles", "wheel_off_centre": "tie_rod",
                 "hit_something": "wheel_nuts", SHAKE: "wheel_nuts"}[kind]  # fmt: skip
        return step(found, key).prior / step(found, fixed).prior

    assert weight(asked) / weight(unasked) == pytest.approx(times)
    assert bool(asked.tells) is (times > 1)
    assert unasked.tells == []


def test_a_shake_that_behaves_like_an_oscillating_axle_is_said_so(house: House) -> None:
    told = {"after_bump": True, "stopped_only_when_slowed": True}
    (text,) = order(house, "wheel_shake", **told).grave
    assert "that is how an oscillating axle behaves" in text
    assert order(house, "wheel_shake", after_bump=True).grave == []


def test_the_questions_are_as_many_for_one_ticket_and_for_forty(house: House) -> None:
    complaint = felt(house)
    for _ in range(2):
        with CaptureQueriesContext(
            connection,
        ) as asked:
            order_of_looking(complaint)
        assert len(asked) == 4
        for _ticket in range(20):
            closed(house, ("replace_track_bar", "track_bar_axle_end"))


def test_a_fleet_s_own_version_of_the_rule_is_the_one_in_force(house: House) -> None:
    row = Rule.objects.get(kind="complaint", key="pull")
    row.data = {**row.data, "order": [{"kind": "links", "weight": 1, "reason": {"en": "Ours."}}]}
    row.save()
    found = order(house, "pull")
    assert [(one.key, one.reason) for one in found.steps] == [("links", "Ours.")]


def test_a_whole_repair_counts_for_the_next_complaint(house: House) -> None:
    """Through the operations: complaint, ticket, work, check, road test, close; then again."""
    report = complain.Report(house.vehicle.pk, SHAKE)
    first = complain.report_complaint(house.driver, report, at=house.now).row
    joint = house.joint("track_bar_frame_end").pk
    new = repair.NewTicket(
        house.vehicle.pk, complaint_id=first.pk, lines=(("replace_track_bar", joint),)
    )
    ticket = repair.open_ticket(house.technician, new, at=house.now).row
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    for extra in ticket.lines.filter(state="open", action="set_toe"):
        house.record(extra, SET_TOE)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    house.later(days=40)
    again = complain.report_complaint(house.driver, report, at=house.now).row
    found = order_of_looking(again)
    assert (found.like, step(found, "track_bar_frame_end").found) == (1, 1)


HIDES = {"part_number": "D-1", "part_lot": "L1", "what": "shimmed", "done_by": "an outside shop",
         "sheet": "77"}  # fmt: skip


@pytest.mark.parametrize(
    ("action", "kind", "typed"),
    [
        ("retorque", "damper_link_end", RETORQUE),
        ("outside_shop", "damper_frame_end", HIDES),
        ("outside_shop", "wheel_tyre", HIDES),
        ("replace_part", "sway_bar_link", HIDES),
        ("full_alignment", None, HIDES),
    ],
)
def test_no_work_at_a_damper_or_on_pressures_alone_closes_an_oscillation(
    house: House, action: str, kind: str | None, typed: dict[str, Any]
) -> None:
    report = complain.Report(house.vehicle.pk, SHAKE)
    complain.report_complaint(house.driver, report, at=house.now)
    side = "left" if kind in ("wheel_tyre", "sway_bar_link") else ""
    with undone():
        ticket = house.ticket()
        house.add_line(ticket, action, kind, side)
        assert ("not_enough", "") in refusal(lambda: house.close(ticket))
        house.add_line(ticket, "replace_track_bar", "track_bar_frame_end")
        assert ("not_enough", "") not in refusal(lambda: house.close(ticket))
