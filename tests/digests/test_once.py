"""Once and only once, whatever dies when. RFC sections stand beside."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from fleet.operations import digest_send
from fleet.operations.digest_send import AGAIN_AFTER, LEASE, MOST_TRIES, claim, send_digests
from fleet.records.models import Digest, DigestSent, Person, Vehicle, Yard
from tests import outward, people
from tests.build import NOW
from tests.digests.conftest import send, sent
from tests.post_office import PostOffice, free_port

SOON = timedelta(minutes=1)


def test_it_is_sent_once_a_day(wished: Digest, office: PostOffice) -> None:
    assert [send(NOW + SOON * n) for n in range(3)] == [1, 0, 0]
    assert len(office.taken) == 1
    assert send(NOW + timedelta(days=1)) == 1
    assert len(office.taken) == 2
    assert {row.state for row in DigestSent.objects.all()} == {"sent"}


def test_two_at_once_send_one(wished: Digest, office: PostOffice, lena: Person) -> None:
    """The other has the row: whoever comes second gets none."""
    day = NOW.date()
    assert claim(lena, day, NOW) is not None
    assert claim(lena, day, NOW) is None
    assert send(NOW) == 0
    assert office.taken == []


def test_one_that_is_overtaken_after_its_lease_sends_nothing(
    wished: Digest, office: PostOffice, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It was slow, and another took the row: what it holds is not its own any more."""
    letter = digest_send._letter

    def slow(*given: Any) -> Any:
        monkeypatch.setattr(digest_send, "_letter", letter)
        assert send(NOW + LEASE + SOON) == 1
        return letter(*given)

    monkeypatch.setattr(digest_send, "_letter", slow)
    assert send(NOW) == 0
    assert len(office.taken) == 1


def test_killed_before_it_was_handed_over_it_is_sent_by_the_next(
    wished: Digest, office: PostOffice, lena: Person
) -> None:
    claim(lena, NOW.date(), NOW)
    assert send(NOW + LEASE) == 0
    assert send(NOW + LEASE + SOON) == 1
    assert len(office.taken) == 1


def test_killed_while_it_was_handed_over_there_is_no_second(
    wished: Digest, office: PostOffice, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody can know whether it went out: never twice weighs more (RFC 1047)."""

    def killed(*_: Any) -> int:
        raise SystemExit

    with monkeypatch.context() as patch:
        patch.setattr(digest_send, "_hand_over", killed)
        with pytest.raises(SystemExit):
            send(NOW)
    assert sent().state == "sending"
    assert send(NOW + timedelta(hours=2)) == 0
    assert office.taken == []


def test_a_server_that_dies_before_its_answer_is_not_asked_again(
    wished: Digest, office: PostOffice
) -> None:
    """RFC 5321, 4.5.4.1 leaves it open; the row says so, for its person to read."""
    office.to_letters = ["dies"]
    assert send(NOW) == 0
    assert sent().state == "sending"
    assert "Disconnected" in sent().reason or "reset" in sent().reason.lower()
    assert send(NOW + timedelta(hours=2)) == 0


@pytest.mark.parametrize("where", ["to_recipients", "to_letters"])
def test_refused_for_the_moment_it_is_tried_again_under_its_id(
    where: str, wished: Digest, office: PostOffice
) -> None:
    """RFC 5321, 4.2.1: 4yz is a transient negative answer."""
    setattr(office, where, ["451 come again"])
    assert send(NOW) == 0
    assert (sent().state, "451" in sent().reason) == ("claimed", True)
    assert send(NOW + AGAIN_AFTER) == 0
    assert send(NOW + AGAIN_AFTER + SOON) == 1
    assert str(sent().uid) in office.taken[0]["Message-ID"]


@pytest.mark.parametrize("where", ["to_recipients", "to_letters"])
def test_refused_for_good_it_is_left(where: str, wished: Digest, office: PostOffice) -> None:
    """RFC 5321, 4.2.1: 5yz is a permanent negative answer."""
    setattr(office, where, ["550 no such person"])
    send(NOW)
    assert (sent().state, "550" in sent().reason) == ("refused", True)
    assert send(NOW + timedelta(hours=2)) == 0


def test_a_server_out_of_reach_is_tried_again_for_two_hours(
    wished: Digest, office: PostOffice, settings: Any
) -> None:
    settings.EMAIL_PORT = free_port()
    at = NOW
    for tries in range(1, MOST_TRIES + 1):
        assert send(at) == 0
        assert sent().tries == tries
        at += AGAIN_AFTER + SOON
    assert sent().state == "refused"
    settings.EMAIL_PORT = office.port
    assert send(at) == 0


class TestWhen:
    """By the person's own clock (IANA time zones)."""

    def at(self, wish: Digest, *moments: datetime) -> list[int]:
        return [send(moment) for moment in moments]

    def test_not_before_its_hour(self, wished: Digest, office: PostOffice) -> None:
        """Six in Denver is 13:00 UTC in winter."""
        day = datetime(2026, 11, 26, tzinfo=UTC)
        before, after = day.replace(hour=12, minute=59), day.replace(hour=13)
        assert self.at(wished, before, after) == [0, 1]

    def test_late_on_the_same_day_where_nothing_ran(
        self, wished: Digest, office: PostOffice
    ) -> None:
        assert self.at(wished, datetime(2026, 11, 27, 6, 59, tzinfo=UTC)) == [1]
        assert sent().day == datetime(2026, 11, 26, tzinfo=UTC).date()

    def test_only_on_its_days(self, wished: Digest, office: PostOffice) -> None:
        Digest.objects.update(days=[0, 4])
        days = [NOW + timedelta(days=n) for n in range(7)]
        assert self.at(wished, *days) == [0, 0, 1, 0, 0, 1, 0]

    @pytest.mark.parametrize(
        ("hour", "moments", "found"),
        [
            # 8 March 2026: 02:00 to 03:00 does not happen; 1 November: 01:00 happens twice.
            (2, [(3, 8, 8, 59), (3, 8, 9, 0), (3, 8, 10, 0)], [0, 1, 0]),
            (1, [(11, 1, 6, 59), (11, 1, 7, 0), (11, 1, 8, 0)], [0, 1, 0]),
        ],
        ids=["spring", "autumn"],
    )
    def test_on_the_days_on_which_clocks_change(
        self, hour: int, moments: list[tuple[int, int, int, int]], found: list[int],
        wished: Digest, office: PostOffice,
    ) -> None:  # fmt: skip
        Digest.objects.update(hour=hour)
        at = [datetime(2026, m, d, h, n, tzinfo=UTC) for m, d, h, n in moments]
        assert self.at(wished, *at) == found


class TestWhom:
    def test_it_is_off_until_somebody_asks(
        self, truck: Vehicle, lena: Person, office: PostOffice
    ) -> None:
        assert send(NOW) == 0

    @pytest.mark.parametrize("change", [{"is_active": False}, {"role": "driver"}, {"email": ""}])
    def test_nobody_who_left_or_may_not_or_has_no_address(
        self, wished: Digest, office: PostOffice, change: dict[str, Any]
    ) -> None:
        Person.objects.update(**change)
        assert send(NOW) == 0
        assert not DigestSent.objects.exists()

    def test_a_day_with_nothing_to_tell_has_no_letter(
        self, lena: Person, alder: Yard, office: PostOffice
    ) -> None:
        outward.digest(lena, alder)
        assert send(NOW) == 0
        assert sent().state == "empty"

    def test_one_whose_letter_fails_keeps_no_other_waiting(
        self, wished: Digest, office: PostOffice, alder: Yard
    ) -> None:
        other = people.person("Osric", "manager", alder, email="osric@ranch.example")
        outward.digest(other, alder)
        office.to_recipients = ["550 no such person"]
        assert send(NOW) == 1
        assert office.taken[0]["To"] == "osric@ranch.example"

    def test_without_a_mail_server_nothing_is_claimed(
        self, wished: Digest, office: PostOffice, settings: Any
    ) -> None:
        settings.EMAIL_HOST = ""
        assert send_digests(at=NOW) == 0
        assert not DigestSent.objects.exists()
