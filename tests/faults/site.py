"""The site as it is served, on the database of the test: killed without notice, started again."""

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.request import urlopen

from tests.support.processes import ROOT, environment

START_SECONDS = 60


class Site:
    """gunicorn with two workers on a port of its own, forked from one that is loaded, so that a
    restart is soon over."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, _free_port()
        self.process: subprocess.Popen[bytes] | None = None
        self.kills = 0

    def start(self) -> None:
        command = [
            sys.executable, "-m", "gunicorn", "fleet.wsgi:application", "--workers", "2",
            "--bind", f"127.0.0.1:{self.port}", "--log-level", "error", "--preload",
        ]  # fmt: skip
        with (self.folder / "site.log").open("ab") as log:
            self.process = subprocess.Popen(  # noqa: S603 - our own program
                command, cwd=ROOT, stdout=log, stderr=log, start_new_session=True,
                env=environment(self.folder, AXLEKEEP_PLAIN_STATIC="1"),
            )  # fmt: skip
        self._wait()

    def kill(self) -> None:
        """Master and workers at once, as a power cut does it."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.kills += 1

    def _wait(self) -> None:
        until = time.monotonic() + START_SECONDS
        while time.monotonic() < until:
            try:
                with urlopen(f"http://127.0.0.1:{self.port}/healthz", timeout=5):
                    return
            except OSError:
                time.sleep(0.05)
        raise AssertionError((self.folder / "site.log").read_text(errors="replace")[-3000:])


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])
