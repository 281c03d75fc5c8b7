"""Patterns found by statistics on their screens: the sentence first, then what it rests on."""

import re
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from fleet.records.models import Exposure, Joint, Pattern, Person, Yard
from tests import build, crowd, people, stand_outs
from tests.build import NOW
from tests.stand_outs import LOT, NUMBER, PRACTICE, Checks, pattern, statistic
from tests.web.conftest import SIZES, Get, Send


@pytest.fixture
def seen(alder: Yard, mesa: Yard, manager: Person) -> Checks:
    """One tool on two trucks at Alder, one at Mesa Tank; another tool on three more."""
    trucks = [build.vehicle(yard, f"T-{n}") for n, yard in enumerate([alder, alder, mesa] * 2)]
    joints = [build.joint(truck) for truck in trucks]
    other = build.tool(alder, "AB-01")
    stand_outs.checks(manager, joints[3:], other, every=4, practice="factory, dry")
    tool = build.tool(alder, "AB-07")
    return stand_outs.checks(manager, joints[:3], tool, number=NUMBER, lot=LOT, practice=PRACTICE)


def of_tool(seen: Checks, yard: Yard | None, **extra: Any) -> Pattern:
    return pattern("tool", statistic("tool", f"{seen.tool.pk}", **extra), yard=yard,
                   next_look=["calibration", "comparison", "sweep"])  # fmt: skip


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
        assert f"<h1>{SENTENCES[one.kind]}</h1>" in get(manager, f"/patterns/{one.uid}/").text
    answered = get(manager, "/api/v1/patterns/").json()["results"]
    assert {row["kind"]: row["sentence"] for row in answered} == SENTENCES
    waiting = get(manager, "/").text
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


def test_the_figures_are_in_words_and_each_explains_itself(
    get: Get, manager: Person, alder: Yard, seen: Checks
) -> None:
    page = get(manager, f"/patterns/{of_tool(seen, alder).uid}/").text
    for words in ("at most 1 in 5,300", "at most 1 in 20", "on 9 vehicles, at 57 checks"):
        assert words in page
    for kind in ("finds_expected", "times_as_often", "by_luck", "false_share", "tested_together"):
        assert f'popovertarget="explain-{kind}"' in page


def test_the_picture_holds_it_against_the_rest(
    get: Get, manager: Person, alder: Yard, seen: Checks
) -> None:
    """Three trucks with 2 finds each where 0.4 were expected; three more with 1 find each."""
    story = get(manager, f"/patterns/{of_tool(seen, alder).uid}/").context["story"]
    group, rest = story.group.beside.group, story.group.beside.rest
    assert group.at(0.4)[0] == pytest.approx(2.0)
    assert rest.at(0.4)[0] == pytest.approx(1.0)
    assert group.has_band
    assert story.picture.says == (
        "By the time 0.4 finds were to be expected on a vehicle, 2.0 were found where the pattern "
        "is, and 1.0 on the rest."
    )


def test_evidence_names_wrench_and_joint_but_nobody(
    get: Get, manager: Person, alder: Yard, seen: Checks
) -> None:
    page = get(manager, f"/patterns/{of_tool(seen, alder).uid}/")
    rows = list(page.context["finds"])
    assert len(rows) == 6
    assert [row.finding.occurred_at for row in rows] == sorted(
        (row.finding.occurred_at for row in rows), reverse=True
    )
    evidence = page.text.split('id="evidence"')[1].split("</section>")[0]
    assert "AB-07" in evidence
    assert "20°" in evidence
    assert manager.name not in evidence


def test_finds_at_other_yards_are_counted_and_not_named(
    get: Get, alder: Yard, seen: Checks
) -> None:
    own = people.reader(alder)
    page = get(own, f"/patterns/{of_tool(seen, alder).uid}/").text
    assert "2 finds more lie in yards that are not yours" in page
    assert "T-2" not in page
    assert page.count('href="/vehicles/T-0/"') == 2


def test_a_joint_at_another_yard_is_not_named_either(get: Get, alder: Yard, seen: Checks) -> None:
    there = {"label": "joint", "member": f"{seen.joints[2].pk}"}
    made = of_tool(seen, alder, explains=[there])
    page = get(people.reader(alder), f"/patterns/{made.uid}/").text
    assert "Something at a yard that is not yours" in page


def test_each_missed_recheck_is_in_the_evidence(
    get: Get, manager: Person, alder: Yard, seen: Checks
) -> None:
    truck = seen.joints[0].vehicle
    late = build.recheck(truck, seen.joints[0], state="missed", fell_due_at=NOW - timedelta(days=9))
    build.recheck(truck, ladder="link_bolts")
    told = statistic("yard", f"{alder.pk}", clock="missed")
    made = pattern("missed", told, yard=alder, evidence={"rechecks": [late.pk]})
    page = get(manager, f"/patterns/{made.uid}/")
    assert list(page.context["missed"]) == [late]
    assert "12 rechecks missed on 9 vehicles" in page.text


def test_toe_that_does_not_stay_shows_the_toe(
    get: Get, manager: Person, alder: Yard, seen: Checks
) -> None:
    truck = seen.joints[0].vehicle
    build.toe(truck, manager)
    told = statistic("vehicle", f"{truck.pk}", clock="toe")
    made = pattern("toe_drift", told, yard=alder, vehicle=truck)
    page = get(manager, f"/patterns/{made.uid}/")
    assert page.context["story"].picture.name == "Toe over time"
    assert 'href="/vehicles/T-0/#toe"' in page.text


VERDICTS = {
    "helped": "It helped. Since it was acted on, 8.2 finds were to be expected if it had not, and "
    "2 finds were seen.",
    "did_not_help": "It did not help.",
    "not_clear": "It is not clear yet.",
    "too_early": "It is too early to say.",
}


@pytest.mark.parametrize("verdict", VERDICTS)
def test_whether_it_helped_is_said_with_predicted_and_seen(
    get: Get, manager: Person, alder: Yard, seen: Checks, verdict: str
) -> None:
    made = of_tool(seen, alder)
    told = {"verdict": verdict, "predicted": 8.2, "seen": 2, "expected": 4.0, "p": 0.02}
    Pattern.objects.filter(pk=made.pk).update(
        verdict=told, state="acted_on", acted_at=NOW - timedelta(days=20), action="Sent in"
    )
    page = get(manager, f"/patterns/{made.uid}/").text
    assert VERDICTS[verdict] in page
    assert "8.2" in page


def test_nobody_says_by_hand_whether_it_helped(
    get: Get, send: Send, manager: Person, alder: Yard, seen: Checks
) -> None:
    made = of_tool(seen, alder)
    path = f"/patterns/{made.uid}/"
    send(manager, path, to="acted_on", text="Sent for calibration", version=made.version)
    made.refresh_from_db()
    assert (made.state, made.acted_at) == ("acted_on", NOW)
    offered = get(manager, path).context["form"].fields["to"].widget.choices
    assert [value for value, _label in offered] == ["open", "set_aside"]
    refused = send(manager, path, 400, to="helped", text="", version=made.version)
    assert "worked out from the finds that follow" in refused.text


def test_by_the_working_rule_a_manager_still_says_it(
    send: Send, manager: Person, seen: Checks
) -> None:
    made = build.pattern(seen.joints[0], [], state="acted_on")
    send(manager, f"/patterns/{made.uid}/", to="helped", text="", version=made.version)
    made.refresh_from_db()
    assert made.state == "helped"


def test_it_is_printed_with_its_picture(
    client: Client, manager: Person, alder: Yard, seen: Checks
) -> None:
    client.force_login(manager)
    answer = client.get(f"/patterns/{of_tool(seen, alder).uid}/pattern.pdf")
    assert answer["Content-Type"] == "application/pdf"
    words = " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
    for said in (
        "AB-07 tightened came loose 2.1 times",
        "Finds beside those expected",
        "at most 1 in 5,300",
        "T-1",
    ):
        assert said in " ".join(words.split())
    assert manager.name not in words


def test_a_joint_stands_beside_its_kind_on_its_own_page(
    get: Get, manager: Person, seen: Checks
) -> None:
    joint = seen.joints[0]
    page = get(manager, f"/vehicles/T-0/joints/{joint.pk}/").text
    assert "Found loose 2 times at checks that can be weighed" in page
    assert "where checks like them usually make 0.4 finds" in page
    assert "By the time 0.4 finds were to be expected here, 2 were found" in page
    never = build.joint(joint.vehicle, "track_bar_axle_end")
    assert "against like joints" not in get(manager, f"/vehicles/T-0/joints/{never.pk}/").text


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
