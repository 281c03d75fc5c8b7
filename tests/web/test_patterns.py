"""Patterns: a sentence first, then the evidence, what to look at next, and what was done."""

from datetime import timedelta

import pytest
from django.test import Client

from fleet.records.models import Pattern, Person, Yard
from tests import build, crowd, people
from tests.build import NOW
from tests.web.conftest import SIZES, Get, Queries


@pytest.fixture
def repeat(alder: Yard, manager: Person) -> Pattern:
    """Tightened, found moved, tightened, found moved again."""
    truck = build.vehicle(alder, "AB-1")
    build.meter(truck, 48_000, manager)
    on, wrench, figure = build.joint(truck), build.tool(alder, "AL-1"), build.spec(manager)
    findings, torques = [], []
    for days, turn in ((60, 20), (10, 35)):
        at = NOW - timedelta(days=days)
        torques.append(build.torque(on, manager, wrench, at=at - timedelta(days=9), spec=figure))
        findings.append(build.finding(on, manager, "moved", at, degrees=turn))
    evidence = {"findings": [f.pk for f in findings], "torques": [t.pk for t in torques]}
    return build.pattern(on, findings, evidence=evidence)


def test_no_pattern_says_what_that_means(get: Get, manager: Person) -> None:
    assert "no joint has come loose again after it was tightened" in get(manager, "/patterns/").text


def test_the_sentence_comes_first_and_in_plain_words(
    get: Get, manager: Person, repeat: Pattern
) -> None:
    words = (
        "Track bar, frame end, on AB-1: found loose 2 times within 365 days, "
        "each time after it had been tightened."
    )
    # The end of a line tears no unit number at its hyphen.
    whole = words.replace("AB-1", '<span class="nowrap">AB-1</span>')
    assert whole in get(manager, "/patterns/").text
    page = get(manager, f"/patterns/{repeat.uid}/").text
    assert f"<h1>{whole}</h1>" in page


def test_the_evidence_stands_in_order_with_degrees_and_the_torques_between(
    get: Get, manager: Person, repeat: Pattern
) -> None:
    page = get(manager, f"/patterns/{repeat.uid}/")
    steps = page.context["story"].evidence
    assert [bool(step.torque) for step in steps] == [True, False, True, False]
    for text in ("20°", "35°", "AL-1", "Tightened: 125 lbf·ft", "against 114.3 to 135.7 lbf·ft"):
        assert text in page.text


def test_hole_bolt_sleeve_and_bracket_come_before_torque(
    get: Get, manager: Person, repeat: Pattern
) -> None:
    page = get(manager, f"/patterns/{repeat.uid}/")
    assert [step.split(":")[0] for step in page.context["story"].next_look] == [
        "the hole, in two directions",
        "the bolt",
        "the sleeve",
        "the bracket",
        "then the torque tool that tightened it",
    ]
    assert "service information governs" in page.text


def test_a_manager_records_what_was_found(client: Client, manager: Person, repeat: Pattern) -> None:
    client.force_login(manager)
    typed = {"to": "looked_at", "text": "Hole oval by 1/32", "version": repeat.version}
    answer = client.post(f"/patterns/{repeat.uid}/", typed, follow=True)
    repeat.refresh_from_db()
    assert (repeat.state, repeat.cause) == ("looked_at", "Hole oval by 1/32")
    assert "Cause found: Hole oval by 1/32" in answer.content.decode()


def test_setting_aside_without_a_reason_is_refused_beside_the_field(
    client: Client, manager: Person, repeat: Pattern
) -> None:
    client.force_login(manager)
    typed = {"to": "set_aside", "text": " ", "version": repeat.version}
    answer = client.post(f"/patterns/{repeat.uid}/", typed)
    assert answer.status_code == 400
    assert 'id="id_text_error"' in answer.content.decode()
    repeat.refresh_from_db()
    assert repeat.state == "open"


def test_somebody_elses_step_in_between_is_told_and_the_text_kept(
    client: Client, manager: Person, repeat: Pattern
) -> None:
    client.force_login(manager)
    Pattern.objects.filter(pk=repeat.pk).update(version=repeat.version + 1)
    typed = {"to": "looked_at", "text": "Hole oval by 1/32", "version": repeat.version}
    answer = client.post(f"/patterns/{repeat.uid}/", typed)
    assert answer.status_code == 409
    assert "was changed by somebody else" in answer.content.decode()
    assert "Hole oval by 1/32</textarea>" in answer.content.decode()


def test_only_a_manager_is_asked(client: Client, get: Get, alder: Yard, repeat: Pattern) -> None:
    technician = people.technician(alder)
    page = get(technician, f"/patterns/{repeat.uid}/").text
    assert "Record it" not in page
    client.post(f"/patterns/{repeat.uid}/", {"to": "looked_at", "text": "x", "version": 1})
    repeat.refresh_from_db()
    assert repeat.state == "open"


def test_a_strangers_pattern_is_not_there(get: Get, mesa: Yard, repeat: Pattern) -> None:
    stranger = people.stranger(mesa)
    get(stranger, f"/patterns/{repeat.uid}/", 404)
    assert get(stranger, "/patterns/").context["rows"] == []


def test_the_list_is_filtered(get: Get, manager: Person, mesa: Yard, repeat: Pattern) -> None:
    assert len(get(manager, "/patterns/", state="open").context["rows"]) == 1
    assert get(manager, "/patterns/", yard="mesa-tank").context["rows"] == []
    assert len(get(manager, "/patterns/", vehicle="ab-1").context["rows"]) == 1
    assert "No pattern fits" in get(manager, "/patterns/", state="helped").text


@pytest.mark.parametrize("size", SIZES)
def test_the_number_of_queries_does_not_grow(
    queries: Queries, manager: Person, alder: Yard, size: int
) -> None:
    crowd.many(alder, manager, size)
    queries(manager, "/patterns/", 7)
