"""Right-hand drive mirrors the linkage: a joint of one side only stands on the other."""

import pytest

from fleet.operations.actor import server_actor
from fleet.operations.new_joints import make_joints_of
from fleet.operations.reference import load_reference
from fleet.records.models import Joint, Layout, Vehicle
from tests import build
from tests.build import NOW

CODES = {
    "axle": "four_link_coil",
    "linkage": "crossing",
    "knuckle": "ball_joint",
    "hub": "unit_hub",
}


@pytest.mark.parametrize(("steering", "side"), [("left", "left"), ("right", "right")])
def test_the_tie_rods_own_knuckle_is_on_the_drivers_side(
    db: None, steering: str, side: str
) -> None:
    load_reference(server_actor("command"), at=NOW)
    layouts = {axis: Layout.objects.get(code=code) for axis, code in CODES.items()}
    crossing = build.design("Crossing", **layouts)
    truck = Vehicle.objects.create(
        unit_number="R-1", design=crossing, yard=build.yard(), duty="gravel", meter_unit="mi",
        steering_side=steering,
    )  # fmt: skip
    make_joints_of([truck])
    sides = Joint.objects.filter(vehicle=truck).values_list("side", flat=True)
    assert list(sides.filter(kind__code="tie_rod_end")) == [side]
    assert sorted(sides.filter(kind__code="wheel_nuts")) == ["left", "right"]
    assert list(sides.filter(kind__code="pitman_arm")) == [""]
