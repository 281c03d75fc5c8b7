"""Which language a page comes in, and how each language writes dates and figures."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from babel import Locale
from django import forms
from django.test import Client
from django.utils import formats, translation

from fleet.calc.units import UnitError, parse_length
from fleet.records.models import Person
from fleet.web.numbers import NumberField
from fleet.web.templatetags import figures
from tests import people
from tests.web.conftest import Get

DAY = date(2026, 3, 8)
MOMENT = datetime(2026, 3, 8, 21, 5, tzinfo=UTC)
# The Spanish of whom the program is for, by the Unicode CLDR (as Babel carries it).
READERS = [Locale("es", "US"), Locale("es", "MX")]


@pytest.mark.parametrize("reader", READERS, ids=str)
def test_spanish_writes_numbers_and_weeks_as_the_us_and_mexico_do(reader: Locale) -> None:
    """Source: Unicode CLDR, number symbols and first day of week of es-US and es-MX."""
    symbols = reader.number_symbols["latn"]
    with translation.override("es"):
        assert formats.get_format("DECIMAL_SEPARATOR") == symbols["decimal"] == "."
        assert formats.get_format("THOUSAND_SEPARATOR") == symbols["group"] == ","
        # Django counts from Sunday, CLDR from Monday.
        assert formats.get_format("FIRST_DAY_OF_WEEK") == (reader.first_week_day + 1) % 7


@pytest.mark.parametrize("month", range(1, 13))
def test_months_are_named_as_cldr_names_them(month: int) -> None:
    """Source: Unicode CLDR, month names of es-MX; its short ones but for their length."""
    with translation.override("es"):
        written = figures.day(date(2026, month, 8))
    full = READERS[1].months["format"]["wide"][month]
    day, name, year = written.split()
    assert (day, year) == ("8", "2026")
    assert full.startswith(name.rstrip("."))


@pytest.mark.parametrize(
    ("language", "day", "moment"),
    [
        ("en", "Mar 8, 2026", "Mar 8, 2026, 21:05"),
        ("es", "8 mar 2026", "8 mar 2026, 21:05"),
    ],
)
def test_a_day_and_a_clock_of_24_hours(language: str, day: str, moment: str) -> None:
    with translation.override(language):
        assert figures.day(DAY) == day
        assert figures.moment(MOMENT) == moment
        assert formats.date_format(MOMENT, "DATETIME_FORMAT") == moment


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(
    ("typed", "read"), [("1.5", 1.5), ("1,5", 1.5), ("-0,25", -0.25), ("2", 2.0), ("", None)]
)
def test_a_number_is_read_alike_in_both_languages(
    language: str, typed: str, read: float | None
) -> None:
    with translation.override(language):
        assert NumberField(required=False).clean(typed) == read


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_can_be_read_in_two_ways_is_refused(language: str) -> None:
    with translation.override(language):
        with pytest.raises(forms.ValidationError):
            NumberField().clean("1,500")
        with pytest.raises(UnitError):
            parse_length("1,176 mm")
        assert parse_length("46,31 mm").si == pytest.approx(0.04631)
        # A day and a month in figures alone.
        with pytest.raises(forms.ValidationError):
            forms.DateField().clean("03/04/2026")
        assert forms.DateField().clean("2026-03-04") == date(2026, 3, 4)


@pytest.mark.parametrize(
    ("asked", "lang", "says"),
    [
        ("es-MX,es;q=0.9,en;q=0.5", "es", "Iniciar sesión"),
        ("en-US,en", "en", "Sign in"),
        ("de-DE", "en", "Sign in"),
        ("", "en", "Sign in"),
    ],
)
def test_before_sign_in_the_browser_says_which_language(
    client: Client, db: None, asked: str, lang: str, says: str
) -> None:
    page = client.get("/accounts/login/", headers={"accept-language": asked})
    assert f'<html lang="{lang}' in page.text
    assert f"<h1>{says}</h1>" in page.text


def test_a_plain_button_changes_the_language_before_sign_in(client: Client, db: None) -> None:
    page = client.get("/accounts/login/?next=/due/")
    assert '<button class="target" type="submit" name="language" value="es" lang="es">' in page.text
    back = client.post("/language/", {"language": "es", "next": "/accounts/login/?next=/due/"})
    assert back["Location"] == "/accounts/login/?next=/due/"
    page = client.get("/accounts/login/?next=/due/")
    assert '<html lang="es">' in page.text
    assert 'value="en" lang="en">English</button>' in page.text
    assert 'value="/due/"' in page.text


def test_the_button_leads_nowhere_else(client: Client, db: None) -> None:
    there = client.post("/language/", {"language": "es", "next": "https://elsewhere.example/"})
    assert there["Location"] == "/"


def test_after_sign_in_a_persons_own_setting_counts(
    client: Client, get: Get, manager: Person
) -> None:
    client.post("/language/", {"language": "es"})
    page = get(manager, "/settings/")
    assert '<html lang="en">' in page.text
    assert page["Content-Language"] == "en"
    people.speaks(manager, "es")
    page = client.get("/settings/", headers={"accept-language": "en"})
    assert '<html lang="es">' in page.text
    assert page["Content-Language"] == "es"


def test_a_change_of_language_is_told_in_the_new_one(client: Client, manager: Person) -> None:
    client.force_login(manager)
    page: Any = client.post("/settings/", {"language": "es", "units": "us"}, follow=True)
    assert "Guardado." in page.text
    assert ">English</option>" in page.text
    assert ">Español</option>" in page.text


@pytest.mark.parametrize("path", ["/no-such-page/", "/trail/"])
def test_a_page_that_does_not_open_says_so_in_the_readers_language(
    client: Client, alder: Any, path: str
) -> None:
    technician = people.technician(alder)
    people.speaks(technician, "es")
    client.force_login(technician)
    page = client.get(path)
    assert page.status_code in {403, 404}
    assert '<html lang="es">' in page.text
