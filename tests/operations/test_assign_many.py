"""Many rechecks handed over at once: what can't be is told and leaves the others be."""

import pytest

from fleet.operations.assign import assign_many
from fleet.operations.errors import NotAllowed, Refused
from fleet.operations.vehicles import change_vehicle
from fleet.records.models import Recheck, TrailEntry, Vehicle
from tests import build, people
from tests.operations.conftest import House
from tests.operations.verbs import key


def rows(house: House) -> list[Recheck]:
    return [build.recheck(house.vehicle, ladder=f"l{n}") for n in range(3)]


def test_many_at_once_each_with_its_own_entry(house: House) -> None:
    made, who = rows(house), house.technician.person
    handed = assign_many(house.manager, [row.pk for row in made], who.pk, at=house.now)
    assert (handed.done, handed.problems) == (3, {})
    assert Recheck.objects.filter(assigned_to=who).count() == 3
    told = TrailEntry.objects.filter(verb="assign_recheck")
    assert told.count() == 3
    assert len(set(told.values_list("gesture", flat=True))) == 1
    assert TrailEntry.objects.get(verb="assign_rechecks").after == {"lines": 3}


def test_what_can_not_be_is_told_line_by_line(house: House) -> None:
    made, far = rows(house), build.yard("Mesa Tank")
    there = build.recheck(build.vehicle(far, "M-1", design=house.design))
    Recheck.objects.filter(pk=made[0].pk).update(state="done", done_at=house.now)
    ids = [made[0].pk, made[1].pk, there.pk, 987_654]
    handed = assign_many(house.manager, ids, house.technician.person.pk, at=house.now)
    assert handed.done == 1
    assert {pk: one.code for pk, one in handed.problems.items()} == {
        made[0].pk: "not_owed", there.pk: "person_wrong", 987_654: "not_there"
    }  # fmt: skip
    assert "M-1" in handed.problems[there.pk].message


def test_to_nobody_takes_it_back(house: House) -> None:
    [row, *_rest] = rows(house)
    for who in (house.technician.person.pk, None):
        assign_many(house.manager, [row.pk], who, at=house.now)
        row.refresh_from_db()
        assert row.assigned_to_id == who


def test_sent_twice_it_is_done_once(house: House) -> None:
    ids = [row.pk for row in rows(house)]
    who = house.technician.person.pk
    said = [assign_many(house.manager, ids, who, at=house.now, request=key("k")).done
            for _time in (1, 2)]  # fmt: skip
    assert said == [3, 3]
    assert TrailEntry.objects.filter(verb="assign_rechecks").count() == 1


@pytest.mark.parametrize(("count", "code"), [(0, "none_chosen"), (501, "too_many")])
def test_none_and_too_many_are_refused(house: House, count: int, code: str) -> None:
    with pytest.raises(Refused) as refused:
        assign_many(house.manager, list(range(1, count + 1)), None, at=house.now)
    assert refused.value.problems[0].code == code


def test_a_technician_hands_nothing_over(house: House) -> None:
    with pytest.raises(NotAllowed):
        assign_many(house.technician, [rows(house)[0].pk], None, at=house.now)


def test_moved_to_another_yard_it_is_nobodys_who_is_not_of_it(house: House) -> None:
    far, both = build.yard("Mesa Tank"), people.person("Both", "technician", house.yard)
    both.postings.create(yard=far)
    mine, theirs = rows(house)[:2]
    assign_many(house.manager, [mine.pk], house.technician.person.pk, at=house.now)
    assign_many(house.manager, [theirs.pk], both.pk, at=house.now)
    change_vehicle(house.manager, house.vehicle.pk, {"yard_id": far.pk}, at=house.now)
    for row in (mine, theirs):
        row.refresh_from_db()
    assert (mine.assigned_to, theirs.assigned_to) == (None, both)
    assert Vehicle.objects.get().yard == far
