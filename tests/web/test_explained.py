"""Each judged figure says what it was judged against, once a page however often it stands there."""

import re
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from django.template import Context, Template
from django.test import Client, RequestFactory

from fleet.reads.explained import EXPLANATIONS
from fleet.records.models import Person, Yard
from tests import build, crowd
from tests.addresses import addresses
from tests.web.conftest import SIZES, Get
from tests.web.rows import Fleet

TEMPLATES = Path(__file__).parents[2] / "templates"
NAMED = re.compile(r'popovertarget="(explain-\w+)"')
BUTTON = re.compile(r'class="explain" popovertarget="explain-(\w+)"')
TOLD = re.compile(r'<div popover class="explained" id="(explain-\w+)"')
# The screens on which figures are judged or computed, and what each must explain.
SCREENS = {
    "yard": {"projected", "interval_used", "first_of", "repeat_count", "stale_meter", "tool_date"},
    "vehicle": {"projected", "interval_used", "torque_band", "toe", "toe_drift", "use_rate"},
    "joint": {"torque_band", "play", "interval_used"},
    "ticket_detail": {"torque_band", "toe"},
    "due": {"projected", "interval_used", "first_of"},
    "patterns": {"repeat_count", "times_as_often", "false_share", "shrunk_rate"},
    "pattern": {"repeat_count"},
    "specs": {"clamp_load", "torque_spec", "ladder", "tool_date"},
    "reckoner": {"reckoned"},
    "meter_new": {"use_rate"},
}


@pytest.fixture
def pages(client: Client, manager: Person) -> dict[str, str]:
    """Every page of a small fleet in which one vehicle has it all."""
    fleet = Fleet(manager, 3)
    client.force_login(manager)
    found = {name: client.get(path) for name, path in addresses(fleet.vehicle).items()
             if not name.startswith("api-")}  # fmt: skip
    return {name: page.content.decode() for name, page in found.items()
            if page["Content-Type"].startswith("text/html")}  # fmt: skip


def test_every_screen_explains_its_figures_and_no_page_twice(pages: dict[str, str]) -> None:
    for name, kinds in SCREENS.items():
        told = TOLD.findall(pages[name])
        assert {f"explain-{kind}" for kind in kinds} <= set(told), name
        assert set(Counter(told).values()) == {1}, name


def test_every_button_has_its_explanation_on_the_same_page(pages: dict[str, str]) -> None:
    lost = {name: set(NAMED.findall(page)) - set(TOLD.findall(page)) for name, page in pages.items()
            if "<html" in page}  # fmt: skip
    assert {name: left for name, left in lost.items() if left} == {}


def test_no_page_and_no_picture_in_it_has_a_style(pages: dict[str, str]) -> None:
    assert [name for name, page in pages.items() if re.search(r"\sstyle=|<style", page)] == []


def test_every_id_stands_once_on_its_page(pages: dict[str, str]) -> None:
    twice = {name: [one for one, n in Counter(re.findall(r'\bid="([^"]+)"', page)).items() if n > 1]
             for name, page in pages.items()}  # fmt: skip
    assert {name: ids for name, ids in twice.items() if ids} == {}


@pytest.mark.parametrize("name", ["vehicle", "joint"])
def test_pictures_are_named_and_described(pages: dict[str, str], name: str) -> None:
    pictures = re.findall(r"<svg[^>]*class=\"trace [^>]*>.*?</svg>", pages[name], re.DOTALL)
    assert pictures
    for picture in pictures:
        assert 'role="img"' in picture
        assert re.search(r"<title id=\"[\w-]+\">.+?</title><desc id=\"[\w-]+\">.+?</desc>", picture)


@pytest.mark.parametrize("size", SIZES)
def test_three_hundred_rows_say_it_as_often_as_three(
    get: Get, manager: Person, alder: Yard, size: int
) -> None:
    crowd.many(alder, manager, size)
    page = get(manager, "/due/").text
    assert page.count("<tr") > min(size, 50)
    assert Counter(BUTTON.findall(page)) == {"first_of": 1, "projected": 1, "interval_used": 1}


@pytest.mark.parametrize("kind", EXPLANATIONS)
def test_every_explanation_is_used_and_says_all_three(kind: str) -> None:
    known = EXPLANATIONS[kind]
    assert all(
        str(text).strip() for text in (known.title, known.against, known.origin, known.bench)
    )
    assert any(f'explain "{kind}"' in path.read_text() for path in TEMPLATES.rglob("*.html")) or (
        kind == "reckoned"
    )


def render(text: str, **values: Any) -> str:
    request = RequestFactory().get("/")
    return Template("{% load explain %}" + text + "{% explanations %}").render(
        Context({"request": request, **values})
    )


def test_what_differs_on_a_page_is_said_first_and_what_was_typed_stays_words() -> None:
    told = render(
        '{% explain "torque_band" "Figure" band=band source=source version=3 %}',
        band="115 to 135 lbf·ft", source="<b>manual</b>",
    )  # fmt: skip
    assert "The wrench is set to 115 to 135 lbf·ft: &lt;b&gt;manual&lt;/b&gt;, version 3." in told


def test_a_later_button_without_its_own_figures_keeps_what_was_said() -> None:
    told = render(
        '{% explain "torque_band" band="1" source="s" version=1 %}'
        '{% explain "torque_band" "Against" %}'
    )
    assert BUTTON.findall(told) == ["torque_band"] * 2
    assert "The wrench is set to 1: s, version 1." in told


def test_a_page_that_explains_nothing_ends_without_explanations() -> None:
    assert render("").strip() == ""


def test_a_joint_says_its_own_figure(get: Get, manager: Person, alder: Yard) -> None:
    truck = build.vehicle(alder, "AB-1")
    on = build.joint(truck)
    build.spec(manager, design=truck.design)
    page = get(manager, f"/vehicles/AB-1/joints/{on.pk}/").text
    assert "The wrench is set to 114.3 to 135.7 lbf·ft: Foothill service manual, invented" in page


def test_a_pattern_says_how_often_and_from_when_on_it_counts(
    get: Get, manager: Person, alder: Yard
) -> None:
    on = build.joint(build.vehicle(alder, "AB-1"))
    found = [build.finding(on, manager, "moved") for _n in range(3)]
    statistic = {"count": 3, "window_days": 365, "at_least": 2}
    pattern = build.pattern(on, found, statistic=statistic)
    page = get(manager, f"/patterns/{pattern.uid}/").text
    assert "Found loose 3 times; 2 within 365 days make a pattern." in page
