"""Beside a line's fields and readings: what they come to, flagged only where it matters."""

from typing import Any

from fleet.operations import specs
from fleet.records.models import Design, Joint, TicketLine
from tests.operations.conftest import RETORQUE, SET_TOE, House, a_spec
from tests.web.conftest import Get, Send
from tests.web.test_ticket import form_of, page_of, typed

BOLT = {"thread": "M10 × 1.5", "strength_class": "10.9"}


def on_bolt(house: House, **changed: Any) -> None:
    """The factory's 40 lbf·ft for a track bar's axle end; on which bolt is invented."""
    values = {"low": "40 lbf·ft", "high": "", **BOLT, **changed}
    new = a_spec(house.vehicle.design, "track_bar_axle_end", **values)
    specs.set_spec(house.manager, new, at=house.now)


def a_retorque(house: House, kind: str = "track_bar_axle_end") -> TicketLine:
    return house.line(house.ticket(("retorque", kind)), "retorque")


def told(get: Get, house: House, line: TicketLine, **query: Any) -> str:
    text: str = get(house.technician.person, f"{form_of(line)}told/", **query).text
    return text


def test_a_torque_tells_its_clamp_load_as_it_is_typed(get: Get, house: House) -> None:
    on_bolt(house)
    line = a_retorque(house)
    calm = told(get, house, line, about="torque", torque="40", thread_condition="dry")
    assert "Clamp load 3,900 – 6,300 lbf, 36 – 59 % of proof: between the bounds" in calm
    grave = told(get, house, line, about="torque", torque="60", thread_condition="anti_seize")
    assert 'class="warning"' in grave
    assert "the factory's figure to 7,300 – 10,600 lbf" in grave
    assert told(get, house, line, about="torque", torque="wrench").strip() == ""


def test_a_refusal_says_why_in_a_few_words(get: Get, house: House) -> None:
    specs.set_spec(house.manager, a_spec(house.vehicle.design, "tie_rod_end"), at=house.now)
    joint = Joint.objects.filter(vehicle=house.vehicle, kind__code="tie_rod_end").first()
    assert joint is not None
    line = TicketLine.objects.create(
        ticket=a_retorque(house).ticket, joint=joint, action="retorque", position=9
    )
    said = told(get, house, line, about="torque", torque="60")
    assert "Clamp load is not worked out: tapered stud" in said


def test_the_page_of_a_ticket_tells_only_what_matters(get: Get, send: Send, house: House) -> None:
    on_bolt(house, thread_condition="anti_seize", low="30 lbf·ft")
    line = a_retorque(house)
    at_figure = {**RETORQUE, "torque": "30 lbf·ft", "thread_condition": "anti_seize"}
    send(house.technician.person, form_of(line), **typed(at_figure))
    assert "Clamp load" not in get(house.technician.person, page_of(line.ticket)).text
    send(house.technician.person, form_of(line), **typed({**at_figure, "torque": "60 lbf·ft"}))
    page = get(house.technician.person, page_of(line.ticket)).text
    assert "Above the factory" in page
    assert "This comes to" in page


def test_the_form_shows_again_what_was_recorded_came_to(get: Get, send: Send, house: House) -> None:
    line = house.line(house.ticket(("set_toe", None)), "set_toe")
    assert "As found:" not in get(house.technician.person, form_of(line)).text
    send(house.technician.person, form_of(line), **typed(SET_TOE))
    text = get(house.technician.person, form_of(line)).text
    assert "As found: 3/16 in (4.8 mm) toe-in, above the maker&#x27;s range" in text
    assert "As left: 1/16 in (1.6 mm) toe-in, within the maker&#x27;s range." in text
    assert "° both wheels" in text
    page = get(house.technician.person, page_of(line.ticket)).text
    assert "As left: 1/16 in (1.6 mm) toe-in" in page


def test_toe_still_out_says_the_turns_or_what_is_missing(get: Get, house: House) -> None:
    line = house.line(house.ticket(("set_toe", None)), "set_toe")
    read = {"found_rear": "46 1/4", "found_front": "46", "toe_span": "29", "toe_basis": "spec"}
    lacking = told(get, house, line, **read)
    assert "not known here is steering arm, threads of the tie-rod sleeve" in lacking
    assert "calculator=sleeve-turns" in lacking
    Design.objects.update(
        steering_arm_m=0.1778, tie_rod_lead_m=0.0254 / 18, tie_rod_other_lead_m=0.0254 / 18
    )
    turns = told(get, house, line, **read)
    assert "To the middle of the range:" in turns
    assert "counterclockwise" in turns


def test_a_slotted_nut_leads_to_the_reckoner_with_its_figure(get: Get, house: House) -> None:
    new = a_spec(house.vehicle.design, "drag_link_frame_end", low="50 lbf·ft", high="60 lbf·ft")
    specs.set_spec(house.manager, new, at=house.now)
    rod = house.line(house.ticket(("replace_rod_end", "drag_link_frame_end")), "replace_rod_end")
    page = get(house.technician.person, form_of(rod)).text
    assert "calculator=slotted-nut" in page
    assert "low=50+lbf%C2%B7ft&amp;high=60+lbf%C2%B7ft" in page
    assert "held_by=slotted_stud" in page


def test_no_other_nut_is_led_to_a_slot(get: Get, house: House) -> None:
    page = get(house.technician.person, form_of(a_retorque(house))).text
    assert "calculator=slotted-nut" not in page
