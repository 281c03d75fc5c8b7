"""The road test of a recheck, recorded by hand: its caution, its steps, and both halves."""

import pytest

from fleet.records.models import Hold, Recheck, RecheckDrive, Vehicle
from tests import build, people
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

STEPS = {"driver": "A driver", "place": "yard loop", "speeds": "20, 35, 45 mph"}


@pytest.fixture
def owed(house: House) -> Recheck:
    """Owed since five of its seven days, after an oscillation was closed."""
    start = build.NOW.replace(day=20)
    return build.recheck(
        house.vehicle, kind="dry_steer", ladder="oscillation_closed", methods=["dry_steer"],
        road_test=True, started_at=start, due_in=2,
    )  # fmt: skip


def path(owed: Recheck) -> str:
    return f"/due/{owed.pk}/road-test/"


def test_the_caution_stands_where_it_is_recorded(get: Get, house: House, owed: Recheck) -> None:
    page = get(house.technician.person, path(owed)).text
    assert "Oscillation is never provoked. Speed goes up in steps" in page
    assert "stop at the first sign" in page
    assert "The dry steer is still owed" in page


def test_due_leads_to_the_sheet_first_and_then_to_the_road_test(
    get: Get, send: Send, house: House, owed: Recheck
) -> None:
    page = get(house.technician.person, "/due/").text
    assert f"?recheck={owed.pk}" in page
    assert "dry steer and road test" in page
    house.now = build.NOW.replace(hour=8)
    joints = [
        j for j in house.vehicle.joints.select_related("kind")
        if j.kind.holds and "dry_steer" in j.kind.play_methods
    ]  # fmt: skip
    sheet = house.inspect(
        *[house.look(j.kind.code, "no_play", j.side, method="dry_steer") for j in joints],
        kind="recheck",
    )
    said = get(house.technician.person, f"/inspections/{sheet.pk}/").text
    assert "The road test is still owed." in said
    page = get(house.technician.person, "/due/").text
    assert "dry steer made; road test still owed" in page
    assert f'href="{path(owed)}"' in page
    send(house.technician.person, path(owed), **STEPS, passed="yes")
    owed.refresh_from_db()
    assert owed.state == "done"


def test_what_can_t_stand_is_told_beside_its_field(send: Send, house: House, owed: Recheck) -> None:
    typed = {**STEPS, "speeds": "45 mph"}
    page = send(house.technician.person, path(owed), 400, **typed, passed="yes")
    assert page.context["form"].errors["speeds"] == [
        "Speed goes up in steps: give each step reached, like 20, 35, 45 mph."
    ]
    assert 'value="45 mph"' in page.text
    assert not RecheckDrive.objects.exists()


def test_one_that_does_not_pass_holds(send: Send, house: House, owed: Recheck) -> None:
    send(house.technician.person, path(owed), **STEPS, passed="no", note="Shook at 35.")
    assert "Shook at 35." in Hold.objects.get(lifted_at=None).text


def test_sent_twice_it_is_one(send: Send, house: House, owed: Recheck) -> None:
    for _time in range(2):
        send(house.technician.person, path(owed), **STEPS, passed="yes", request_key="one")
    assert RecheckDrive.objects.count() == 1


def test_where_none_is_owed_there_is_no_such_page(get: Get, house: House, owed: Recheck) -> None:
    other = Recheck.objects.get(ladder="routine")
    get(house.technician.person, path(other), 404)
    get(people.stranger(build.yard("Mesa Tank")), path(owed), 404)
    get(house.driver.person, path(owed), 403)


def test_laid_up_it_waits_and_says_so(get: Get, house: House, owed: Recheck) -> None:
    Vehicle.objects.update(status="laid_up", laid_up_on=build.NOW.date())
    page = get(house.manager.person, "/due/").text
    assert "laid up: looked at before it goes out" in page


def test_a_meter_read_too_seldom_says_how_often_it_is_still_wanted(
    get: Get, house: House, owed: Recheck
) -> None:
    assert "needs 2 more meter readings" in get(house.manager.person, "/due/").text
