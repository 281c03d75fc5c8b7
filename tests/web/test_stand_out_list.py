"""Patterns found by statistics on their screens: the sentence first, then what it rests on."""

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils.html import strip_tags

from fleet.records.models import Exposure, Joint, Person, Yard
from tests import build, crowd, stand_outs
from tests.build import NOW
from tests.stand_outs import LOT, NUMBER, PRACTICE, Checks, of_tool, pattern, statistic
from tests.web.conftest import SIZES, Get


@pytest.fixture
def seen(alder: Yard, mesa: Yard, manager: Person) -> Checks:
    return stand_outs.six_trucks(manager, alder, mesa)


SENTENCES = {
    "joint": "Track bar, frame end, on T-0, came loose 2.1 times as often as like joints do.",
    "tool": "What AB-07 tightened came loose 2.1 times as often as like joints tightened with "
    "other tools.",
    "lot": "Joints with parts of lot L-2231 (TB-7) came loose 2.1 times as often as like joints "
    "with other parts.",
    "part": "Joints with part TB-7 came loose 2.1 times as often as like joints with other parts.",
    "practice": "Joints tightened this way (shop figure, threads oiled) came loose 2.1 times as "
    "often as like joints tightened otherwise.",
    "yard": "Joints at Alder came loose 2.1 times as often as like joints at other yards.",
    "yard_duty": "Joints of vehicles on gravel duty at Alder came loose 2.1 times as often as "
    "like joints elsewhere.",
    "worsening": "On T-0 joints come loose 2.1 times as often as they used to, beyond what its "
    "checks explain.",
    "toe_drift": "Toe on T-0 does not stay: it is found away from where it was left 2.1 times as "
    "often as on other vehicles.",
    "missed": "Rechecks at Alder are missed 2.1 times as often as at other yards.",
}


def test_each_kind_says_one_sentence_everywhere_the_same(
    get: Get, manager: Person, alder: Yard, seen: Checks, client: Client
) -> None:
    made = stand_outs.one_of_each(seen, alder, seen.joints[0].vehicle, [])
    listed = get(manager, "/patterns/")
    assert {row.pattern.kind: row.sentence for row in listed.context["rows"]} == SENTENCES
    for one in made:
        page = strip_tags(get(manager, f"/patterns/{one.uid}/").text.partition("<h1>")[2])
        assert page.startswith(SENTENCES[one.kind])
    answered = get(manager, "/api/v1/patterns/").json()["results"]
    assert {row["kind"]: row["sentence"] for row in answered} == SENTENCES
    waiting = strip_tags(get(manager, "/").text)
    assert all(sentence in waiting for sentence in SENTENCES.values())


def test_worn_parts_are_said_to_be_worn_not_loose(get: Get, manager: Person, alder: Yard) -> None:
    pattern("yard", statistic("yard", f"{alder.pk}", clock="wear"), yard=alder)
    [row] = get(manager, "/patterns/").context["rows"]
    assert row.sentence.startswith("Joints at Alder were found with play 2.1 times as often")


def test_the_list_says_how_far_it_can_be_told_and_what_it_promises(
    get: Get, manager: Person, alder: Yard, seen: Checks
) -> None:
    of_tool(seen, alder)
    page = get(manager, "/patterns/").text
    assert "Likely between 1.5 and 2.9 times." in page
    assert "12 finds on 9 vehicles, where 5.7 would be usual" in page
    assert page.count("at most 1 in 20 comes by chance alone, in the long run") == 1


def test_the_working_rule_stands_apart_and_claims_no_statistics(
    get: Get, manager: Person, seen: Checks
) -> None:
    rows = Exposure.objects.filter(joint=seen.joints[0], loose=True).select_related("finding")
    build.pattern(seen.joints[0], [row.finding for row in rows])
    page = get(manager, "/patterns/")
    assert page.context["listed"].stands_out == []
    assert "comes by chance alone" not in page.text
    assert "a rule of practice, no statistics" in page.text
    assert re.search(r"As far as can be told [\d.]+ to [\d.]+ times its kind", page.text)


def test_what_another_explains_is_listed_under_it(
    get: Get, manager: Person, alder: Yard, seen: Checks
) -> None:
    by = {"label": "tool", "member": f"{seen.tool.pk}"}
    below = pattern("practice", statistic("practice", PRACTICE, explained_by=by))
    above = of_tool(seen, alder, explains=[{"label": "practice", "member": PRACTICE}])
    [row] = get(manager, "/patterns/").context["rows"]
    assert (row.pattern, [one.pattern for one in row.folded]) == (above, [below])
    assert [one.pattern for one in get(manager, "/").context["day"].patterns] == [above]
    page = get(manager, f"/patterns/{above.uid}/").text
    assert (
        f'href="/patterns/{below.uid}/">The way of tightening (shop figure, threads oiled)' in page
    )
    assert "Explained by another pattern" in get(manager, f"/patterns/{below.uid}/").text


def test_it_stands_by_itself_where_what_explains_it_is_not_chosen(
    get: Get, manager: Person, alder: Yard, seen: Checks
) -> None:
    by = {"label": "tool", "member": f"{seen.tool.pk}"}
    below = pattern("practice", statistic("practice", PRACTICE, explained_by=by))
    of_tool(seen, alder)
    rows = get(manager, "/patterns/", kind="practice").context["rows"]
    assert [row.pattern for row in rows] == [below]


def test_what_the_record_cannot_tell_apart_is_said(
    get: Get, manager: Person, alder: Yard, seen: Checks
) -> None:
    lot = {"label": "lot", "member": f"{NUMBER}|{LOT}"}
    made = of_tool(seen, alder, not_told_apart=[{"label": "yard", "member": f"{alder.pk}"}, lot])
    for path in ("/patterns/", f"/patterns/{made.uid}/"):
        page = get(manager, path).text
        assert (
            "AB-07 was used at Alder and hardly anywhere else: the record can&#x27;t tell" in page
        )
        assert "can&#x27;t tell torque tool AB-07 from lot L-2231 (TB-7)" in page


@pytest.mark.parametrize("size", SIZES)
def test_the_number_of_queries_hangs_on_the_kind_alone(
    client: Client, manager: Person, alder: Yard, size: int
) -> None:
    trucks = crowd.many(alder, manager, size)
    joints = list(Joint.objects.filter(vehicle__in=trucks))
    seen = stand_outs.checks(manager, joints, build.tool(alder, "AB-07"), looks=2, number=NUMBER,
                             lot=LOT, practice=PRACTICE)  # fmt: skip
    late = build.recheck(trucks[0], ladder="routine", fell_due_at=NOW, state="missed")
    made = stand_outs.one_of_each(seen, alder, trucks[0], [late.pk])
    client.force_login(manager)
    counted = {one.kind: _queries(client, f"/patterns/{one.uid}/") for one in made}
    counted["list"] = _queries(client, "/patterns/")
    assert counted == COUNTS


def _queries(client: Client, path: str) -> int:
    with CaptureQueriesContext(connection) as captured:
        assert client.get(path).status_code == 200
    return len(captured)


COUNTS = {
    "list": 11, "joint": 11, "tool": 11, "lot": 10, "part": 10, "practice": 10, "yard": 11,
    "yard_duty": 11, "worsening": 11, "toe_drift": 10, "missed": 8,
}  # fmt: skip
