"""A folder of our own for a server: made for it, readable by it alone, removed at the end."""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any


class ServerUnavailableError(RuntimeError):
    """A server could not be had, so the tests that need it have failed, not been skipped."""


@dataclass(frozen=True)
class Account:
    """Who runs a server: as root an unprivileged account that exists, else the caller.

    PostgreSQL refuses to run as root, and the clone may lie under a home that no other
    account may enter; hence the copies of the programs in the folder.
    """

    uid: int
    gid: int
    other: bool

    @classmethod
    def for_servers(cls) -> "Account":
        if os.geteuid() != 0:
            return cls(os.geteuid(), os.getegid(), other=False)
        entry = pwd.getpwnam("nobody")
        return cls(entry.pw_uid, entry.pw_gid, other=True)

    def own(self, folder: Path) -> None:
        if not self.other:
            return
        for path in [folder, *folder.rglob("*")]:
            os.chown(path, self.uid, self.gid, follow_symlinks=False)

    def process_options(self, folder: Path) -> dict[str, Any]:
        """Arguments for subprocess: the account, the folder to stand in, a plain environment."""
        options: dict[str, Any] = {
            "cwd": folder,
            "env": {"PATH": "/usr/bin:/bin", "LC_ALL": "C", "TZ": "UTC", "HOME": str(folder)},
            "start_new_session": True,  # Ctrl-C reaches us alone; we stop the servers in order
            "umask": 0o077,
        }
        if self.other:
            options |= {"user": self.uid, "group": self.gid, "extra_groups": []}
        return options


@contextmanager
def private_folder(prefix: str) -> Iterator[Path]:
    """Make a folder under the system's temporary folder and remove it, whatever happens."""
    folder = Path(tempfile.mkdtemp(prefix=prefix))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def run_as(account: Account, folder: Path, command: Sequence[str | Path]) -> None:
    """Run a command to its end as the account; its words are the reason when it fails."""
    done = subprocess.run(
        command,
        check=False,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        **account.process_options(folder),
    )
    if done.returncode:
        raise ServerUnavailableError(f"{Path(command[0]).name} failed: {done.stdout.strip()}")


def packaged(package: str, inside: str) -> Path:
    """Find a file of an installed package without importing it: an import may act."""
    spec = find_spec(package)
    if spec is None or spec.origin is None:
        raise ServerUnavailableError(f"the package {package} is not installed: run make test")
    path = Path(spec.origin).parent / inside
    if not path.exists():
        raise ServerUnavailableError(f"the package {package} does not hold {inside} on this system")
    return path
