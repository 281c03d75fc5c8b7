"""What a letter says, and how one is rid of it."""

import re
from datetime import timedelta
from email.message import EmailMessage
from html.parser import HTMLParser
from typing import Any

import pytest
from django.test import Client

from fleet.records.models import Digest, Person, Posting, Vehicle, Yard
from tests import build, people
from tests.build import NOW
from tests.digests.conftest import SITE, send
from tests.post_office import PostOffice


@pytest.fixture
def letter(wished: Digest, office: PostOffice) -> EmailMessage:
    assert send(NOW) == 1
    return office.taken[0]


def part(letter: EmailMessage, kind: str) -> str:
    body = letter.get_body((kind,))
    assert body is not None
    return str(body.get_content())


def test_it_works(letter: EmailMessage) -> None:
    assert letter["To"] == "lena@ranch.example"
    assert letter["From"] == "Axlekeep <fleet@fleet.example>"
    assert letter["Subject"] == "Alder: 1 held, 1 overdue, 0 due this week"
    text = part(letter, "plain")
    for line in (
        "Alder", "Held: must not go out (1)", "- A-101: Play at the track bar, frame end",
        "Overdue (1)", "- A-101: Track bar, frame end, Retorque: Nov 22, 2026", SITE,
    ):  # fmt: skip
        assert line in text.splitlines(), line
    assert "service information governs" in text


def test_both_parts_say_the_same(letter: EmailMessage) -> None:
    plain = part(letter, "plain")
    html = re.sub(r"<[^>]+>", " ", part(letter, "html"))
    for words in ("Held: must not go out (1)", "Play at the track bar, frame end", "Overdue (1)"):
        assert words in plain
        assert words in " ".join(html.split())


def test_the_html_fetches_nothing_and_tells_nobody(letter: EmailMessage) -> None:
    """No picture, style, script or frame, and no address but this site's own."""
    seen: list[tuple[str, dict[str, Any]]] = []

    class Reader(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            seen.append((tag, dict(attrs)))

    Reader().feed(part(letter, "html"))
    assert {tag for tag, _attrs in seen} <= {
        "html", "head", "meta", "title", "body", "h1", "h2", "ul", "li", "p", "a",
    }  # fmt: skip
    assert all(set(attrs) <= {"href", "lang", "charset"} for _tag, attrs in seen)
    assert all(attrs["href"].startswith(SITE) for tag, attrs in seen if tag == "a")
    assert f"{SITE}/vehicles/A-101/" in [attrs.get("href") for _tag, attrs in seen]


def test_what_was_typed_is_no_markup(
    wished: Digest, office: PostOffice, truck: Vehicle, lena: Person
) -> None:
    build.hold(truck, lena, reason="person", text="<b>Bent</b> & loose")
    send(NOW)
    assert "&lt;b&gt;Bent&lt;/b&gt; &amp; loose" in part(office.taken[0], "html")
    assert "<b>Bent</b> & loose" in part(office.taken[0], "plain")


def test_in_the_persons_own_language(wished: Digest, office: PostOffice) -> None:
    Person.objects.update(language="es")
    send(NOW)
    letter = office.taken[0]
    assert "Vencidas (1)" in part(letter, "plain")
    assert 'lang="es"' in part(letter, "html")


def test_a_yard_that_one_sees_no_more_is_not_told_of(
    wished: Digest, office: PostOffice, lena: Person, alder: Yard
) -> None:
    mesa = build.yard("Mesa")
    build.hold(build.vehicle(mesa, "M-1"), lena)
    wished.yards.add(mesa)
    Posting.objects.filter(yard=alder).delete()
    Posting.objects.create(person=lena, yard=mesa)
    send(NOW)
    assert "A-101" not in part(office.taken[0], "plain")
    assert "M-1" in part(office.taken[0], "plain")


class TestRidOfIt:
    def path(self, letter: EmailMessage) -> str:
        # A long header is folded behind its name (RFC 5322, 2.2.3).
        said = str(letter["List-Unsubscribe"]).strip()
        assert re.fullmatch(r"<https://fleet\.example/digest/off/[^<>]+/>", said)
        return said.strip("<>").removeprefix(SITE)

    def test_by_one_press_in_the_mail_program(self, letter: EmailMessage) -> None:
        """RFC 8058, 3.1 and 3.2: the header, and a POST with no cookie that does it."""
        assert letter["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
        client = Client(enforce_csrf_checks=True)
        answer = client.post(self.path(letter), {"List-Unsubscribe": "One-Click"})
        assert answer.status_code == 200
        assert not answer.cookies
        assert not Digest.objects.get().is_on

    def test_a_link_that_is_only_followed_asks_first(self, letter: EmailMessage) -> None:
        """A program that looks at every link must not end it."""
        answer = Client().get(self.path(letter))
        assert "Send me no more" in answer.content.decode()
        assert Digest.objects.get().is_on

    def test_a_link_that_was_tampered_with_is_nowhere(self, letter: EmailMessage) -> None:
        path = self.path(letter)
        assert Client().post(path[:-6] + "aaaaa/").status_code == 404
        assert Digest.objects.get().is_on

    def test_no_program_answers_it(self, letter: EmailMessage) -> None:
        """RFC 3834, 5: what a program sent is marked as such."""
        assert letter["Auto-Submitted"] == "auto-generated"


class TestSettings:
    def typed(self, yard: Yard, **changed: Any) -> dict[str, Any]:
        return {
            "is_on": "on", "email": "lena@ranch.example", "yard_ids": [yard.pk], "days": [0, 2],
            "hour": 5, "time_zone": "America/Denver", **changed,
        }  # fmt: skip

    def test_it_is_switched_on_and_off(
        self, lena: Person, alder: Yard, client: Client, office: PostOffice
    ) -> None:
        client.force_login(lena)
        assert "It is off." in client.get("/settings/").content.decode()
        client.post("/settings/digest/", self.typed(alder))
        row = Digest.objects.get()
        assert (row.is_on, row.days, row.hour, row.time_zone) == (True, [0, 2], 5, "America/Denver")
        assert "Monday, Wednesday" in client.get("/settings/").content.decode()
        client.post("/settings/digest/", self.typed(alder, is_on=""))
        assert not Digest.objects.get().is_on

    @pytest.mark.parametrize(
        ("wrong", "told"),
        [
            ({"email": "lena at ranch"}, "Type your e-mail address"),
            ({"yard_ids": []}, "Choose a yard."),
            ({"days": []}, "Choose the days."),
            ({"time_zone": "Denver"}, "There is no such time zone"),
        ],
    )
    def test_what_is_wrong_is_told_and_stays(
        self, wrong: dict[str, Any], told: str, lena: Person, alder: Yard, client: Client
    ) -> None:
        client.force_login(lena)
        answer = client.post("/settings/digest/", self.typed(alder, **wrong))
        assert answer.status_code == 400
        assert told in answer.content.decode()
        assert str(wrong.get("email", "")) in answer.content.decode()
        assert not Digest.objects.exists()

    def test_a_server_without_mail_says_so(
        self, lena: Person, client: Client, settings: Any
    ) -> None:
        settings.EMAIL_HOST = ""
        client.force_login(lena)
        for path in ("/settings/", "/settings/digest/"):
            assert "This server can’t send" in client.get(path).content.decode().replace(
                "&#x27;", "’"
            ).replace("can't", "can’t")

    def test_a_driver_is_offered_none(self, alder: Yard, client: Client) -> None:
        client.force_login(people.driver(alder))
        assert client.get("/settings/digest/").status_code == 403


def test_a_date_by_the_meter_is_told_as_likely(
    wished: Digest, office: PostOffice, truck: Vehicle
) -> None:
    likely = NOW.date() + timedelta(days=3)
    build.recheck(truck, kind="look", due_in=90, use_on=likely, falls_on=likely)
    send(NOW)
    lines = part(office.taken[0], "plain").splitlines()
    assert "- A-101: Whole front end, Look: likely Nov 28, 2026, by its meter" in lines, lines
