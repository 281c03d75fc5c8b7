"""Torque at close-out: the band it lies in and the joint that it belongs to."""

from datetime import date
from typing import Any

import pytest

from fleet.operations import specs
from fleet.records.models import (
    TorqueReading,
    TorqueSpec,
)
from tests.operations.conftest import RETORQUE, START, House, a_spec, a_tool
from tests.operations.tables import refusal, row_counts, undone

FRAME = "track_bar_frame_end"
DAMPER = "damper_link_end"


def lacks(house: House, joint: str, **typed: Any) -> set[tuple[str, str]]:
    """What the close of one retorque line names beside the steps still to take."""
    ticket = house.ticket(("retorque", joint))
    house.record(house.line(ticket, "retorque"), RETORQUE, **typed)
    steps = ("second_check_missing", "")
    try:
        return refusal(lambda: house.close(ticket)) - {steps}
    except pytest.fail.Exception:
        return set()


BANDS = [
    # joint, torque, what else was typed, what is named; the figure is 115 to 135 lbf·ft
    (FRAME, "114", {}, {("torque_below", "torque")}),
    (FRAME, "114", {"out_of_band_reason": "no room"}, {("torque_below", "torque")}),
    (FRAME, "114", {"new_fastener": "yes"}, {("torque_below", "torque")}),
    (FRAME, "115", {}, set()),
    (FRAME, "135", {}, set()),
    (FRAME, "136", {}, {("torque_above", "new_fastener")}),
    (FRAME, "136", {"out_of_band_reason": "habit"}, {("torque_above", "new_fastener")}),
    (FRAME, "136", {"new_fastener": "no"}, {("torque_above", "new_fastener")}),
    (FRAME, "136", {"new_fastener": "yes"}, set()),
    (DAMPER, "114", {}, {("torque_below", "torque")}),
    (DAMPER, "114", {"out_of_band_reason": "rubber end"}, set()),
    (DAMPER, "136", {}, {("torque_above", "out_of_band_reason")}),
    (DAMPER, "136", {"out_of_band_reason": "rubber end"}, set()),
    ("pitman_arm", "125", {}, {("no_spec", "out_of_band_reason")}),
    ("pitman_arm", "125", {"out_of_band_reason": "Foothill manual, page 12"}, set()),
    ("sway_bar_mounts", "125", {}, set()),
]


def test_the_band_decides_what_a_line_still_needs(house: House, subtests: pytest.Subtests) -> None:
    """Below never closes a hold joint, above needs a new fastener; elsewhere a reason."""
    specs.set_spec(house.manager, a_spec(house.design, DAMPER), at=START)
    for joint, torque, more, named in BANDS:
        with subtests.test(joint=joint, torque=torque, more=more), undone():
            assert lacks(house, joint, torque=f"{torque} lbf·ft", **more) == named


def test_a_thousandth_is_rounding(house: House) -> None:
    # 156 N·m is 115.06 lbf·ft; 155.9 N·m is 114.99 lbf·ft, typed from a scale in N·m.
    assert lacks(house, FRAME, torque="155.9 N·m") == set()


HUB = {
    "part_number": "H-1", "part_lot": "L2", "as_found": "worn_out", "torque": "125 lbf·ft",
    "tool": "TW-1", "thread_condition": "dry", "axle_nut_fitted": "yes",
    "axle_nut_torque": "175 lbf·ft", "axle_nut_tool": "TW-1", "before_weight": True,
    "wheel_off": "no", "out_of_band_reason": "Foothill manual, page 40",
}  # fmt: skip


def test_hub_and_axle_nut_are_each_pulled_at_their_own_figure(house: House) -> None:
    specs.set_spec(house.manager, a_spec(house.design, "hub_bolts"), at=START)
    nut = a_spec(house.design, "axle_nut", low="170 lbf·ft", high="180 lbf·ft")
    specs.set_spec(house.manager, nut, at=START)
    ticket = house.ticket()
    house.add_line(ticket, "unit_hub", "unit_bearing", "left")
    line = house.line(ticket, "unit_hub")
    house.record(line, HUB)
    pulled = {reading.joint.kind.code: reading for reading in TorqueReading.objects.all()}
    assert set(pulled) == {"hub_bolts", "axle_nut"}
    assert {reading.joint.side for reading in pulled.values()} == {"left"}
    assert {reading.band for reading in pulled.values()} == {"inside"}
    house.record(line, HUB, axle_nut_torque="160 lbf·ft")
    assert ("torque_below", "axle_nut_torque") in refusal(lambda: house.close(ticket))
    old = a_tool(house.manager, house.yard, "TW-9", good_until=date(2026, 4, 1))
    house.record(line, HUB, axle_nut_tool=old.code)
    assert ("tool_out_of_date", "axle_nut_tool") in refusal(lambda: house.close(ticket))


TYRE = {
    "as_found": "worn_out", "pressure": "35 psi", "balance": "balanced",
    "run_out_checked": "eye", "replaced": "tyre", "wheel_off": "yes", "torque": "125 lbf·ft",
    "tool": "TW-1", "thread_condition": "dry",
}  # fmt: skip


def test_the_wheel_nuts_torque_is_judged_as_the_wheel_nuts_though_the_line_is_the_tire_s(
    house: House,
) -> None:
    specs.set_spec(house.manager, a_spec(house.design, "wheel_nuts"), at=START)
    ticket = house.ticket()
    house.add_line(ticket, "tyre_or_wheel", "wheel_tyre", "right")
    line = house.line(ticket, "tyre_or_wheel")
    house.record(line, TYRE, torque="100 lbf·ft")
    assert ("torque_below", "torque") in refusal(lambda: house.close(ticket))
    house.record(line, TYRE)
    reading = TorqueReading.objects.latest("id")
    assert (reading.joint.kind.code, reading.joint.side) == ("wheel_nuts", "right")
    assert house.joint("wheel_nuts", "right").state.last_torque == reading


def test_an_angle_bolt_is_replaced_never_retorqued(house: House) -> None:
    by_angle = a_spec(house.design, FRAME, angle_degrees=90.0)
    specs.set_spec(house.manager, by_angle, at=START)
    assert refusal(lambda: house.ticket(("retorque", FRAME))) == {("never_retorqued", "action")}


def test_a_reading_keeps_the_figure_it_was_judged_by(house: House) -> None:
    ticket = house.ticket(("retorque", FRAME))
    house.record(house.line(ticket, "retorque"), RETORQUE)
    reading = TorqueReading.objects.get()
    specs.set_spec(house.manager, a_spec(house.design, FRAME, low="140", high="150"), at=START)
    reading.refresh_from_db()
    assert (reading.spec.version, reading.band) == (1, "inside")  # type: ignore[union-attr]
    assert TorqueSpec.objects.get(kind=reading.joint.kind, is_current=True).version == 2


def test_turned_and_assembled_are_told_apart(house: House) -> None:
    """A retorque that did not turn it leaves the spell running."""
    ticket = house.ticket(("retorque", FRAME))
    line = house.line(ticket, "retorque")
    for turned, degrees in (("no", ""), ("yes", "15")):
        house.record(line, RETORQUE, turned=turned, degrees=degrees)
        reading = TorqueReading.objects.latest("id")
        assert (reading.turned, reading.assembled) == (turned == "yes", False)


SHOP = {"origin": "shop", "source": "Alder yard, invented"}


def test_a_shop_figure_above_the_factory_s_needs_hardware_and_a_reason(
    house: House, subtests: pytest.Subtests
) -> None:
    above = {**SHOP, "low": "135 lbf·ft", "high": "145 lbf·ft"}
    cases: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
        (above, {("above_factory", "high")}),
        ({**above, "reason": "keeps loosening"}, {("above_factory", "high")}),
        ({**above, "new_fastener": True}, {("above_factory", "high")}),
        ({**above, "source": " "}, {("source_missing", "source")}),
        ({**above, "high": "10 lbf·ft"}, {("high_below_low", "high")}),
        ({**above, "origin": "rumour"}, {("origin_unknown", "origin")}),
        ({**above, "thread_condition": "wet"}, {("thread_condition_unknown", "thread_condition")}),
    ]
    before = row_counts()
    for changed, expected in cases:
        with subtests.test(changed=changed):
            given = a_spec(house.design, FRAME, **changed)
            assert refusal(specs.set_spec, house.manager, given, at=START) == expected
            assert row_counts() == before
    good = a_spec(house.design, FRAME, **above, new_fastener=True, reason="class 10.9 bolt")
    row = specs.set_spec(house.manager, good, at=START).row
    assert row.is_target
    factory = TorqueSpec.objects.get(kind=row.kind, origin="factory")
    assert (factory.is_current, factory.is_target) == (True, False)
