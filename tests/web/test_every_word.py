"""Every word on every page is a message, or stands on record."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client

from fleet.records.models import Person, Role
from tests import people
from tests.addresses import addresses
from tests.reads.reckoned import WHOLE
from tests.support import pseudo
from tests.support.known_words import on_record, strange
from tests.web.rows import Fleet

FIELD = re.compile(r'<(?:input|select|textarea)[^>]*\sname="([^"]+)"')
# Shows what was sent without being a word of any language.
NONSENSE = "§§ ?!"
SIGN_OUT = '<form method="post" action="/accounts/logout/">'
# As htmx asks for an answer without its page.
ALONE = {"HX-Request": "true"}
# What each role sees first, and what only it is shown.
FIRST = ("yard", "vehicles", "vehicle", "settings", "reckoner")


@pytest.fixture
def fleet(manager: Person) -> Fleet:
    return Fleet(manager, 3)


@pytest.fixture
def reader(client: Client, manager: Person) -> Iterator[Client]:
    """A manager who reads marks."""
    client.force_login(people.speaks(manager, pseudo.LANGUAGE))
    with pseudo.everything_marked():
        yield client


class Found(dict[str, list[str]]):
    """Strange texts by page."""

    def __init__(self) -> None:
        super().__init__()
        self.known = on_record()

    def look(self, name: str, page: Any) -> None:
        """Keep what a page shows that is neither message nor record."""
        found = strange(pseudo.Reader(page.text).outside_marks(), self.known)
        if found:
            self[name] = found

    def __str__(self) -> str:
        return "\n".join(f"{name}: {text}" for name, texts in self.items() for text in texts)


def pages(fleet: Fleet) -> dict[str, str]:
    return {
        name: path
        for name, path in addresses(fleet.vehicle).items()
        if not path.startswith("/api/") and not path.endswith(".csv")
    }


def test_every_page_and_every_refusal_is_made_of_messages_and_records(
    reader: Client, fleet: Fleet
) -> None:
    """Each page as it comes, and where it has a form or a filter, after nonsense and nothing."""
    found = Found()
    for name, path in pages(fleet).items():
        page = reader.get(path)
        if not page["Content-Type"].startswith("text/html"):
            continue
        found.look(name, page)
        fields = set(FIELD.findall(page.text)) - {"csrfmiddlewaretoken", "request_key", "version"}
        wrong = dict.fromkeys(fields, NONSENSE)
        if 'method="post"' in page.text.replace(SIGN_OUT, ""):
            found.look(f"{name}, nonsense", reader.post(path, wrong))
            found.look(f"{name}, empty", reader.post(path, dict.fromkeys(fields, "")))
        elif fields:
            found.look(f"{name}, nonsense", reader.get(path, wrong))
    assert not found, str(found)


@pytest.mark.parametrize(
    "role", [role for role in Role.values if role not in ("manager", "server")]
)
def test_every_role_reads_only_messages_and_records(
    reader: Client, fleet: Fleet, role: str
) -> None:
    who = people.person(f"Own {role}", role, fleet.yards[0], language=pseudo.LANGUAGE)
    reader.force_login(who)
    found = Found()
    paths = pages(fleet)
    for name in FIRST:
        found.look(name, reader.get(paths[name]))
    assert not found, str(found)


def test_every_answer_of_the_reckoner_is_made_of_messages(reader: Client, db: None) -> None:
    found = Found()
    for name, given in WHOLE.items():
        found.known = sorted((str(said) for said in given.values()), key=len, reverse=True)
        for what, typed in (("", given), (", wrong", dict.fromkeys(given, NONSENSE))):
            asked = {"calculator": name, "ask": "1", **typed}
            found.look(f"{name}{what}", reader.get("/reckoner/", asked, headers=ALONE))
    assert not found, str(found)


@pytest.mark.parametrize("path", ["/accounts/login/", "/accounts/signup/", "/no-such-page/"])
def test_pages_before_sign_in_are_made_of_messages(client: Client, db: None, path: str) -> None:
    found = Found()
    with pseudo.everything_marked():
        found.look(path, client.get(path, headers={"accept-language": pseudo.LANGUAGE}))
        typed = {"login": "nobody", "password": "§"}
        refused = client.post(path, typed, headers={"accept-language": pseudo.LANGUAGE})
        found.look("refused", refused)
    assert not found, str(found)
