"""What intervals shall keep: shares and costs as typed, with versions."""

import pytest

from fleet.operations.errors import Conflict, Refused
from fleet.operations.interval_aims import NewAims, set_aims
from fleet.reads.intervals.aims import Aims, aims_now
from fleet.records.models import Rule
from tests.operations.conftest import House


def test_as_delivered_nine_of_ten_and_no_costs(house: House) -> None:
    assert aims_now() == Aims(0.9, 0.9, None, None, version=4)


def test_what_is_typed_is_put_on_file_as_the_next_version(house: House) -> None:
    set_aims(house.manager, NewAims("97,5", "95", "120", "900.50"), at=house.now)
    assert aims_now() == Aims(0.975, 0.95, 120.0, 900.5, version=8)
    old = Rule.objects.get(key="interval_target", version=1)
    assert (old.data["value"], old.is_current) == (0.9, False)


def test_what_is_left_as_it_was_gets_no_version(house: House) -> None:
    set_aims(house.manager, NewAims("95", "90"), at=house.now)
    assert aims_now().version == 5


@pytest.mark.parametrize(
    ("new", "field"),
    [
        (NewAims("49", "90"), "target"),
        (NewAims("100", "90"), "target"),
        (NewAims("", "90"), "target"),
        (NewAims("90", "most"), "confidence"),
        (NewAims("90", "nan"), "confidence"),
        (NewAims("90", "90", "$120", "900"), "planned_cost"),
        (NewAims("90", "90", "1,200", "9000"), "planned_cost"),
        (NewAims("90", "90", "120", "-1"), "unplanned_cost"),
        (NewAims("90", "90", "120", ""), "unplanned_cost"),
    ],
)
def test_what_can_t_stand_is_refused_beside_its_field(
    house: House, new: NewAims, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        set_aims(house.manager, new, at=house.now)
    assert {problem.field for problem in refused.value.problems} == {field}
    assert aims_now().version == 4


def test_somebody_else_s_change_in_between_is_told(house: House) -> None:
    set_aims(house.manager, NewAims("95", "90"), at=house.now)
    with pytest.raises(Conflict):
        set_aims(house.manager, NewAims("80", "90"), at=house.now, expected_version=4)
