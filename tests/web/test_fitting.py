"""A joint set apart, not fitted or fitted again on its own page, and where that is read."""

from fleet.operations.fittings import Fitting, set_fitting
from fleet.operations.vehicles import lay_up
from fleet.records.models import Joint, JointFitting, Person
from tests import build
from tests.operations.conftest import House
from tests.web.conftest import Get, Send


def path(joint: Joint, end: str = "fitting/") -> str:
    return f"/vehicles/A-101/joints/{joint.pk}/{end}"


def set_to(house: House, joint: Joint, to: str) -> JointFitting:
    by = house.manager
    return set_fitting(by, Fitting(joint.pk, to, "bolt on order"), at=house.now).row


def test_a_technician_takes_it_apart_and_says_why(get: Get, send: Send, house: House) -> None:
    joint, who = house.joint(), house.technician.person
    assert f'href="{path(joint)}">Set it apart</a>' in get(who, path(joint, "")).text
    page = send(who, path(joint), 400, to="apart")
    assert page.context["form"].errors["reason"] == ["Say why, in a few words."]
    send(who, path(joint), to="apart", reason="bushing on order")
    shown = get(who, path(joint, "")).text
    assert "A-101 must not go out." in shown
    assert '<strong class="act">Apart.</strong> Bushing on order' in shown
    table = get(who, "/vehicles/A-101/").text
    assert '<span class="act">apart</span>' in table
    assert "taken apart" in table


def test_only_what_it_may_become_is_offered(get: Get, house: House) -> None:
    def offered(by: Person, kind: str) -> list[str]:
        form = get(by, path(house.joint(kind))).context["form"]
        return [value for value, _label in form.fields["to"].choices]

    technician, boss = house.technician.person, house.manager.person
    assert offered(technician, "track_bar_frame_end") == ["apart"]
    assert offered(technician, "damper_frame_end") == ["apart", "not_fitted"]
    assert offered(technician, "drag_link_clamps") == ["apart"]
    assert offered(boss, "drag_link_clamps") == ["apart", "not_fitted"]


def test_a_refusal_says_how_it_is_put_together(send: Send, house: House) -> None:
    joint = house.joint()
    set_to(house, joint, "apart")
    page = send(house.technician.person, path(joint), 400, to="fitted", reason="done")
    assert "record its assembly with its torque on a ticket line first." in page.text
    assert 'value="done"' in page.text


def test_dropping_what_it_owes_is_confirmed(send: Send, house: House) -> None:
    joint, who = house.joint("damper_frame_end"), house.technician.person
    build.recheck(house.vehicle, joint)
    typed = {"to": "not_fitted", "reason": "sold without one"}
    page = send(who, path(joint), 400, **typed)
    assert page.context["form"].errors["drop_owed"] == ["Confirm that they are dropped."]
    assert "drop the 1 recheck it owes" in page.text
    send(who, path(joint), **typed, drop_owed="on")
    assert JointFitting.objects.get().fitted == "not_fitted"


def test_a_sheet_asks_nothing_of_what_is_not_fitted_and_little_of_what_is_apart(
    get: Get, house: House
) -> None:
    gone, apart = house.joint("damper_frame_end"), house.joint()
    set_to(house, gone, "not_fitted")
    set_to(house, apart, "apart")
    form = get(house.technician.person, "/vehicles/A-101/inspect/").context["form"]
    entries = {entry.joint.pk: entry for entry in form.entries}
    assert gone.pk not in entries
    assert [str(code) for code in entries[apart.pk].codes] == [
        "worn_out", "cracked", "bent", "broken_or_missing", "not_reached",
    ]  # fmt: skip
    assert entries[apart.pk].is_rare


def test_the_ticket_says_which_joint_stands_in_its_way(get: Get, house: House) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    set_to(house, house.joint("track_bar_axle_end"), "apart")
    page = get(house.technician.person, f"/tickets/{ticket.pk}/").text
    assert "Track bar, axle end is apart (bolt on order)" in page
    assert 'href="/vehicles/A-101/#joints"' in page


def test_coming_back_is_refused_beside_the_form(send: Send, house: House) -> None:
    lay_up(house.manager, house.vehicle.pk, "bushing on order", at=house.now)
    set_to(house, house.joint(), "apart")
    page = send(house.manager.person, "/vehicles/A-101/bring-back/", 400)
    assert "Track bar, frame end is apart (bolt on order)" in page.text


def test_what_it_was_and_is_stands_on_its_page(get: Get, house: House) -> None:
    joint = house.joint("damper_frame_end")
    for to in ("not_fitted", "fitted"):
        set_to(house, joint, to)
    page = get(house.technician.person, path(joint, ""))
    assert [row.fitted for row in page.context["life"].fittings] == ["fitted", "not_fitted"]
    assert "Apart and fitted again" in page.text
    assert "Fitted again: look at it" in page.text
