"""Sweeps on screen: a look before anything is recorded, then how far the looking is."""

import csv
import io

import pytest

from fleet.operations import tools
from fleet.records.models import Recheck, Sweep
from tests import people
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

FRAME = "track_bar_frame_end"


@pytest.fixture
def doubted(house: House) -> House:
    """One joint tightened by a wrench that failed its calibration a week later."""
    house.later(days=-8)
    house.tight(FRAME)
    house.later(days=7)
    tools.calibrate(house.manager, house.tool.pk, "C-2", passed=False, on=house.now.date(),
                    at=house.now)  # fmt: skip
    return house


def test_without_a_sweep_it_says_when_one_is_opened(get: Get, house: House) -> None:
    assert "No sweep was ever opened." in get(house.manager.person, "/sweeps/").text


def test_the_way_leads_from_a_doubted_tool_to_a_look_and_to_the_sweep(
    get: Get, send: Send, doubted: House
) -> None:
    boss = doubted.manager.person
    way = f"/sweeps/new/?of=tool&amp;tool={doubted.tool.pk}"
    assert way in get(boss, "/specs/").text
    typed = {"of": "tool", "tool": doubted.tool.pk, "reason": "reads high"}
    looked = send(boss, "/sweeps/new/", 200, **typed, look="1")
    assert ("to be looked at", 1) in [(str(words), n) for words, n in looked.context["counts"]]
    assert not Sweep.objects.exists()
    send(boss, "/sweeps/new/", **typed)
    page = get(boss, f"/sweeps/{Sweep.objects.get().uid}/")
    assert "Nothing is looked at yet." in page.text
    assert [row.became for row in page.context["page"]] == ["left"]
    assert Recheck.objects.filter(ladder="sweep", state="owed").count() == 1


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"of": "tool", "tool": "", "reason": "x"}, "tool", "Choose the torque tool."),
        ({"of": "lot", "lot": "", "reason": "x"}, "lot", "Type the lot as it is marked."),
        ({"of": "lot", "lot": "L7", "reason": ""}, "reason", "Say why it is doubted."),
        ({"of": "lot", "lot": "L7", "reason": "x"}, "since", "Give the last day on which it was"),
    ],
)
def test_what_is_missing_is_told_beside_it_and_nothing_typed_is_lost(
    send: Send, doubted: House, typed: dict[str, str], field: str, said: str
) -> None:
    for more in ({}, {"look": "1"}):
        page = send(doubted.manager.person, "/sweeps/new/", 400, **typed, **more)
        form = page.context["form"]
        assert said in str(form.errors[field])
        assert form["reason"].value() == typed["reason"]


def test_it_is_closed_with_a_word_and_goes_out_as_a_table(
    get: Get, send: Send, doubted: House
) -> None:
    boss = doubted.manager.person
    send(boss, "/sweeps/new/", of="tool", tool=doubted.tool.pk, reason="reads high")
    sweep = Sweep.objects.get()
    close = f"/sweeps/{sweep.uid}/close/"
    refused = send(boss, close, 400, said="", version=1)
    assert "1 joint is not looked at yet" in refused.content.decode()
    send(boss, close, said="the truck is sold", version=1)
    table = get(boss, f"/sweeps/{sweep.uid}/", **{"as": "csv"}).text
    rows = list(csv.reader(io.StringIO(table.lstrip("\ufeff"))))
    assert rows[1][0] == doubted.vehicle.unit_number
    assert "not looked at yet" in rows[1]
    assert (
        get(boss, f"/sweeps/{sweep.uid}/", became="tight").context["page"].object_list.count() == 0
    )


def test_who_is_no_manager_reads_it_and_is_offered_nothing(
    get: Get, send: Send, doubted: House
) -> None:
    send(doubted.manager.person, "/sweeps/new/",
         of="tool", tool=doubted.tool.pk, reason="reads high")  # fmt: skip
    text = get(people.scheduler(doubted.yard), f"/sweeps/{Sweep.objects.get().uid}/").text
    assert "Close the sweep" not in text
    assert doubted.vehicle.unit_number in text
