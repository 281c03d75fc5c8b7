"""The Rules pages: what a rule says, who changed it, and a change shown before it is kept."""

import re
from typing import Any

import pytest

from fleet.records.models import Recheck, Rule, RuleException
from tests import build
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

CHANGE = "/specs/rules/ladder/link_bolts/change/"
TYPED = {"step0_distance": "800 km", "step0_days": "40", "step0_hours": "25", "source": "",
         "reason": "Loosens later than we thought"}  # fmt: skip


def hidden(page: Any) -> dict[str, str]:
    """What the form carries unseen."""
    found = re.findall(r'<input type="hidden" name="(request_key|version|seen)" value="([^"]*)"',
                       page.text)  # fmt: skip
    return dict(found)


def owed(house: House) -> Recheck:
    """By its rule, from two days ago: 500 mi, 30 days."""
    return build.recheck(house.vehicle, house.joint(), due_in=28,
                         ladder="link_bolts")  # fmt: skip


def test_every_rule_stands_in_its_group_with_what_it_says(get: Get, house: House) -> None:
    page = get(house.manager.person, "/specs/rules/").text
    for words in ("After a repair or a finding", "Looks for cracks", "Alignment follow-up",
                  "Routine looks, by duty", "Periodic inspection by law", "12 months",
                  "Torque tools", "5,000", "49 CFR 396.17", "No exception stands.",
                  "100 mi, 7 days or 5 h; 500 mi, 30 days or 20 h"):  # fmt: skip
        assert words in page, words
    assert "/specs/rules/" in get(house.manager.person, "/specs/").text


def test_a_change_is_shown_first_and_then_kept(get: Get, send: Send, house: House) -> None:
    boss, row = house.manager.person, owed(house)
    first = get(boss, CHANGE)
    assert 'value="500 mi"' in first.text
    typed = TYPED | hidden(first)
    shown = send(boss, CHANGE, 200, **typed, do="show")
    assert "Nothing is on file yet." in shown.text
    assert "1 recheck is owed by this rule and keeps its time." in shown.text
    assert Rule.objects.get(key="link_bolts", is_current=True).version == 1
    kept = send(boss, CHANGE, **(TYPED | hidden(shown)), do="keep")
    assert kept["Location"] == "/specs/rules/ladder/link_bolts/"
    page = get(boss, kept["Location"]).text
    assert "800 km (497.1 mi), 40 days or 25 h" in page
    assert "Loosens later than we thought" in page
    assert "as delivered" in page
    row.refresh_from_db()
    assert row.state == "owed"


def test_asked_for_what_is_owed_is_made_anew(send: Send, get: Get, house: House) -> None:
    boss, row = house.manager.person, owed(house)
    typed = TYPED | {"anew": "on"}
    shown = send(boss, CHANGE, 200, **typed, **hidden(get(boss, CHANGE)), do="show")
    assert "1 recheck that is owed moves." in shown.text
    assert "Alder" in shown.text
    assert "All that would move" in shown.text
    send(boss, CHANGE, **(typed | hidden(shown)), do="keep")
    row.refresh_from_db()
    assert row.state == "dropped"
    assert Recheck.objects.get(ladder="link_bolts", state="owed").rule_version == 2


def test_what_was_not_shown_is_not_kept(send: Send, get: Get, house: House) -> None:
    boss = house.manager.person
    straight = send(boss, CHANGE, 200, **TYPED, **hidden(get(boss, CHANGE)), do="keep")
    assert "Nothing is on file yet." in straight.text
    other = TYPED | hidden(straight) | {"step0_days": "45"}
    assert "Nothing is on file yet." in send(boss, CHANGE, 200, **other, do="keep").text
    assert Rule.objects.filter(key="link_bolts").count() == 1


def test_what_is_wrong_stands_beside_its_field_and_nothing_typed_is_lost(
    send: Send, house: House
) -> None:
    wrong = {"step0_distance": "soon", "step0_days": "40", "step0_hours": "25", "reason": ""}
    page = send(house.manager.person, CHANGE, 400, **wrong, do="show").text
    assert "be read as a distance" in page
    assert "Say why, in a few words." in page
    assert 'value="soon"' in page
    assert 'value="40"' in page


def test_the_second_of_two_managers_is_told(send: Send, get: Get, house: House) -> None:
    boss = house.manager.person
    shown = send(boss, CHANGE, 200, **TYPED, **hidden(get(boss, CHANGE)), do="show")
    typed = TYPED | hidden(shown)
    send(boss, CHANGE, **typed, do="keep")
    late = TYPED | {"step0_days": "50"} | {"version": "1"}
    again = send(boss, CHANGE, 200, **late, do="show")
    assert send(boss, CHANGE, 409, **(late | {"seen": hidden(again)["seen"]}), do="keep")


def test_back_to_an_earlier_version(send: Send, get: Get, house: House) -> None:
    boss, back = house.manager.person, "/specs/rules/ladder/link_bolts/back/1/"
    get(boss, back, 404)
    shown = send(boss, CHANGE, 200, **TYPED, **hidden(get(boss, CHANGE)), do="show")
    send(boss, CHANGE, **(TYPED | hidden(shown)), do="keep")
    shown = send(boss, back, 200, reason="As it was", **hidden(get(boss, back)), do="show")
    send(boss, back, **({"reason": "As it was"} | hidden(shown)), do="keep")
    now = Rule.objects.get(key="link_bolts", is_current=True)
    assert (now.version, now.data["rungs"][0]["miles"]) == (3, 500)


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        ("routine/annual", {"value": "6"}),
        ("routine/gravel-heavy", {"step0_distance": "3000 mi", "step0_days": "90",
                                  "step0_hours": "100"}),
        ("setting/tool_interval_uses", {"value": "4,000"}),
        ("ladder/after_moved", {"value": "40", "step0_distance": "60", "step0_days": "3",
                                "step0_hours": "4"}),
        ("minutes/routine", {"value": "70", "people": "1"}),
    ],
)  # fmt: skip
def test_every_kind_of_rule_has_its_form(
    send: Send, get: Get, house: House, address: str, typed: dict[str, str]
) -> None:
    boss, path = house.manager.person, f"/specs/rules/{address}/change/"
    typed = typed | {"source": "", "reason": "Our own"}
    shown = send(boss, path, 200, **typed, **hidden(get(boss, path)), do="show")
    send(boss, path, **(typed | hidden(shown)), do="keep")
    assert "Our own" in get(boss, f"/specs/rules/{address}/").text


def test_what_work_takes_is_shown_by_the_minutes_it_moves(
    send: Send, get: Get, house: House
) -> None:
    boss, path = house.manager.person, "/specs/rules/minutes/retorque/change/"
    owed(house)
    typed = {"value": "25", "people": "1", "source": "", "reason": "Timed over ten of them"}
    shown = send(boss, path, 200, **typed, **hidden(get(boss, path)), do="show").text
    assert "1 thing of this kind is owed in your yards: 10 min now, 25 min then." in shown
    assert "Make what is owed now anew" not in shown
    wrong = send(boss, path, 400, **(typed | {"value": "a while"}), do="show").text
    assert "Type a whole number from 1 to 480." in wrong


def test_a_technician_reads_rules_and_changes_none(get: Get, house: House) -> None:
    who = house.technician.person
    assert "Change it" not in get(who, "/specs/rules/ladder/link_bolts/").text
    get(who, CHANGE, 403)
    get(who, "/specs/rules/response/other/", 404)


def test_an_exception_is_shown_given_and_ended(get: Get, send: Send, house: House) -> None:
    boss, unit = house.manager.person, house.vehicle.unit_number
    listed = get(boss, f"/vehicles/{unit}/exceptions/").text
    assert "rules in everything" in listed
    assert "track_bar&quot;" not in listed
    assert "?rule=routine" in listed
    path = f"/vehicles/{unit}/exceptions/new/?rule=routine"
    typed = {"step0_distance": "5000 mi", "step0_days": "150", "step0_hours": "160",
             "ends_on": "2026-12-24", "reason": "Stands by for the fair"}  # fmt: skip
    shown = send(boss, path, 200, **typed, **hidden(get(boss, path)), do="show")
    assert "Nothing is on file yet." in shown.text
    send(boss, path, **(typed | hidden(shown)), do="keep")
    row = RuleException.objects.get()
    assert "Stands by for the fair" in get(boss, "/specs/rules/").text
    send(boss, f"/exceptions/{row.pk}/end/", reason="Back on the road")
    assert "ended by Manager" in get(boss, f"/vehicles/{unit}/exceptions/").text
    assert get(boss, f"/vehicles/{unit}/exceptions/new/", 302, rule="annual")


def test_a_worn_out_tools_uses_are_told_on_specs(get: Get, house: House) -> None:
    Rule.objects.filter(kind="setting", key="tool_interval_uses").update(data={"value": 1})
    build.torque(house.joint(), house.technician.person, house.tool)
    page = get(house.manager.person, "/specs/").text
    assert "its uses are up: calibrate it" in page
    assert "1 of 1 uses since" in page
