"""Where nothing is sent, however the address is written (server-side request forgery)."""

import ipaddress
import socket
from typing import Any

import pytest

from fleet.operations.errors import Refused
from fleet.operations.holds import place_hold
from fleet.operations.webhook_post import Failed, is_open, post
from fleet.operations.webhooks import WebhookFacts, WithSecret, add_webhook, address_problem
from fleet.records.models import Webhook
from tests.events.conftest import delivery, work
from tests.operations.conftest import House
from tests.receiver import Receiver

INSIDE = {
    "loopback, RFC 1122 3.2.1.3": "127.8.9.10",
    "private, RFC 1918": "10.0.0.1",
    "private, RFC 1918, 172": "172.16.5.5",
    "private, RFC 1918, 192": "192.168.1.1",
    "link-local, RFC 3927; a cloud's metadata": "169.254.169.254",
    "shared, RFC 6598; a cloud's metadata": "100.100.100.200",
    "protocol assignments, RFC 6890; a cloud's metadata": "192.0.0.192",
    "a cloud's own service, by its documentation": "168.63.129.16",
    "this network, RFC 1122": "0.0.0.0",  # noqa: S104  (an address to refuse)
    "documentation, RFC 5737": "192.0.2.1",
    "benchmarking, RFC 2544": "198.18.0.1",
    "multicast, RFC 5771": "224.0.0.1",
    "broadcast, RFC 919": "255.255.255.255",
    "loopback, RFC 4291": "::1",
    "unspecified, RFC 4291": "::",
    "link-local, RFC 4291": "fe80::1",
    "unique local, RFC 4193; a cloud's metadata": "fd00:ec2::254",
    "multicast, RFC 4291": "ff02::1",
    "mapped, RFC 4291": "::ffff:10.0.0.1",
    "mapped loopback": "::ffff:127.0.0.1",
    "6to4, RFC 3056": "2002:7f00:1::",
    "NAT64, RFC 6052": "64:ff9b::169.254.169.254",
    "documentation, RFC 3849": "2001:db8::1",
}


@pytest.mark.parametrize("address", INSIDE.values(), ids=INSIDE)
def test_an_inside_address_is_known_for_one(address: str) -> None:
    assert not is_open(ipaddress.ip_address(address))


@pytest.mark.parametrize("address", ["1.1.1.1", "2606:4700::1111", "64:ff9b::1.1.1.1"])
def test_an_outside_address_is_let_through(address: str) -> None:
    assert is_open(ipaddress.ip_address(address))


def named(monkeypatch: pytest.MonkeyPatch, *addresses: str) -> list[Any]:
    """A name service that answers with these, and a note of each connection that is tried."""
    tried: list[Any] = []

    def lookup(host: str, port: int, **_: Any) -> list[Any]:
        return [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (each, port)) for each in addresses]

    def connect(address: Any, timeout: float) -> Any:
        tried.append(address)
        raise ConnectionRefusedError(111, "refused")

    monkeypatch.setattr(socket, "getaddrinfo", lookup)
    monkeypatch.setattr(socket, "create_connection", connect)
    return tried


def test_a_name_that_leads_inside_is_not_called(monkeypatch: pytest.MonkeyPatch) -> None:
    tried = named(monkeypatch, "10.1.2.3")
    with pytest.raises(Failed) as failed:
        post("https://dispatch.example/in", b"{}", {})
    assert (failed.value.why, failed.value.detail) == ("barred", "10.1.2.3")
    assert tried == []


def test_nor_one_of_which_only_one_address_does(monkeypatch: pytest.MonkeyPatch) -> None:
    tried = named(monkeypatch, "1.1.1.1", "127.0.0.1")
    with pytest.raises(Failed):
        post("https://dispatch.example/in", b"{}", {}, loopback=True)
    assert tried == []


def test_what_was_judged_is_what_is_called(monkeypatch: pytest.MonkeyPatch) -> None:
    """A name that answers otherwise the next moment (rebinding) is never asked a second time."""
    tried = named(monkeypatch, "1.1.1.1")
    with pytest.raises(Failed):
        post("https://dispatch.example:8443/in", b"{}", {})
    assert tried == [("1.1.1.1", 8443)]


def test_too_much_is_not_sent() -> None:
    with pytest.raises(Failed) as failed:
        post("https://dispatch.example/", b"a" * 20_001, {})
    assert failed.value.why == "too_long"


def test_this_machine_is_called_only_where_a_setting_says_so(
    house: House, made: WithSecret, receiver: Receiver, settings: Any
) -> None:
    settings.WEBHOOK_LOOPBACK = False
    place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now)
    work(house.now)
    assert receiver.got == []
    assert (delivery().state, delivery().reason) == ("dead", "barred")


@pytest.mark.parametrize(
    "wrong",
    [
        "", "dispatch.example", "ftp://dispatch.example/", "http://dispatch.example/",
        "https://", "https://me:pw@dispatch.example/", "https://dispatch.example/#a",
        "https://dispatch.example/ a", "https://dispatch.example/\r\nX: y", "https://10.0.0.1/",
        "https://[::1]/", "https://[fe80::1%25eth0]/", "https://localhost/", "https://box.local/",
        "https://meta.internal/", "https://dispatch.example:99999/", "https://127.0.0.1/",
    ],
)  # fmt: skip
def test_an_address_typed_wrong_is_refused_with_what_to_type(house: House, wrong: str) -> None:
    assert address_problem(wrong)
    with pytest.raises(Refused) as refused:
        add_webhook(house.manager, WebhookFacts("x", wrong, ("vehicle.held",)), at=house.now)
    assert [problem.field for problem in refused.value.problems] == ["address"]
    assert not Webhook.objects.exists()
