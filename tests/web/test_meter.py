"""A meter reading: taken, refused with the reason, accepted by a manager, withdrawn."""

from datetime import timedelta

import time_machine

from fleet.operations.meters import Reading, record_meter
from fleet.records.models import MeterReading
from tests import build
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

HERE = "/vehicles/A-101/meter/"
BACKWARDS = "Read it again; if the meter was replaced, say so."


def test_a_driver_records_a_reading(send: Send, get: Get, house: House) -> None:
    send(house.driver.person, HERE, typed="48,900")
    assert "48,900 miles" in get(house.driver.person, HERE).text


def test_a_meter_running_backwards_is_refused_beside_the_field(send: Send, house: House) -> None:
    page = send(house.driver.person, HERE, 400, typed="47000", reason="because I say so")
    assert BACKWARDS in page.context["form"].errors["typed"][0]
    assert 'value="47000"' in page.text
    assert "Accept all the same" not in page.text


def test_a_replaced_meter_may_start_low(send: Send, house: House) -> None:
    send(house.driver.person, HERE, typed="12", new_meter="on")
    assert MeterReading.objects.latest("id").kind == "new_meter"


def test_what_is_no_figure_is_refused_with_an_example(send: Send, house: House) -> None:
    page = send(house.driver.person, HERE, 400, typed="1e400")
    assert "Type it like this" in page.context["form"].errors["typed"][0]


def test_a_manager_is_asked_why_and_may_accept_all_the_same(send: Send, house: House) -> None:
    page = send(house.manager.person, HERE, 400, typed="47000")
    assert "Accept all the same, because" in page.text
    send(house.manager.person, HERE, typed="47000", reason="Read twice; the last one was a slip.")
    assert MeterReading.objects.latest("id").reason == "Read twice; the last one was a slip."


def test_a_manager_withdraws_a_wrong_reading_which_stays_on_file(
    send: Send, get: Get, house: House
) -> None:
    send(house.driver.person, HERE, typed="48,900")
    wrong = MeterReading.objects.latest("id")
    send(house.driver.person, f"{HERE}{wrong.pk}/withdraw/", 403, reason="slip")
    page = send(house.manager.person, f"{HERE}{wrong.pk}/withdraw/", 400, reason="")
    assert "Say why, in a few words." in page.text
    send(house.manager.person, f"{HERE}{wrong.pk}/withdraw/", reason="slip of a finger")
    page = get(house.manager.person, HERE)
    assert "Withdrawn by Manager: slip of a finger" in page.text
    assert "<s>48,900 miles</s>" in page.text


def test_another_vehicles_reading_is_not_found_here(get: Get, house: House) -> None:
    other = build.vehicle(house.yard)
    row = build.meter(other, 100, house.manager.person)
    get(house.manager.person, f"{HERE}{row.pk}/withdraw/", 404)


def weekly(house: House, weeks: int = 10) -> None:
    """350 miles a week, read by a technician up to the page's own day."""
    house.now = build.NOW - timedelta(weeks=weeks)
    for week in range(weeks + 1):
        typed = f"{48_000 + week * 350:,}"
        record_meter(house.technician, Reading(house.vehicle.pk, typed), at=house.now)
        house.later(weeks=1)


def test_the_page_says_low_likely_and_high_and_what_they_mean_for_what_is_owed(
    get: Get, house: House
) -> None:
    weekly(house)
    page = get(house.manager.person, HERE)
    usage = page.context["usage"]
    assert usage.use.rate_low < usage.use.rate_likely < usage.use.rate_high
    assert "50 mi a day" in page.text
    (item,) = usage.owed
    assert item.left_si == item.recheck.due_use_si - usage.use.last_use_si
    assert "Owed by the meter" in page.text


def test_a_driver_sees_the_use_but_not_what_is_owed(get: Get, house: House) -> None:
    weekly(house)
    page = get(house.driver.person, HERE)
    assert "50 mi a day" in page.text
    assert page.context["usage"].owed == []


def test_the_page_says_why_nothing_or_little_can_be_projected(get: Get, house: House) -> None:
    text = get(house.driver.person, HERE).text
    assert "three readings over at least a week give a rate" in text
    weekly(house)
    with time_machine.travel(build.NOW + timedelta(days=50), tick=False):
        text = get(house.driver.person, HERE).text
    assert "Not read since Nov 25, 2026: projected days mean little." in text


def test_where_the_old_meter_stood_is_kept_with_the_new_one_s_first_reading(
    send: Send, house: House
) -> None:
    send(house.driver.person, HERE, typed="12", new_meter="on", old_meter="48,210")
    assert [row.typed for row in MeterReading.objects.order_by("id")][-2:] == ["48,210", "12"]
    page = send(house.driver.person, HERE, 400, typed="40", old_meter="48,300")
    assert "Only for a meter that was replaced." in page.context["form"].errors["old_meter"][0]
