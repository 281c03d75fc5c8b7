"""What others read of a record comes in the reader's language, whoever wrote it."""

import re

import pytest
from django.utils import translation

from fleet.calc.fastener_tables import CLASSES, NUT_FACTORS, NutFactor, StrengthClass
from fleet.operations.vehicle_rules import vin_columns
from fleet.reads.cited import SOURCES, cited
from fleet.reads.rules import RuleNow
from fleet.reads.trail import VERBS, trail_rows
from fleet.reads.trail_words import name_of, value_of
from fleet.reads.vin_words import vin_note
from fleet.records.models import Hold, TrailEntry, YardMoveEnd
from tests.operations.conftest import House
from tests.support.words import ROOT

LANGUAGES = ["en", "es"]
VERB = re.compile(r'(?:trail|entry_written|say)\(\s*"([a-z_]+)"')


def play_found_by(house: House, language: str) -> Hold:
    """Somebody who reads the pages in this language finds play that holds the truck."""
    with translation.override(language):
        house.inspect(house.look("track_bar_axle_end", "play", method="dry_steer"))
    return Hold.objects.get(vehicle=house.vehicle, reason=Hold.Reason.FINDING)


@pytest.mark.parametrize("writer", LANGUAGES)
def test_why_a_vehicle_is_held_reads_alike_whoever_found_it(house: House, writer: str) -> None:
    hold = play_found_by(house, writer)
    with translation.override("en"):
        assert hold.words == "Track bar, axle end: play"
    with translation.override("es"):
        assert hold.words == "Barra Panhard, extremo del eje: juego"
    assert hold.text == "Track bar, axle end: play"


@pytest.mark.parametrize("reader", LANGUAGES)
def test_what_a_person_typed_stays_as_it_was_typed(reader: str) -> None:
    hold = Hold(text="Suena la dirección", said={})
    end = YardMoveEnd(note="llegó tarde")
    with translation.override(reader):
        assert hold.words == "Suena la dirección"
        assert end.words == "llegó tarde"


def test_the_trail_tells_a_hold_in_the_readers_language(house: House) -> None:
    play_found_by(house, "en")
    entries = TrailEntry.objects.filter(verb="place_hold")
    with translation.override("es"):
        [row] = trail_rows(entries)
        assert row.verb == "puso una retención"
        assert ("por qué", None, "Barra Panhard, extremo del eje: juego") in row.changes
        assert ("razón", None, "hallazgo") in row.changes


@pytest.mark.parametrize(
    ("subject", "name", "value", "said"),
    [
        ("secondcheck", "passed", True, ("pasó", "sí")),
        ("inspection", "kind", "retorque", ("tipo", "reapriete")),
        ("vehicle", "tyre_size", "265/70R17", ("medida de llanta", "265/70R17")),
        ("recheck", "falls_on", "2026-11-24", ("vence", "24 nov 2026")),
        ("ticketline", "action", "set_toe", ("trabajo", "Ajustar convergencia")),
        ("vehicle", "version", 3, ("versión", 3)),
        ("nothing", "of_this_name", "x", ("of this name", "x")),
    ],
)
def test_a_change_is_read_in_words(
    subject: str, name: str, value: object, said: tuple[str, object]
) -> None:
    with translation.override("es"):
        works = {"set_toe": "Ajustar convergencia"}
        assert (name_of(subject, name), value_of(subject, name, value, works)) == said


def test_every_verb_of_the_trail_has_words() -> None:
    written = {
        verb
        for path in (ROOT / "fleet" / "operations").rglob("*.py")
        for verb in VERB.findall(path.read_text(encoding="utf-8"))
    }
    assert written - set(VERBS) == set()


@pytest.mark.parametrize(
    "source", [*NUT_FACTORS.values(), *CLASSES.values()], ids=lambda source: source.citation[:20]
)
def test_every_source_of_a_figure_is_known_in_both_languages(
    source: NutFactor | StrengthClass,
) -> None:
    citation = source.citation
    assert str(SOURCES[citation]) == citation
    with translation.override("es"):
        assert cited(f"K: {citation}; x") != f"K: {citation}; x"


def test_a_rules_source_is_named_in_the_readers_language() -> None:
    own = RuleNow("a", 1, {"source": {"en": "own", "es": "propio"}})
    typed = RuleNow("b", 2, {"source": "the foreman's list"})
    with translation.override("es"):
        assert (own.source, typed.source) == ("propio", "the foreman's list")


def test_a_note_on_a_vin_is_kept_in_english_and_read_in_spanish() -> None:
    wrong = "0DM4FHA38LB00041"
    with translation.override("es"):
        assert vin_columns(wrong)["vin_note"] == "A VIN has 17 characters; this has 16."
        assert vin_note(wrong) == "Un VIN tiene 17 caracteres; éste tiene 16."
    assert vin_note("") == ""
