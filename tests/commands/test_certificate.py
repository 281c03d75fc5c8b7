"""An authority of one's own: trusted, it vouches for this machine's addresses and nothing else."""

import socket
import ssl
import subprocess
import threading
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from fleet.management import certificates

ADDRESSES = ["127.0.0.1", "shop.lan"]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> certificates.Certificates:
    found, new = certificates.make(tmp_path_factory.mktemp("made") / "tls", ADDRESSES)
    assert new
    return found


def shakes_hands(made: certificates.Certificates, name: str) -> None:
    """As a browser does that trusts the authority: Python's own TLS on both ends."""
    ours = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    ours.load_cert_chain(made.server, made.server_key)
    theirs = ssl.create_default_context(cafile=str(made.authority))
    one, other = socket.socketpair()

    def answer() -> None:
        try:
            ours.wrap_socket(one, server_side=True)
        except OSError:
            one.close()

    threading.Thread(target=answer, daemon=True).start()
    with theirs.wrap_socket(other, server_hostname=name):
        pass


@pytest.mark.parametrize("name", ADDRESSES)
def test_who_trusts_the_authority_trusts_each_address(
    made: certificates.Certificates, name: str
) -> None:
    shakes_hands(made, name)


def test_another_address_is_not_trusted(made: certificates.Certificates) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        shakes_hands(made, "elsewhere.lan")


def test_the_authority_can_vouch_for_nothing_else(made: certificates.Certificates) -> None:
    """RFC 5280, 4.2.1.10, name constraints; judged by openssl's own verify."""
    forged = certificates.Certificates(made.folder / "forged")
    forged.folder.mkdir()
    for path in (made.authority, made.authority_key):
        (forged.folder / path.name).write_bytes(path.read_bytes())
    certificates._make_server(forged, ["DNS:bank.example"])
    judged = subprocess.run(  # noqa: S603
        ["openssl", "verify", "-CAfile", str(made.authority), str(forged.server)],  # noqa: S607
        check=False, capture_output=True, text=True,
    )  # fmt: skip
    assert "permitted subtree violation" in judged.stdout + judged.stderr


def test_only_their_owner_reads_the_keys(made: certificates.Certificates) -> None:
    modes = [path.stat().st_mode & 0o777 for path in (made.authority_key, made.server_key)]
    assert modes == [0o600, 0o600]


def test_the_same_addresses_again_renew_the_server_alone(tmp_path: Path) -> None:
    found, _new = certificates.make(tmp_path, ADDRESSES)
    authority, server = found.authority.read_bytes(), found.server.read_bytes()
    _found, new = certificates.make(tmp_path, list(reversed(ADDRESSES)))
    assert not new
    assert found.authority.read_bytes() == authority
    assert found.server.read_bytes() != server
    assert certificates.make(tmp_path, [*ADDRESSES, "10.0.0.7"])[1]


def test_what_is_no_address_is_said(tmp_path: Path, settings: object) -> None:
    with pytest.raises(CommandError, match="neither a name nor a number"):
        call_command("certificate", "shop lan")
