"""Specs: figures with their source, rules, tools. Trail: who changed what, when."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.records.base import new_uid
from fleet.records.models import Person, TrailEntry, Yard
from tests import build, crowd, people
from tests.build import NOW
from tests.web.conftest import SIZES, Get, Queries


def test_nothing_on_file_is_said_in_words(get: Get, manager: Person) -> None:
    page = get(manager, "/specs/").text
    assert "No torque figure is on file." in page
    assert "No recheck rule is loaded." in page
    assert "No torque tool is on file in your yards." in page


def test_factory_and_shop_figures_stand_apart_with_their_source(get: Get, manager: Person) -> None:
    build.spec(manager, is_target=False)
    build.spec(manager, origin="shop", low_nm=150, high_nm=170, source="Shop note 4",
               reason="new hardware", typed="115 lbf·ft")  # fmt: skip
    page = get(manager, "/specs/").text
    assert "Factory: Foothill service manual, invented" in page
    assert "Shop: Shop note 4; new hardware" in page
    assert page.count('<span class="soft">target</span>') == 1
    assert "service information governs" in page


def test_each_figure_shows_what_it_does_to_its_bolt(get: Get, manager: Person) -> None:
    build.spec(manager)
    build.spec(manager, "tie_rod_end")
    build.spec(manager, "damper_frame_end", thread="")
    page = get(manager, "/specs/").text
    # 155 to 184 N·m on M14 10.9, dry: over K 0.20 to 0.30 and 4 % of the tool.
    assert "8,000 – 15,400 lbf" in page
    assert "37 – 71 % of proof" in page
    assert "K 0.20 – 0.30" in page
    assert "Not worked out: tapered stud" in page
    assert "Nothing can be said: no thread on file" in page
    assert "calls no joint good" in page


def test_a_shop_figure_that_may_pass_proof_on_eased_threads_is_flagged(
    get: Get, manager: Person
) -> None:
    bolt = {"thread": "M10 × 1.5", "strength_class": "10.9", "thread_condition": "oiled"}
    build.spec(manager, low_nm=54.2, high_nm=54.2, **bolt)
    shop = build.spec(manager, origin="shop", low_nm=81.3, high_nm=81.3, is_target=False, **bolt)
    page = get(manager, "/specs/").text
    assert "Above the factory&#x27;s figure, on threads that something eases" in page
    assert "Factory's figure: " in page
    shop.thread_condition = "dry"
    shop.save()
    page = get(manager, "/specs/").text
    assert "Above the factory" not in page
    assert "With anti-seize on the threads: " in page
    assert "It may pass proof load then." in page


def test_the_reference_rules_are_readable(get: Get, manager: Person) -> None:
    load_reference(server_actor("command"), at=NOW)
    page = get(manager, "/specs/").text
    assert "Track bar: retorque or look at both ends" in page
    assert "100 mi · 7 days · 5 h" in page
    assert "6,000 mi · 180 days · 200 h" in page
    assert "BS AU 50" in page
    assert "49 CFR 396.17" in page


def test_each_tool_says_whether_it_may_be_believed(get: Get, manager: Person, alder: Yard) -> None:
    today = NOW.date()
    build.tool(alder, "OUT", today - timedelta(days=1))
    build.tool(alder, "LAST-DAY", today)
    build.tool(alder, "GOOD", today + timedelta(days=15))
    build.tool(alder, "DROPPED", doubted_since=NOW)
    build.tool(alder, "RETIRED", in_use=False)
    page = get(manager, "/specs/")
    assert {row.tool.code: row.standing for row in page.context["tools"]} == {
        "OUT": "out", "LAST-DAY": "soon", "GOOD": "good", "DROPPED": "doubted", "RETIRED": "good",
    }  # fmt: skip
    assert "calibration ran out Nov 24, 2026" in page.text
    assert "due today, good through Nov 25, 2026" in page.text
    assert "out of use" in page.text


def test_tools_of_other_yards_stay_there(get: Get, alder: Yard, mesa: Yard) -> None:
    build.tool(alder, "AL-1")
    assert "AL-1" not in get(people.stranger(mesa), "/specs/").text


def test_an_empty_trail_says_so(get: Get, manager: Person) -> None:
    assert "Nothing has been changed yet." in get(manager, "/trail/").text


def test_the_trail_names_who_did_what_to_which_vehicle(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    build.trail(manager, truck, "judge_pattern", before={"state": "open"}, subject="pattern",
                after={"state": "looked_at"}, reason="Hole oval")  # fmt: skip
    build.trail(manager, truck, "record_meter", after={"use_si": 1_609_344})
    page = get(manager, "/trail/")
    for text in ("Manager", "judged a pattern", "AB-1", "open → looked at", "“Hole oval”",
                 "read a meter", "1,000 mi"):  # fmt: skip
        assert text in page.text, text


@pytest.mark.parametrize(
    ("verb", "subject", "kept", "read"),
    [
        ("second_check", "secondcheck", {"passed": True}, ("passed", None, "yes")),
        ("make_recheck", "recheck", {"falls_on": "2026-11-30"},
         ("falls due", None, "Nov 30, 2026")),
        ("release", "secondcheck", {"until": "2026-11-24T20:46:00+00:00"},
         ("until", None, "Nov 24, 2026, 13:46")),
        ("report_complaint", "complaint", {"kind": "axle_oscillation"},
         ("kind", None, "whole axle oscillating")),
        ("do_recheck", "recheck", {"rung": 0}, ("step", None, 1)),
        ("change_vehicle", "vehicle", {"duty": "plough"}, ("duty", None, "plow")),
        ("accept_interval", "intervalproposal", {"miles": 750.0}, ("miles", None, "750")),
        ("add_person", "person", {"yards": "all"}, ("yards", None, "all yards")),
        ("answer_pattern", "pattern", {"verdict": "too_early"},
         ("did it help", None, "too early to say")),
        ("some_day", "vehicle", {"not_yet_named": "so"}, ("not yet named", None, "so")),
    ],
)  # fmt: skip
def test_the_trail_reads_codes_flags_and_dates_in_words(
    get: Get, manager: Person, alder: Yard, verb: str, subject: str, kept: Any, read: Any
) -> None:
    build.trail(manager, build.vehicle(alder, "AB-1"), verb, subject=subject, after=kept)
    with timezone.override("America/Denver"):
        page = get(manager, "/trail/", vehicle="AB-1")
        assert page.context["gestures"][0].first.changes == [read]


def test_what_came_of_one_gesture_stands_together_in_its_order(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck, gesture = build.vehicle(alder, "AB-1"), new_uid()
    for verb in ("close_ticket", "lift_hold"):
        build.trail(manager, truck, verb, gesture=gesture)
    build.trail(manager, truck, "record_meter")
    told = [[row.entry.verb for row in one.rows]
            for one in get(manager, "/trail/").context["gestures"]]  # fmt: skip
    assert told == [["record_meter"], ["close_ticket", "lift_hold"]]


def test_the_trail_is_filtered_by_vehicle_within_the_readers_scope(
    get: Get, alder: Yard, mesa: Yard, manager: Person
) -> None:
    here, there = build.vehicle(alder, "AB-1"), build.vehicle(mesa, "MT-1")
    mine, other = build.trail(manager, here), build.trail(manager, there)
    assert shown(get(manager, "/trail/")) == [other, mine]
    assert shown(get(manager, "/trail/", vehicle="ab-1")) == [mine]
    reader = people.reader(mesa)
    assert shown(get(reader, "/trail/")) == [other]
    assert shown(get(reader, "/trail/", vehicle="AB-1")) == []


def shown(page: Any) -> list[TrailEntry]:
    return [row.entry for gesture in page.context["gestures"] for row in gesture.rows]


@pytest.mark.parametrize("size", SIZES)
def test_the_trail_asks_the_same_number_of_questions(
    queries: Queries, manager: Person, alder: Yard, size: int
) -> None:
    crowd.many(alder, manager, size)
    queries(manager, "/trail/", 7)
