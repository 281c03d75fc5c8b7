"""The tablet page by https on an address of this machine that is not the loopback's."""

import base64
import hashlib
import os
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from fleet.management import certificates
from tests.support.chromium import QUIET
from tests.support.servers import free_port

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

ROOT = Path(__file__).parents[2]


@pytest.fixture
def here() -> str:
    """The address by which others on the network reach this machine. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("198.51.100.1", 9))
        return str(probe.getsockname()[0])


@pytest.fixture
def made(here: str, tmp_path: Path) -> certificates.Certificates:
    return certificates.make(tmp_path / "tls", [here])[0]


@pytest.fixture
def server(here: str, made: certificates.Certificates, tmp_path: Path) -> Iterator[str]:
    """As the command says to serve with it."""
    port = free_port()
    environment = {"AXLEKEEP_DATA": str(tmp_path), "AXLEKEEP_HOSTS": here,
                   "AXLEKEEP_PLAIN_STATIC": "1"}  # fmt: skip
    command = [sys.executable, "-m", "gunicorn", "fleet.wsgi", "--bind", f"{here}:{port}",
               "--threads", "4", "--certfile", str(made.server), "--keyfile",
               str(made.server_key), "--no-control-socket"]  # fmt: skip
    child = subprocess.Popen(command, cwd=ROOT, env=os.environ | environment)  # noqa: S603
    try:
        _wait_for(here, port)
        yield f"https://{here}:{port}"
    finally:
        child.terminate()
        child.wait()


def _wait_for(host: str, port: int) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        with socket.socket() as probe:
            if probe.connect_ex((host, port)) == 0:
                return
        time.sleep(0.2)


def trusting(made: certificates.Certificates) -> str:
    """Chromium's own way to trust one key for a test, in place of an installed authority."""
    public = subprocess.run(  # noqa: S603
        ["openssl", "x509", "-in", str(made.server), "-pubkey", "-noout"],  # noqa: S607
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    inner = "".join(line for line in public.stdout.splitlines() if not line.startswith("-"))
    digest = hashlib.sha256(base64.b64decode(inner)).digest()
    return f"--ignore-certificate-errors-spki-list={base64.b64encode(digest).decode()}"


def test_by_https_the_page_keeps_itself_on_any_address(
    browser: Browser, chromium: str, made: certificates.Certificates, server: str, tmp_path: Path
) -> None:
    context = browser.browser_type.launch_persistent_context(
        tmp_path / "profile", executable_path=chromium,
        args=[*QUIET, "--no-sandbox", trusting(made)], base_url=server, locale="en-US",
    )  # fmt: skip
    try:
        page = context.pages[0]
        page.goto("/bay/")
        expect(page.get_by_role("heading", level=1)).to_contain_text("Make this a tablet")
        assert page.evaluate("isSecureContext && Boolean(crypto.subtle)")
        page.wait_for_function("() => navigator.serviceWorker.controller !== null")
        expect(page.get_by_text("This address is not secure")).to_have_count(0)
    finally:
        context.close()


def test_the_authority_vouches_for_what_is_served(
    made: certificates.Certificates, server: str
) -> None:
    """By Python's TLS, which knows nothing of this machine but the authority."""
    host, port = server.removeprefix("https://").split(":")
    trusts = ssl.create_default_context(cafile=str(made.authority))
    with (
        socket.create_connection((host, int(port))) as wire,
        trusts.wrap_socket(wire, server_hostname=host) as served,
    ):
        assert served.version() == "TLSv1.3"
