"""PDF: tagged, titled, in a language; nothing typed is markup, nothing outside is read."""

import json
from io import BytesIO
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import translation
from pypdf import PdfReader

from fleet.papers import blocks, typeset
from fleet.papers.blocks import Head
from fleet.papers.table import Column
from tests.build import NOW
from tests.papers.conftest import structure, words_of

HEAD = Head("A paper", "Unit A-101", NOW, ZoneInfo("America/Denver"))
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><circle r="4"/></svg>'


def test_it_is_tagged_as_the_standard_asks() -> None:
    """ISO 14289-1 (PDF/UA-1), as far as a library sees: 5 (identification), 7.1 (tagged, title
    shown), 7.2 (language), 7.3 (alternate text), 7.5 (table headers). From memory, unverified."""
    grid = blocks.grid([Column("a", "Joint")], [["Track bar"]])
    made = [blocks.heading("A paper", 1), grid, blocks.picture(SVG, "a drawing of a bolt")]
    found = PdfReader(BytesIO(blocks.document(HEAD, made)))
    root: Any = found.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is True or root["/MarkInfo"]["/Marked"].value
    assert str(root["/Lang"]).startswith("en")
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value
    assert found.metadata is not None
    assert found.metadata.title == "A paper: Unit A-101"
    assert b"pdfuaid:part" in root["/Metadata"].get_data()
    kinds = structure(root["/StructTreeRoot"])
    assert {"/Document", "/H1", "/Table", "/TH", "/TD", "/Figure"} <= set(kinds)
    assert kinds["/Figure"] == "a drawing of a bolt"


def test_every_page_names_the_unit_the_moment_its_number_and_what_governs() -> None:
    made = [blocks.heading("A paper", 1), *(blocks.text(f"line {n}") for n in range(90))]
    found = PdfReader(BytesIO(blocks.document(HEAD, made)))
    assert len(found.pages) > 1
    for number, page in enumerate(found.pages, start=1):
        words = " ".join(page.extract_text().split())
        assert "Unit A-101" in words
        assert "Printed Nov 25, 2026, 12:00 (America/Denver)." in words
        assert f"Page {number} of {len(found.pages)}" in words
        assert "service information governs" in words


@pytest.mark.parametrize(
    "typed", ["#panic()", "*not bold*", "$x$", "= no heading", "<b>x</b>", "\\ @x", "`raw`", "//"]
)
def test_what_was_typed_is_never_markup(typed: str) -> None:
    cell = blocks.grid([Column("a", typed)], [[typed]])
    made = blocks.document(HEAD, [blocks.heading(typed, 1), blocks.text(typed), cell])
    assert words_of(made).count(typed.replace("\\ ", "\\ ")) >= 3


def test_the_paper_is_the_readers() -> None:
    sizes = {}
    for units in ("us", "metric"):
        head = Head("A paper", "", NOW, ZoneInfo("UTC"), units)
        page = PdfReader(BytesIO(blocks.document(head, [blocks.heading("A", 1)]))).pages[0]
        sizes[units] = (round(float(page.mediabox.width)), round(float(page.mediabox.height)))
    assert sizes == {"us": (612, 792), "metric": (595, 842)}


def test_the_language_of_the_document_is_the_readers() -> None:
    with translation.override("es"):
        made = blocks.document(HEAD, [blocks.heading("A", 1)])
    assert str(PdfReader(BytesIO(made)).trailer["/Root"]["/Lang"]).startswith("es")  # type: ignore[index]  # a dictionary


def test_the_same_at_the_same_moment_gives_the_same_bytes() -> None:
    one, other = (blocks.document(HEAD, [blocks.heading("A", 1)]) for _turn in range(2))
    assert one == other


OUTSIDE = [
    '#read("../secret.txt")', '#read("/../secret.txt")', '#image("../../etc/hostname")',
    '#import "@preview/x:1.0.0": *',
]  # fmt: skip


@pytest.mark.parametrize("code", OUTSIDE)
def test_a_template_reads_nothing_outside_its_folder(code: str, tmp_path: Path) -> None:
    folder = tmp_path / "paper"
    folder.mkdir()
    (tmp_path / "secret.txt").write_text("secret")
    (folder / "try.typ").write_text(f"#set document(title: [x])\n{code}")
    asked = {"folder": str(folder), "template": "try", "data": {}, "at": 0}
    with pytest.raises(typeset.NotSet):
        typeset.compiled(json.dumps(asked).encode())


@pytest.mark.parametrize(
    "inside",
    ['<image href="/etc/passwd"/>', '<image xlink:href="x.png"/>', "<style>@import 'x'</style>",
     '<rect fill="url(x.svg#a)"/>'],
)  # fmt: skip
def test_a_picture_that_names_something_outside_is_refused(inside: str) -> None:
    with pytest.raises(ValueError, match="nothing outside"):
        blocks.picture(SVG.replace("<circle", f"{inside}<circle"), "x")


def test_no_word_stands_in_a_template_of_paper() -> None:
    """What is in brackets or quotes is data or a name of the setter, never a sentence."""
    for path in typeset.templates().glob("*.typ"):
        for line in path.read_text(encoding="utf-8").splitlines():
            code = line.split("//")[0]
            assert "panic" in code or not any(
                " " in part.strip() for part in code.split('"')[1::2] if part.strip().isascii()
            ) or "Libertinus Serif" in code, line  # fmt: skip
