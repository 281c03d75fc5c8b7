"""Other processes of the program on the database under test: to be killed, and looked at."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_SECONDS = 60


def environment(folder: Path, **extra: str) -> dict[str, str]:
    """Settings under which another process sees the same database as this test."""
    name = str(connection.settings_dict["NAME"])
    url = f"sqlite:///{name}"
    if connection.vendor == "postgresql":
        parts = urlsplit(os.environ["DATABASE_URL"])
        url = parts._replace(path=f"/{name}").geturl()
    own = {"DATABASE_URL": url, "AXLEKEEP_DATA": str(folder), "AXLEKEEP_SECRET_KEY": "of this test"}
    return os.environ | own | extra


@contextmanager
def running(command: list[str], folder: Path, **extra: str) -> Iterator["subprocess.Popen[bytes]"]:
    """Run `python ...` until the block ends, and kill it then if it still runs."""
    log = folder / "process.log"
    with log.open("ab") as output:
        process = subprocess.Popen(
            [sys.executable, *command], cwd=ROOT, env=environment(folder, **extra),
            stdout=output, stderr=output,
        )  # fmt: skip
    try:
        yield process
    finally:
        if process.poll() is None:
            kill(process)


def kill(process: "subprocess.Popen[bytes]") -> None:
    """End it as a power cut would: it has no time to put anything right."""
    process.send_signal(signal.SIGKILL)
    process.wait()


def wait_until(true: Callable[[], bool], folder: Path) -> None:
    """Wait for another process; one that never gets there fails the test with its log."""
    deadline = time.monotonic() + PATIENCE_SECONDS
    while not true():
        if time.monotonic() > deadline:
            said = (folder / "process.log").read_text(errors="replace")[-3000:]
            raise AssertionError(f"it never came to pass; the other process said:\n{said}")
        time.sleep(0.05)
