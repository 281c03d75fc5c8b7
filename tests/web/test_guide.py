"""The guide's pages: a chapter for each kind of person, its pictures there and small."""

from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from fleet.records.models import Person, Yard
from fleet.web.guide_text import CHAPTERS, HEIGHT, SECTIONS, WIDTH
from tests import people
from tests.web.conftest import Get

MOST_BYTES, MOST_OF_A_CHAPTER = 700_000, 130_000


def pictures(key: str) -> tuple[Path, Path]:
    section = SECTIONS[key]
    found = [finders.find(name) for name in (section.light, section.dark)]
    assert None not in found, f"no picture of {key}: make guide"
    light, dark = (Path(str(each)) for each in found)
    return light, dark


@pytest.mark.parametrize("key", SECTIONS)
def test_each_section_has_its_two_pictures_of_the_size_that_is_said(key: str) -> None:
    for path in pictures(key):
        data = path.read_bytes()
        assert (data[:4], data[8:12]) == (b"RIFF", b"WEBP")
        assert _size(data) == (WIDTH, HEIGHT)


def _size(data: bytes) -> tuple[int, int]:
    """Width and height of a lossy WebP (RFC 9649, 2.5; RFC 6386, 9.1)."""
    if data[12:16] == b"VP8X":
        wide, high = (int.from_bytes(data[at : at + 3], "little") + 1 for at in (24, 27))
    else:
        wide, high = (int.from_bytes(data[at : at + 2], "little") & 0x3FFF for at in (26, 28))
    return wide, high


def test_all_pictures_together_are_small() -> None:
    sizes = {key: [path.stat().st_size for path in pictures(key)] for key in SECTIONS}
    assert sum(sum(pair) for pair in sizes.values()) < MOST_BYTES
    for chapter in CHAPTERS.values():
        assert sum(max(sizes[each.key]) for each in chapter.sections) < MOST_OF_A_CHAPTER


@pytest.mark.parametrize("who", CHAPTERS)
def test_a_chapter_tells_its_steps_with_pictures_that_are_read_aloud(
    get: Get, alder: Yard, who: str
) -> None:
    page = get(people.driver(alder), f"/guide/{who}/")
    for section in CHAPTERS[who].sections:
        assert str(section.title) in page.text.replace("&#x27;", "'")
        assert section.light in page.text
        assert section.dark in page.text
    assert page.text.count('loading="lazy"') == len(CHAPTERS[who].sections)
    assert 'alt=""' not in page.text


def test_ones_own_chapter_comes_first(get: Get, alder: Yard, manager: Person) -> None:
    assert get(manager, "/guide/").context["chapters"][0].key == "manager"
    assert get(people.driver(alder), "/guide/").context["chapters"][0].key == "driver"
    get(manager, "/guide/nobody/", 404)


def test_every_section_stands_in_a_chapter() -> None:
    told = {section.key for chapter in CHAPTERS.values() for section in chapter.sections}
    assert told == set(SECTIONS)
