"""An authority of the fleet's own, and a certificate by which tablets reach this machine by https.

Browsers keep a page for use without a network only where its address is secure, and nobody outside
vouches for an address on a shop's own network. The `openssl` program makes both; nothing of it
leaves this machine but the authority's certificate, which each tablet is told to trust.
"""

import ipaddress
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

AUTHORITY_DAYS = 3650
# Longer ones are refused by some browsers, own authority or not.
SERVER_DAYS = 397
# NIST P-256: what every tablet reads.
CURVE = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"]


class NotMade(Exception):
    """Why there is no certificate, and what to do."""


@dataclass(frozen=True)
class Certificates:
    """Where they lie: the keys are readable by their owner only."""

    folder: Path

    @property
    def authority(self) -> Path:
        """What tablets are told to trust."""
        return self.folder / "authority.crt"

    @property
    def authority_key(self) -> Path:
        return self.folder / "authority.key"

    @property
    def server(self) -> Path:
        return self.folder / "server.crt"

    @property
    def server_key(self) -> Path:
        return self.folder / "server.key"

    @property
    def names(self) -> Path:
        """The addresses that the authority may vouch for."""
        return self.folder / "addresses"

    def are_there(self) -> bool:
        return self.server.exists() and self.server_key.exists()


def make(folder: Path, addresses: list[str]) -> tuple[Certificates, bool]:
    """Certificates for these names and numbers, and whether the authority is a new one.

    An authority vouches for the addresses that it was made for and for no others, so that a tablet
    that trusts it is open to no other forgery. The same addresses again renew the server's alone.
    Raises NotMade where `openssl` is missing or an address is none.
    """
    if not shutil.which("openssl"):
        raise NotMade("The openssl program is missing. On Debian: apt-get install openssl")
    alternatives = [_alternative(address) for address in addresses]
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    found = Certificates(folder)
    wanted = "\n".join(sorted(alternatives))
    renew = found.authority_key.exists() and found.names.read_text() == wanted
    if not renew:
        _make_authority(found, alternatives)
        found.names.write_text(wanted)
    _make_server(found, alternatives)
    return found, not renew


def _alternative(address: str) -> str:
    """As a certificate names it: 'IP:192.168.1.20', 'DNS:shop.lan'."""
    try:
        return f"IP:{ipaddress.ip_address(address)}"
    except ValueError:
        pass
    parts = address.split(".")
    if not all(part and part.replace("-", "").isalnum() for part in parts):
        raise NotMade(f"{address} is neither a name nor a number, like shop.lan or 192.168.1.20.")
    return f"DNS:{address.lower()}"


def _permitted(alternatives: list[str]) -> Iterator[str]:
    """Nothing else: a kind of name that none is permitted of would be free."""
    for kind, none in (("DNS", "DNS:invalid"), ("IP", "IP:192.0.2.0/255.255.255.255")):
        mine = [one for one in alternatives if one.startswith(kind)] or [none]
        yield from (f"permitted;{one}{_mask(one)}" for one in mine)


def _mask(alternative: str) -> str:
    if not alternative.startswith("IP:") or "/" in alternative:
        return ""
    return f"/{ipaddress.ip_network(alternative.removeprefix('IP:')).netmask}"


def _make_authority(found: Certificates, alternatives: list[str]) -> None:
    _openssl(
        found.authority_key, "req", "-x509", *CURVE, "-keyout", str(found.authority_key),
        "-out", str(found.authority), "-days", str(AUTHORITY_DAYS),
        "-subj", "/CN=Axlekeep of this fleet",
        "-addext", "basicConstraints=critical,CA:TRUE,pathlen:0",
        "-addext", "keyUsage=critical,keyCertSign,cRLSign",
        "-addext", f"nameConstraints=critical,{','.join(_permitted(alternatives))}",
    )  # fmt: skip


def _make_server(found: Certificates, alternatives: list[str]) -> None:
    _openssl(
        found.server_key, "req", "-x509", *CURVE, "-keyout", str(found.server_key),
        "-out", str(found.server), "-days", str(SERVER_DAYS), "-subj", "/CN=Axlekeep server",
        "-CA", str(found.authority), "-CAkey", str(found.authority_key),
        "-addext", "basicConstraints=critical,CA:FALSE",
        "-addext", "keyUsage=critical,digitalSignature",
        "-addext", "extendedKeyUsage=serverAuth",
        "-addext", f"subjectAltName={','.join(alternatives)}",
    )  # fmt: skip


def _openssl(key: Path, *arguments: str) -> None:
    """Run it; the key that it writes is never readable by others, not for a moment."""
    key.touch(mode=0o600)
    done = subprocess.run(  # noqa: S603  (our own words and checked addresses)
        ["openssl", *arguments],  # noqa: S607  (the system's own)
        check=False, capture_output=True, text=True,
    )  # fmt: skip
    if done.returncode:
        raise NotMade(f"openssl said: {done.stderr.strip()}")
