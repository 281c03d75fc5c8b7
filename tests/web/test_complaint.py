"""A complaint by the driver: what must be done now, and what the yard answers."""

from typing import Any

from fleet.records.models import Complaint, ComplaintAnswer, Hold
from tests import build, people
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

NEW = "/vehicles/A-101/complaint/"


def complain(send: Send, house: House, **typed: str) -> Complaint:
    said = {"kind": "axle_oscillation", "speed_typed": "42 mph", "after_bump": "yes", **typed}
    send(house.driver.person, NEW, **said)
    return Complaint.objects.latest("id")


def test_oscillation_holds_and_the_driver_is_told_to_stop_and_whom_to_call(
    send: Send, get: Get, house: House
) -> None:
    complaint = complain(send, house)
    assert Hold.objects.get().complaint == complaint
    page = get(house.driver.person, f"/complaints/{complaint.pk}/").text
    assert "Stop. Do not drive on. Call" in page
    assert '<a class="target" href="tel:555-0100">555-0100</a>' in page


def test_what_was_not_said_is_kept_as_not_known(send: Send, house: House) -> None:
    complaint = complain(send, house)
    assert complaint.after_bump is True
    assert complaint.under_braking is None
    assert complaint.sudden is None


def test_a_clunk_does_not_hold(send: Send, get: Get, house: House) -> None:
    complaint = complain(send, house, kind="clunk")
    page = get(house.driver.person, f"/complaints/{complaint.pk}/").text
    assert not Hold.objects.exists()
    assert "Stop. Do not drive on." not in page


def test_a_speed_without_sense_is_refused_beside_its_field_and_what_was_typed_stays(
    send: Send, house: House
) -> None:
    page = send(house.driver.person, NEW, 400, kind="wander", speed_typed="fast", load="two bales")
    assert page.context["form"].errors == {"speed_typed": ["Type a speed like 45 mph or 70 km/h."]}
    assert 'value="two bales"' in page.text
    assert not Complaint.objects.exists()


def test_a_day_to_come_is_refused(send: Send, house: House) -> None:
    page = send(house.driver.person, NEW, 400, kind="wander", occurred_at="2026-12-24T10:00")
    assert "This is still to come. Type when it was." in page.text


def test_the_moment_is_read_in_the_yards_zone(send: Send, house: House) -> None:
    complaint = complain(send, house, occurred_at="2026-11-25T08:30")
    assert complaint.occurred_at.isoformat() == "2026-11-25T15:30:00+00:00"


def test_a_double_click_makes_one_complaint(send: Send, house: House) -> None:
    typed = {"kind": "clunk", "request_key": "the same click"}
    first = send(house.driver.person, NEW, **typed)
    second = send(house.driver.person, NEW, **typed)
    assert first.url == second.url
    assert Complaint.objects.count() == 1


def test_a_form_sent_again_with_other_words_asks_first(send: Send, house: House) -> None:
    send(house.driver.person, NEW, kind="clunk", request_key="one")
    page = send(house.driver.person, NEW, 400, kind="wander", request_key="one")
    assert "Send it again to record this too." in page.text
    key = page.context["form"]["request_key"].value()
    send(house.driver.person, NEW, kind="wander", request_key=key)
    assert Complaint.objects.count() == 2


def test_the_driver_reads_the_yards_answer(send: Send, get: Get, house: House) -> None:
    complaint = complain(send, house)
    path = f"/complaints/{complaint.pk}/"
    send(house.technician.person, f"{path}answer/", text="Bar end replaced. It is yours again.")
    assert ComplaintAnswer.objects.get().complaint == complaint
    assert "Bar end replaced." in get(house.driver.person, path).text
    send(house.driver.person, f"{path}answer/", 403, text="Thanks")


def test_a_stranger_finds_no_such_vehicle_and_no_such_complaint(
    send: Send, get: Get, house: House
) -> None:
    complaint = complain(send, house)
    stranger = people.stranger(build.yard("Mesa Tank"))
    get(stranger, NEW, 404)
    get(stranger, f"/complaints/{complaint.pk}/", 404)
    send(stranger, f"/complaints/{complaint.pk}/answer/", 404, text="x")


def test_the_order_of_looking_stands_on_the_page_with_shares_finds_and_reasons(
    send: Send, get: Get, house: House
) -> None:
    complaint = complain(send, house)
    page = get(house.technician.person, f"/complaints/{complaint.pk}/")
    text = " ".join(page.text.split())
    assert "Order of looking" in text
    assert "1. Wheel nuts" in text
    assert "The joint most often behind violent axle oscillation." in text
    assert "none yet" in text
    over: dict[str, Any] = {
        "state": "closed", "closed_at": build.NOW, "closed_by": house.manager.person,
    }  # fmt: skip
    before = build.complaint(house.vehicle, house.driver.person)
    job = build.ticket(house.vehicle, house.technician.person, complaint=before, **over)
    build.line(job, house.joint("track_bar_axle_end"), action="replace_track_bar", state="closed")
    text = " ".join(get(house.technician.person, f"/complaints/{complaint.pk}/").text.split())
    assert "found 1 of 1" in text
    assert "found 0 of 1" in text


def test_a_shake_that_sounds_like_more_is_warned_of(send: Send, get: Get, house: House) -> None:
    told = {"after_bump": "yes", "stopped_only_when_slowed": "yes"}
    complaint = complain(send, house, kind="wheel_shake", **told)
    text = get(house.technician.person, f"/complaints/{complaint.pk}/").text
    assert '<p class="warning">It began after a bump and stopped only when slowed' in text


def test_the_driver_is_told_what_to_do_and_not_what_it_may_be(
    send: Send, get: Get, house: House
) -> None:
    complaint = complain(send, house)
    assert "Order of looking" not in get(house.driver.person, f"/complaints/{complaint.pk}/").text
