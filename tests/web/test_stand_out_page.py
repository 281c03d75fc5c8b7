"""One pattern found by statistics: figures in words, picture, evidence, and what came of it."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.test import Client
from pypdf import PdfReader

from fleet.records.models import Exposure, PartChange, Pattern, Person, Yard
from tests import build, people, stand_outs
from tests.build import NOW
from tests.stand_outs import Checks, of_tool, pattern, statistic
from tests.web.conftest import Get, Send


@pytest.fixture
def seen(alder: Yard, mesa: Yard, manager: Person) -> Checks:
    return stand_outs.six_trucks(manager, alder, mesa)


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


def test_where_parts_wear_the_part_stands_in_the_wrenchs_place(
    get: Get, manager: Person, alder: Yard
) -> None:
    joint = build.joint(build.vehicle(alder, "W-1"), "tie_rod_end", "left")
    fitted = PartChange.objects.create(
        joint=joint, number="TR-9", lot="L-77", by=manager, occurred_at=NOW - timedelta(days=300)
    )
    worn = build.finding(joint, manager, "play", NOW - timedelta(days=5))
    Exposure.objects.create(
        finding=worn, joint=joint, vehicle=joint.vehicle, clock="wear", sight="play", at=NOW,
        lower_si=0, upper_si=9, loose=True, first=True, part=fitted, number="TR-9", lot="L-77",
        duty="gravel", expected=0.1, spent=0.1,
    )  # fmt: skip
    made = pattern("lot", statistic("lot", "TR-9|L-77", clock="wear"))
    evidence = get(manager, f"/patterns/{made.uid}/").text.split('id="evidence"')[1]
    assert "Part fitted" in evidence
    assert "TR-9 L-77" in evidence
    assert "Tightened with" not in evidence


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
