"""A ticket's page, its lines and their forms."""

from typing import Any

import pytest

from fleet.records.models import LineEntry, Ticket, TicketLine
from tests import build, people
from tests.operations.conftest import RETORQUE, SET_TOE, TRACK_BAR, House, a_tool
from tests.web.conftest import Get, Send


def typed(values: dict[str, Any]) -> dict[str, str]:
    """As a browser sends it: a box that is ticked says on, one that is not says nothing."""
    said = {name: "on" if value is True else value for name, value in values.items()}
    return {name: value for name, value in said.items() if value}


def page_of(ticket: Ticket, rest: str = "") -> str:
    return f"/tickets/{ticket.pk}/{rest}"


def form_of(line: TicketLine) -> str:
    return f"/tickets/{line.ticket_id}/lines/{line.pk}/"


@pytest.fixture
def ticket(house: House) -> Ticket:
    """A track bar to replace; toe comes with it."""
    return house.ticket(("replace_track_bar", "track_bar_frame_end"))


def test_a_new_ticket_opens_on_its_own_page(send: Send, get: Get, house: House) -> None:
    done = send(house.technician.person, "/vehicles/A-101/ticket/", title="Bar knocks")
    text = get(house.technician.person, done.url).text
    assert "Bar knocks" in text
    assert "No line yet: add what is to be done." in text


def test_a_vehicle_with_a_ticket_under_way_leads_to_it(
    get: Get, house: House, ticket: Ticket
) -> None:
    page = get(house.technician.person, "/vehicles/A-101/ticket/", 302)
    assert page.url == page_of(ticket)


def test_the_page_says_what_each_line_lacks_and_where_to_record_it(
    get: Get, house: House, ticket: Ticket
) -> None:
    text = get(house.technician.person, page_of(ticket)).text
    line = house.line(ticket, "replace_track_bar")
    assert f'<a href="{form_of(line)}#id_part_number">Part number is missing.</a>' in text
    assert "Spec 0 to 1/8 in" not in text


def test_the_steps_stand_in_order_with_the_present_one_marked(
    get: Get, house: House, ticket: Ticket
) -> None:
    def states() -> list[str]:
        work = get(house.technician.person, page_of(ticket)).context["work"]
        return [step.state for step in work.steps]

    assert states() == ["now", "later", "later", "later", "later"]
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    assert states() == ["done", "now", "later", "later", "later"]
    house.check(ticket)
    assert states() == ["done", "done", "now", "later", "later"]
    house.test_drive(ticket)
    assert states() == ["done", "done", "done", "done", "now"]
    house.close(ticket)
    assert states() == ["done"] * 5


def test_a_line_form_is_made_from_its_rule(get: Get, house: House, ticket: Ticket) -> None:
    page = get(house.technician.person, form_of(house.line(ticket, "replace_track_bar")))
    names = [asked.bound.name for asked in page.context["form"].asked]
    assert names[:3] == ["part_number", "part_lot", "as_found"]
    shown = page.text.replace("\N{NO-BREAK SPACE}", " ").replace("\N{WORD JOINER}", "")
    assert "Figure 115 lbf·ft – 135 lbf·ft" in shown
    assert "Foothill service manual, invented" in page.text
    assert "TW-1, good through March 1, 2027: half-inch wrench" in page.text.replace(
        "Mar. ", "March "
    )
    assert 'data-when="adjustable" data-is="[&quot;yes&quot;]"' in page.text


def test_a_line_recorded_whole_is_complete(send: Send, house: House, ticket: Ticket) -> None:
    line = house.line(ticket, "replace_track_bar")
    send(house.technician.person, form_of(line), **typed(TRACK_BAR))
    line.refresh_from_db()
    assert line.state == "complete"


def test_a_line_may_be_recorded_in_parts_and_keeps_what_it_had(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    line = house.line(ticket, "replace_track_bar")
    send(house.technician.person, form_of(line), part_number="TB-114", torque="125 lbf·ft")
    line.refresh_from_db()
    assert line.state == "open"
    form = get(house.technician.person, form_of(line)).context["form"]
    assert form["part_number"].value() == "TB-114"


def test_a_figure_that_cannot_be_read_is_refused_beside_its_field(
    send: Send, house: House, ticket: Ticket
) -> None:
    line = house.line(ticket, "replace_track_bar")
    page = send(house.technician.person, form_of(line), 400, torque="1e400", part_number="TB-114")
    errors = page.context["form"].errors
    assert list(errors) == ["torque"]
    assert "Type it like this" in errors["torque"][0]
    assert 'value="TB-114"' in page.text
    assert not LineEntry.objects.exists()


def test_the_wrench_is_judged_against_the_figure_on_the_ticket(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    line = house.line(ticket, "replace_track_bar")
    send(house.technician.person, form_of(line), **typed({**TRACK_BAR, "torque": "90 lbf·ft"}))
    text = get(house.technician.person, page_of(ticket)).text
    assert "90 lbf·ft: below the low side, by TW-1." in text
    assert "Torque 90 lbf·ft is below the low side of 115 lbf·ft – 135 lbf·ft." in text


def test_only_a_line_that_asks_for_a_torque_speaks_of_the_figure(
    get: Get, house: House, ticket: Ticket
) -> None:
    asks_none = build.line(ticket, house.joint(), action="clean_protect")
    asks = house.line(ticket, "replace_track_bar")
    figure = "Figure 115\N{NO-BREAK SPACE}lbf·ft"
    assert figure in get(house.technician.person, form_of(asks)).text
    assert figure not in get(house.technician.person, form_of(asks_none)).text


def test_a_wrench_out_of_calibration_is_named_and_may_not_close_a_hold_joint(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    a_tool(house.manager, house.yard, "TW-7", house.now.date().replace(month=10))
    line = house.line(ticket, "replace_track_bar")
    assert "TW-7, calibration ran out" in get(house.technician.person, form_of(line)).text
    send(house.technician.person, form_of(line), **typed({**TRACK_BAR, "tool": "TW-7"}))
    assert (
        "Torque tool TW-7 was out of calibration"
        in get(house.technician.person, page_of(ticket)).text
    )


def test_toe_is_worked_out_from_the_tape(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    send(house.technician.person, form_of(house.line(ticket, "set_toe")), **typed(SET_TOE))
    text = get(house.technician.person, page_of(ticket)).text
    assert "As found 3/16 in toe-in." in text
    assert "As left 1/16 in toe-in." in text
    assert "Spec 0 to 1/8 in, invented." in text


def test_somebody_elses_change_in_between_is_told_and_the_second_try_goes_through(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    line = house.line(ticket, "replace_track_bar")
    read = get(house.technician.person, form_of(line)).context["form"]["version"].value()
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    page = send(
        house.technician.person, form_of(line), 409, version=read, **typed(TRACK_BAR)
    )  # fmt: skip
    assert "was changed by somebody else while you worked" in page.text
    assert 'value="TB-114"' in page.text
    again = page.context["form"]["version"].value()
    send(house.technician.person, form_of(line), version=again, **typed(TRACK_BAR))
    line.refresh_from_db()
    assert line.state == "complete"


def test_a_double_click_records_a_line_once(send: Send, house: House, ticket: Ticket) -> None:
    line = house.line(ticket, "replace_track_bar")
    for _click in range(2):
        send(house.technician.person, form_of(line), request_key="one", **typed(TRACK_BAR))
    assert LineEntry.objects.count() == 1


def test_a_new_line_asks_where_first_and_offers_only_the_work_that_fits(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    where = page_of(ticket, "lines/new/")
    assert "Track bar, axle end" in get(house.technician.person, where).text
    joint = house.joint("track_bar_axle_end")
    page = get(house.technician.person, where, joint=joint.pk)
    offered = [value for value, _label in page.context["form"].fields["action"].choices]
    assert "retorque" in offered
    assert "set_toe" not in offered
    done = send(house.technician.person, where, joint=str(joint.pk), action="retorque")
    assert done.url == form_of(house.line(ticket, "retorque"))


def test_a_line_dropped_needs_a_reason_and_says_so_on_the_ticket(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    line = house.line(ticket, "replace_track_bar")
    page = send(house.technician.person, f"{form_of(line)}drop/", 400, reason="")
    assert "Say why, in a few words." in page.text
    send(house.technician.person, f"{form_of(line)}drop/", reason="the bar is sound")
    assert "the bar is sound" in get(house.technician.person, page_of(ticket)).text
    get(house.technician.person, form_of(line), 404)


def test_the_list_shows_what_is_under_way_what_waits_and_what_is_over(
    get: Get, house: House, ticket: Ticket
) -> None:
    def shown(show: str) -> list[Ticket]:
        return list(get(house.technician.person, "/tickets/", show=show).context["page"])

    assert (shown("open"), shown("waiting"), shown("over")) == ([ticket], [], [])
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    assert shown("waiting") == [ticket]
    house.check(ticket)
    assert (shown("waiting"), shown("checked")) == ([], [ticket])
    house.test_drive(ticket)
    house.close(ticket)
    assert (shown("open"), shown("over")) == ([], [ticket])


def test_a_stranger_and_a_driver_see_no_ticket(get: Get, house: House, ticket: Ticket) -> None:
    stranger = people.stranger(build.yard("Mesa Tank"))
    for path in (
        page_of(ticket),
        form_of(ticket.lines.get(action="set_toe")),
        page_of(ticket, "close/"),
    ):
        get(stranger, path, 404)
        get(house.driver.person, path, 403)
    assert list(get(stranger, "/tickets/").context["page"]) == []


def test_a_reader_reads_and_writes_nothing(get: Get, house: House, ticket: Ticket) -> None:
    reader = people.reader()
    text = get(reader, page_of(ticket)).text
    assert "Record it" not in text
    get(reader, form_of(ticket.lines.get(action="set_toe")), 403)


def test_a_retorque_asks_for_degrees_only_where_it_turned(send: Send, house: House) -> None:
    ticket = house.ticket(("retorque", "track_bar_axle_end"))
    line = house.line(ticket, "retorque")
    said = typed({**RETORQUE, "turned": "no", "degrees": "half a turn"})
    send(house.technician.person, form_of(line), **said)
    line.refresh_from_db()
    assert line.entry is not None
    assert "degrees" not in line.entry.data
    assert line.state == "complete"
