"""One sending names all: what was left out, and what can't be read of the rest."""

from fleet.records.models import Complaint, TorqueTool
from tests.operations.conftest import House
from tests.web.conftest import Send

SPEED = ["Type a speed like 45 mph or 70 km/h."]


def test_a_missing_word_keeps_no_unreadable_figure_back(send: Send, house: House) -> None:
    typed = {"kind": "set", "yard_id": str(house.yard.pk), "name": "3/8 in click", "code": ""}
    figures = {"low_typed": "few", "high_typed": "100 N·m", "lever_typed": "long"}
    page = send(house.manager.person, "/tools/new/", 400, **typed, **figures)
    named = page.context["form"].errors
    assert set(named) == {"code", "low_typed", "lever_typed"}
    # Nothing that was typed is lost, and what can be read is left in peace.
    assert 'value="few"' in page.text
    assert 'value="100 N·m"' in page.text
    page = send(house.manager.person, "/tools/new/", 400, **{**typed, "code": "TW-5"}, **figures)
    assert page.context["form"].errors["low_typed"] == named["low_typed"]
    assert not TorqueTool.objects.filter(name="3/8 in click").exists()


def test_a_speed_is_read_with_its_vehicle_in_the_same_answer(send: Send, house: House) -> None:
    page = send(
        house.driver.person, "/vehicles/A-101/complaint/", 400, speed_typed="40 knots", text="A hum"
    )
    named = page.context["form"].errors
    assert named["speed_typed"] == SPEED
    assert set(named) == {"speed_typed", "kind"}
    assert not Complaint.objects.exists()


def test_a_meter_is_read_in_the_same_answer_as_a_wrong_moment(send: Send, house: House) -> None:
    page = send(
        house.driver.person, "/vehicles/A-101/meter/", 400, typed="many", old_meter="few",
        occurred_at="2031-02-03T10:00",
    )  # fmt: skip
    assert set(page.context["form"].errors) == {"typed", "old_meter", "occurred_at"}


def test_a_line_names_its_problems_in_the_order_of_its_fields(send: Send, house: House) -> None:
    ticket = house.ticket(("centre_wheel", None))
    line = house.line(ticket, "centre_wheel")
    wrong = {"turns_lock_to_lock": "lots", "degrees_before": "left a bit"}
    page = send(
        house.technician.person, f"/tickets/{ticket.pk}/lines/{line.pk}/", 400, **wrong,
        occurred_at="2031-02-03T10:00",
    )  # fmt: skip
    named = [name for name in page.context["form"].fields if name in page.context["form"].errors]
    assert named == [*wrong, "occurred_at"]
