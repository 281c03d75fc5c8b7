"""The tablet page's shell: what the tablet keeps is whole, and every word it says is a message."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.test import Client

from fleet.web import bay_shell
from fleet.web.bay_words import WORDS

SCRIPTS = bay_shell.STATIC / "web" / "bay"
SAID = re.compile(r'\bt\(\s*"([\w.]+)"')
COUNTED = re.compile(r'\btn\(\s*"([\w.]+)"')
# Keys are also made of two halves, of which the scripts hold the first: t(`verb.${op.verb}`).
FIRST_HALF = re.compile(r"\bt\(\s*`([\w.]+)\$\{")
PLACE = re.compile(r"%\((\w+)\)s")


def scripts() -> Iterator[tuple[str, str]]:
    for path in sorted(SCRIPTS.rglob("*.js")):
        if "vendor" not in path.parts:
            yield str(path.relative_to(SCRIPTS)), path.read_text(encoding="utf-8")


def lines(script: str) -> list[str]:
    """Without those that only comment."""
    plain = (
        line for line in script.splitlines() if not line.strip().startswith(("//", "/**", "*"))
    )
    return list(plain)


def kept(client: Client) -> list[str]:
    """The addresses that the worker keeps."""
    listed = re.search(
        r"^const SHELL = (\{.*\});$", client.get("/bay/worker.js").text, re.MULTILINE
    )
    assert listed is not None
    said = json.loads(listed.group(1))
    return ["/bay/", *said["early"], *said["words"].values(), *client.get(said["late"]).json()]


def test_the_shell_is_the_same_for_everybody_and_needs_no_sign_in(
    client: Client, manager: Any, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(0):
        strangers = client.get("/bay/").text
    client.force_login(manager)
    assert client.get("/bay/").text == strangers
    assert manager.name not in strangers


def test_all_that_the_page_and_its_sheets_ask_for_is_kept(client: Client) -> None:
    addresses = kept(client)
    page = client.get("/bay/").text
    asked = set(re.findall(r'(?:href|src)="(/[^"]+)"', page))
    asked |= set(re.findall(r"&quot;(/static/[^&]+)&quot;", page))
    # The picture on the home screen and the manifest are for whoever installs the page: online.
    asked -= {"/bay/app.webmanifest", "/static/web/bay/icon-192.png"}
    for sheet in bay_shell.sheets():
        text = Path(str(finders.find(sheet))).read_text(encoding="utf-8")
        asked |= {f"/static/web/{name}" for name in re.findall(r'url\("([^"]+)"\)', text)}
    assert asked - set(addresses) == set()


def test_every_script_that_another_imports_is_kept(client: Client) -> None:
    addresses = set(kept(client))
    for name, text in scripts():
        for said in re.findall(r'\bfrom\s+"(\.[^"]+)"', text):
            path = (SCRIPTS / name).parent / said
            assert f"/static/web/bay/{path.resolve().relative_to(SCRIPTS)}" in addresses, name


def test_what_comes_in_one_piece_is_what_comes_by_its_own_address(client: Client) -> None:
    for address, (_kind, text) in client.get("/bay/late.json").json().items():
        path = Path(str(finders.find(address.removeprefix("/static/"))))
        assert lines(text) == lines(path.read_text(encoding="utf-8"))


def test_whatever_is_kept_is_there_without_a_sign_in(client: Client, db: None) -> None:
    for address in kept(client):
        if address.startswith("/static/"):
            assert finders.find(address.removeprefix("/static/")), address
        else:
            answer = client.get(address)
            assert answer.status_code == 200, address
            lasting = "?" in address
            assert ("immutable" if lasting else "no-cache") in answer["Cache-Control"]


def test_no_answer_of_the_api_is_kept(client: Client) -> None:
    assert [address for address in kept(client) if address.startswith("/api/")] == []


def test_the_build_is_named_by_the_page_and_its_worker(client: Client) -> None:
    build = bay_shell.build()
    assert f'data-build="{build}"' in client.get("/bay/").text
    assert f'"build": "{build}"' in client.get("/bay/worker.js").text


def test_every_word_a_script_says_is_there() -> None:
    missing = [
        (name, key)
        for name, text in scripts()
        for key in [
            *SAID.findall(text),
            *(f"{key}.{form}" for key in COUNTED.findall(text) for form in ("one", "many")),
        ]
        if key not in WORDS
    ]
    assert missing == []


def test_every_word_is_said_by_a_script() -> None:
    everything = "\n".join(text for _name, text in scripts())
    halves = tuple(FIRST_HALF.findall(everything))
    left = [
        key
        for key in WORDS
        if f'"{key.removesuffix(".one").removesuffix(".many")}"' not in everything
        and not key.startswith(halves)
    ]
    assert left == []


@pytest.mark.parametrize("language", bay_shell.LANGUAGES)
def test_words_come_in_each_language_with_the_same_places(client: Client, language: str) -> None:
    words = client.get(f"/bay/words/{language}.json").json()
    source = {key: set(PLACE.findall(str(text))) for key, text in WORDS.items()}
    assert {key: set(PLACE.findall(text)) for key, text in words.items()} == source
    assert words["months"].count("|") == 12


def test_a_language_that_we_do_not_speak_is_not_there(client: Client, db: None) -> None:
    assert client.get("/bay/words/xx.json").status_code == 404


def test_the_page_can_be_installed(client: Client) -> None:
    """As W3C's Web Application Manifest asks: name, start within scope, pictures of 192 and 512."""
    manifest = client.get("/bay/app.webmanifest")
    said = manifest.json()
    assert manifest["Content-Type"] == "application/manifest+json"
    assert said["start_url"].startswith(said["scope"])
    assert said["display"] == "standalone"
    assert {icon["sizes"] for icon in said["icons"]} == {"any", "192x192", "512x512"}


def test_a_script_is_short() -> None:
    long = [name for name, text in scripts() if len(text.splitlines()) > 300]
    assert long == []
