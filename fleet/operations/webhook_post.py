"""One POST to an address that somebody typed: guarded, pinned, bounded, never redirected.

The name is looked up once; every address it has must be one of the open internet; and the
connection goes to the very address that was judged, so that a name which answers otherwise a
moment later gains nothing. The certificate is held against the name all the same. The standard
library's client does just this: no redirects, no proxy, no pool.
"""

import http.client
import ipaddress
import socket
import ssl
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from urllib.parse import urlsplit

from fleet.records.webhooks import Why

# Long enough for a slow receiver, short enough that a dead one is left soon (the specification
# advises 15 to 30 s).
SECONDS_TO_CONNECT, SECONDS_IN_ALL = 5.0, 15.0
MOST_BYTES = 20_000
# Its answer is only looked at for its status.
MOST_READ = 4_096
# Of the open internet by what the standard library knows, yet of a cloud's own inside.
INSIDE = (ipaddress.ip_network("168.63.129.16/32"), ipaddress.ip_network("192.0.0.0/24"))
_NAT64 = ipaddress.ip_network("64:ff9b::/96")

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


class Failed(Exception):
    """Nothing was answered: why, and what was said of it."""

    def __init__(self, why: Why, detail: str = "") -> None:
        super().__init__(why, detail)
        self.why, self.detail = why, detail


@dataclass(frozen=True)
class Answer:
    status: int
    # What it asks to wait, in seconds (RFC 9110, 10.2.3); none where it says nothing of it.
    retry_after: int | None = None


def post(url: str, body: bytes, headers: Mapping[str, str], *, loopback: bool = False) -> Answer:
    """Send the body and look at the status. Raises Failed.

    `loopback` lets http to this machine through, for development.
    """
    if len(body) > MOST_BYTES:
        raise Failed(Why.TOO_LONG, f"{len(body)} > {MOST_BYTES}")
    parts = urlsplit(url)
    host, port = parts.hostname or "", parts.port or (443 if parts.scheme == "https" else 80)
    pinned = judged(parts.scheme, host, port, loopback=loopback)
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    connection = _Pinned(host, port, pinned, secure=parts.scheme == "https")
    try:
        with _deadline(connection):
            connection.request("POST", path, body, {**headers, "Content-Type": "application/json",
                               "User-Agent": "Axlekeep", "Connection": "close"})  # fmt: skip
            answer = connection.getresponse()
            answer.read(MOST_READ)
            return Answer(answer.status, _wait(answer.getheader("Retry-After")))
    except (OSError, http.client.HTTPException) as error:
        raise Failed(_why(error), _said(error)) from error
    finally:
        connection.close()


def judged(scheme: str, host: str, port: int, *, loopback: bool) -> str:
    """The address to connect to. Raises Failed where the name has none, or where any address that
    it has is not to be called."""
    try:
        rows = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise Failed(Why.NO_NAME, _said(error)) from error
    found = [ipaddress.ip_address(str(row[4][0]).partition("%")[0]) for row in rows]
    if loopback and all(address.is_loopback for address in found):
        return str(found[0])
    if scheme != "https":
        raise Failed(Why.BARRED, "http")
    for address in found:
        if not is_open(address):
            raise Failed(Why.BARRED, str(address))
    return str(found[0])


def is_open(address: Address) -> bool:
    """Whether anybody on the internet may be called there: not this machine, not a private
    network, not a neighbour on the link, not a cloud's own service, however it is written."""
    inner = _inner(address)
    if inner is not None:
        return is_open(inner)
    barred = address.is_multicast or address.is_unspecified or address.is_reserved
    return address.is_global and not barred and not any(address in net for net in INSIDE)


def _inner(address: Address) -> Address | None:
    """The IPv4 address that an IPv6 one carries (RFC 4291, 3056, 4380, 6052)."""
    if isinstance(address, ipaddress.IPv4Address):
        return None
    if address in _NAT64:
        return ipaddress.IPv4Address(int(address) & 0xFFFF_FFFF)
    teredo = address.teredo
    return address.ipv4_mapped or address.sixtofour or (teredo[1] if teredo else None)


class _Pinned(http.client.HTTPConnection):
    """A connection to one address, under the name that was asked for."""

    def __init__(self, host: str, port: int, pinned: str, *, secure: bool) -> None:
        super().__init__(host, port, timeout=SECONDS_TO_CONNECT)
        self._pinned, self._secure = pinned, secure
        # The Host header leaves out the port where it is the scheme's own.
        self.default_port = 443 if secure else 80

    def connect(self) -> None:
        self.sock = socket.create_connection((self._pinned, self.port), self.timeout)
        if self._secure:
            # Set before the handshake, so that the deadline can end that too.
            self.sock = _trust().wrap_socket(
                self.sock, server_hostname=self.host, do_handshake_on_connect=False
            )
            self.sock.do_handshake()


@cache
def _trust() -> ssl.SSLContext:
    """The certificates that this system trusts; read once."""
    return ssl.create_default_context()


@contextmanager
def _deadline(connection: _Pinned) -> Iterator[None]:
    """End the whole talk after so long: one that trickles keeps each single wait short."""
    late = threading.Event()

    def end() -> None:
        late.set()
        sock = connection.sock
        if sock is not None:
            # It may be closed by now.
            with suppress(OSError):
                sock.shutdown(socket.SHUT_RDWR)

    timer = threading.Timer(SECONDS_IN_ALL, end)
    timer.daemon = True
    timer.start()
    try:
        yield
    except (OSError, http.client.HTTPException) as error:
        raise TimeoutError("no answer in time") if late.is_set() else error from None
    finally:
        timer.cancel()


def _wait(said: str | None) -> int | None:
    """Whole seconds; a date, which it may be too, is not heeded."""
    return int(said[:9]) if said and said.isascii() and said.isdigit() else None


def _why(error: Exception) -> Why:
    if isinstance(error, TimeoutError):
        return Why.LATE
    return Why.UNTRUSTED if isinstance(error, ssl.SSLCertVerificationError) else Why.NO_WAY


def _said(error: Exception) -> str:
    """What the network said, short enough for a list."""
    text = getattr(error, "strerror", None) or getattr(error, "verify_message", "") or str(error)
    return f"{type(error).__name__}: {text}"[:180]
