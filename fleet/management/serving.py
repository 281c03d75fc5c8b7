"""Two processes from one command: the web server and the background work, both or neither."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from http import HTTPStatus
from pathlib import Path
from types import FrameType

from django.conf import settings

FIRST_PORT, LAST_PORT = 8000, 8100
LOOPBACK = ("127.0.0.1", "localhost")
READY_SECONDS, STOP_SECONDS, NAP = 40.0, 15.0, 0.25
THREADS = 4


def free_port(host: str, wanted: int) -> int:
    """The wanted port, or the next one that nobody listens on."""
    for port in range(wanted, max(wanted + 1, LAST_PORT)):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except OSError:
                continue
            return port
    raise OSError(f"no free port from {wanted} to {LAST_PORT}")


@contextmanager
def serving(host: str, port: int) -> Iterator[list["subprocess.Popen[bytes]"]]:
    """Web server and background work as children; both are stopped on the way out."""
    base = Path(settings.BASE_DIR)
    web = [
        sys.executable, "-m", "gunicorn", "fleet.wsgi", "--bind", f"{host}:{port}",
        "--workers", "1", "--threads", str(THREADS), "--chdir", str(base),
        "--log-level", "warning", "--no-control-socket",
    ]  # fmt: skip
    work = [sys.executable, str(base / "manage.py"), "work"]
    children: list[subprocess.Popen[bytes]] = []
    try:
        for command, out in ((web, None), (work, subprocess.DEVNULL)):
            child = subprocess.Popen(  # noqa: S603  (our own two commands)
                command, cwd=base, stdout=out, env=_environment()
            )
            children.append(child)
        yield children
    finally:
        _stop(children)


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONUNBUFFERED": "1"}


def _stop(children: list["subprocess.Popen[bytes]"]) -> None:
    for child in children:
        if child.poll() is None:
            child.terminate()
    until = time.monotonic() + STOP_SECONDS
    for child in children:
        try:
            child.wait(max(until - time.monotonic(), 0.1))
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()


def is_up(host: str, port: int, children: list["subprocess.Popen[bytes]"]) -> bool:
    """Wait until the site answers; False where a process died or it took too long."""
    until = time.monotonic() + READY_SECONDS
    address = f"http://{host}:{port}/healthz"
    while time.monotonic() < until and all(child.poll() is None for child in children):
        try:
            with urllib.request.urlopen(address, timeout=2) as answer:
                return bool(answer.status == HTTPStatus.OK)
        except (OSError, urllib.error.URLError):
            time.sleep(NAP)
    return False


def until_told(children: list["subprocess.Popen[bytes]"]) -> bool:
    """Wait for Ctrl-C or SIGTERM (True), or for one of the processes to end by itself (False)."""
    told = False

    def stop(_number: int, _frame: FrameType | None) -> None:
        nonlocal told
        told = True

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, stop)
    while not told:
        if any(child.poll() is not None for child in children):
            time.sleep(NAP)  # Ctrl-C reaches the children too, and may reach them first.
            return told
        time.sleep(NAP)
    return True
