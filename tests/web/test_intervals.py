"""Intervals: one line a cell, a sentence first, and a decision that has to be meant."""

from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.records.models import IntervalProposal, Joint, Person, Rule, Yard
from tests import build, held, people
from tests.build import NOW
from tests.web.conftest import Get

LIKE = "four links, coils and track bar; gravel; factory figure, dry; tightened again"


@pytest.fixture
def rules(db: None) -> None:
    load_reference(server_actor("command"), at=timezone.now())


@pytest.fixture
def offer(rules: None) -> IntervalProposal:
    return held.proposal()


def test_before_anything_is_reckoned_it_says_so(get: Get, manager: Person, rules: None) -> None:
    assert "Nothing is reckoned yet." in get(manager, "/specs/intervals/").text


def test_each_cell_is_a_line_in_plain_words_and_what_waits_comes_first(
    get: Get, manager: Person, offer: IntervalProposal
) -> None:
    held.too_little()
    page = get(manager, "/specs/intervals/")
    assert [(line.joints, line.says) for line in page.context["rows"]] == [
        (
            f"Track bar, frame end; {LIKE}",
            "now 500 mi, the record would allow 740 mi",
        ),
        (
            f"Track bar, axle end; {LIKE}",
            "now 500 mi; too little: 3 finds on 2 vehicles, 5 finds on 5 vehicles are needed",
        ),
    ]


@pytest.mark.parametrize(
    ("asked", "found"),
    [("says=offered", 1), ("says=too_little", 1), ("says=declined", 0), ("duty=plough", 0),
     ("kind=track_bar_axle_end", 1), ("says=as_it_is", 0)],
)  # fmt: skip
def test_the_list_is_filtered(
    get: Get, manager: Person, offer: IntervalProposal, asked: str, found: int
) -> None:
    held.too_little()
    page = get(manager, f"/specs/intervals/?{asked}")
    assert len(page.context["rows"]) == found
    assert ("No joints fit these choices." in page.text) == (found == 0)


def test_a_metric_reader_reads_kilometres(
    get: Get, manager: Person, offer: IntervalProposal
) -> None:
    manager.units = "metric"
    manager.save()
    page = get(manager, f"/specs/intervals/{offer.uid}/").text
    assert "805 km (500 mi)" in page
    assert "km since the look at 161 km" in page


def test_the_sentence_comes_first_then_picture_figures_and_what_limits_it(
    get: Get, manager: Person, offer: IntervalProposal
) -> None:
    page = get(manager, f"/specs/intervals/{offer.uid}/").text
    said = [
        "still tight after 740 mi: the recheck now made at 500 mi could go to 740 mi.",
        "service information governs",
        "proposed 740 mi",
        "The figures",
        "20 finds on 9 vehicles",
        "of 60 tightenings that were looked at again",
        "The number of finds limits it",
        "Nothing is decided yet.",
    ]
    places = [page.index(text) for text in said]
    assert places == sorted(places)


def test_where_too_little_is_known_it_says_how_much_more(
    get: Get, manager: Person, rules: None
) -> None:
    row = held.too_little()
    page = get(manager, f"/specs/intervals/{row.uid}/").text
    assert "so 500 mi stands. Too little: 3 finds on 2 vehicles" in page
    assert "Missing at least: 3 more finds, on 3 more vehicles." in page
    assert "Record it" not in page


def test_an_acceptance_has_to_be_meant(
    client: Client, manager: Person, offer: IntervalProposal
) -> None:
    client.force_login(manager)
    path = f"/specs/intervals/{offer.uid}/"
    typed: dict[str, Any] = {"to": "record", "version": offer.version, "reason": "read it twice"}
    answer = client.post(path, typed)
    assert answer.status_code == 400
    assert "then tick this" in answer.content.decode()
    assert "read it twice</textarea>" in answer.content.decode()
    answer = client.post(path, {**typed, "sure": "on"}, follow=True)
    offer.refresh_from_db()
    assert (offer.state, offer.rule.data["miles"] if offer.rule else None) == ("accepted", 740.0)
    assert "740 mi in place of 500 mi." in answer.content.decode()


def test_declining_without_a_reason_is_refused_beside_the_field(
    client: Client, manager: Person, offer: IntervalProposal
) -> None:
    client.force_login(manager)
    typed = {"to": "decline", "reason": " ", "version": offer.version}
    answer = client.post(f"/specs/intervals/{offer.uid}/", typed)
    assert answer.status_code == 400
    assert 'id="id_reason_error"' in answer.content.decode()


def test_what_was_accepted_is_taken_back_with_a_reason(
    client: Client, manager: Person, offer: IntervalProposal
) -> None:
    client.force_login(manager)
    path = f"/specs/intervals/{offer.uid}/"
    client.post(path, {"to": "record", "version": offer.version, "sure": "on"})
    assert "take-back/" in client.get(path).content.decode()
    assert client.post(f"{path}take-back/", {"reason": ""}).status_code == 400
    answer = client.post(f"{path}take-back/", {"reason": "bolts stretched"}, follow=True)
    assert "Taken back" in answer.content.decode()
    assert not Rule.objects.get(kind="interval", is_current=True).data["stands"]


def test_somebody_else_s_step_in_between_is_told_and_the_text_kept(
    client: Client, manager: Person, offer: IntervalProposal
) -> None:
    client.force_login(manager)
    IntervalProposal.objects.update(version=7)
    typed = {"to": "decline", "reason": "the maker says 500", "version": offer.version}
    answer = client.post(f"/specs/intervals/{offer.uid}/", typed)
    assert answer.status_code == 409
    assert "the maker says 500</textarea>" in answer.content.decode()


def test_only_a_manager_is_asked(
    client: Client, get: Get, alder: Yard, offer: IntervalProposal
) -> None:
    page = get(people.technician(alder), f"/specs/intervals/{offer.uid}/").text
    assert "Record it" not in page
    answer = client.post(f"/specs/intervals/{offer.uid}/", {"to": "record", "sure": "on"})
    assert answer.status_code == 403


def test_the_cheapest_is_shown_beside_and_not_offered_past_what_is_safe(
    client: Client, get: Get, manager: Person, offer: IntervalProposal
) -> None:
    client.force_login(manager)
    typed = {"target": "90", "confidence": "90", "planned_cost": "100", "unplanned_cost": "300"}
    client.post("/specs/intervals/aims/", {**typed, "version": 4})
    page = get(manager, f"/specs/intervals/{offer.uid}/").text
    assert "would cost least" in page
    assert "longer than what is safe" in page
    assert "Accept the cheapest" not in page


@pytest.fixture
def turned(manager: Person, alder: Yard, rules: None) -> Joint:
    """Tightened by the factory's figure at 1,000 mi; the meter reads 1,700."""
    truck = build.vehicle(alder, "AB-1")
    on, wrench, figure = build.joint(truck), build.tool(alder), build.spec(manager)
    build.torque(on, manager, wrench, spec=figure, turned=True, use_si=1000 * 1609, at=NOW)
    build.meter(truck, 1700, manager)
    return on


def test_a_joint_s_page_marks_its_own_use_on_the_curve_of_its_kind(
    get: Get, manager: Person, turned: Joint
) -> None:
    held.proposal(axle="test_axle")
    page = get(manager, f"/vehicles/AB-1/joints/{turned.pk}/").text
    assert "How joints of this kind here hold" in page
    assert "This joint has run 700 mi since it was turned; of such joints about 97 of 100" in page
    assert "this joint</text>" in page


def test_a_joint_of_which_too_little_is_known_says_so(
    get: Get, manager: Person, turned: Joint
) -> None:
    lacks: dict[str, Any] = {"missing": "too_few_finds", "finds": 1, "vehicles": 1, "curve": {}}
    held.proposal(axle="test_axle", offered=None, **lacks)
    page = get(manager, f"/vehicles/AB-1/joints/{turned.pk}/").text
    assert "It has run 700 mi since it was turned." in page
    assert "too little: 1 find on 1 vehicle" in page


def test_a_joint_that_nobody_turned_has_no_such_section(
    get: Get, manager: Person, alder: Yard
) -> None:
    on = build.joint(build.vehicle(alder, "AB-2"))
    page = get(manager, f"/vehicles/AB-2/joints/{on.pk}/").text
    assert "How joints of this kind here hold" not in page
