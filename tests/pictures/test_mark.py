"""The mark: one source for tables, drawing and the browser's icon, told apart without color."""

from xml.etree import ElementTree

import pytest
from django.conf import settings

from fleet.pictures.mark import MUST_ACT, SHAPES, SMALL_SHAPES, icon_svg, ink_svg, mark_svg
from fleet.records.models import Mark


def test_every_state_of_a_joint_has_its_own_shape_at_every_size() -> None:
    assert set(SHAPES) == set(SMALL_SHAPES) == set(Mark.values)
    for shapes in (SHAPES, SMALL_SHAPES):
        assert len(set(shapes.values())) == len(shapes)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("size", [16, 20, 28, 44])
def test_it_is_well_formed_and_colored_only_where_somebody_must_act(shape: str, size: int) -> None:
    svg = mark_svg(shape, 0.5, size=size, label="Play <1 mm")
    tree = ElementTree.fromstring(svg)  # noqa: S314 - written by us a line above
    assert (tree.get("width"), tree.get("aria-label")) == (str(size), "Play <1 mm")
    assert ("mark--act" in svg) == (shape in MUST_ACT)
    assert ("mark-arc" in svg) == (size >= 20)
    assert "style" not in svg


def test_the_arc_is_the_share_used_and_no_more_than_all_of_it() -> None:
    assert 'stroke-dasharray="62 100"' in mark_svg("tight", 0.62)
    over = mark_svg("tight", 1.4)
    assert 'stroke-dasharray="100 100"' in over
    assert "mark-arc--over" in over
    assert "mark-arc" not in mark_svg("tight", None)


def test_without_a_label_a_screen_reader_skips_it() -> None:
    assert 'aria-hidden="true"' in mark_svg("tight")


def test_a_state_that_has_no_shape_is_drawn_as_never_looked_at() -> None:
    assert mark_svg("surprise") == mark_svg("unknown")


@pytest.mark.parametrize("act", [True, False])
@pytest.mark.parametrize("shape", SHAPES)
def test_of_a_past_finding_the_page_says_whether_somebody_must_act(shape: str, act: bool) -> None:
    assert ("mark--act" in mark_svg(shape, size=16, act=act)) == act


@pytest.mark.parametrize("shape", SHAPES)
def test_on_paper_it_is_black_on_white_and_needs_no_style_sheet(shape: str) -> None:
    svg = ink_svg(shape)
    ElementTree.fromstring(svg)  # noqa: S314 - written by us a line above
    assert SMALL_SHAPES[shape] in svg
    assert 'stroke="#000"' in svg
    assert "class" not in svg


@pytest.mark.parametrize("shape", SHAPES)
def test_the_marks_of_the_sheets_buttons_come_from_the_same_source(shape: str) -> None:
    kept = settings.BASE_DIR / f"fleet/web/static/web/marks/{shape}.svg"
    assert kept.read_text(encoding="utf-8") == f"{ink_svg(shape)}\n"


def test_the_browsers_icon_comes_from_the_same_source() -> None:
    kept = settings.BASE_DIR / "fleet/web/static/web/mark.svg"
    assert kept.read_text(encoding="utf-8") == icon_svg("#b34208")
