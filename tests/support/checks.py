"""The checks that need no test run: format, lint, types, layers, migrations, deployment."""

import os
import secrets
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PROGRAMS = Path(sys.executable).parent
MANAGE = [sys.executable, "manage.py"]
IN_MEMORY = {"DATABASE_URL": "sqlite://:memory:", "AXLEKEEP_SECRET_KEY": secrets.token_urlsafe(60)}
DEPLOYED = IN_MEMORY | {
    "AXLEKEEP_DEBUG": "0",
    "AXLEKEEP_HOSTS": "axlekeep.example",
    "AXLEKEEP_HTTPS": "1",
}


@dataclass(frozen=True)
class Check:
    name: str
    command: list[str]
    environment: dict[str, str]

    def run(self) -> "Outcome":
        started = time.monotonic()
        done = subprocess.run(
            self.command,
            check=False,
            cwd=ROOT,
            env=os.environ | self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        return Outcome(self.name, done.returncode == 0, done.stdout, time.monotonic() - started)


@dataclass(frozen=True)
class Outcome:
    name: str
    good: bool
    said: str
    seconds: float


def _program(name: str, *arguments: str) -> list[str]:
    return [str(PROGRAMS / name), *arguments]


# The slowest first, since two run at a time.
CHECKS = [
    Check("types", _program("mypy"), IN_MEMORY),
    Check("format", _program("ruff", "format", "--check", "--quiet", "."), {}),
    Check("lint", _program("ruff", "check", "--quiet", "."), {}),
    Check("layers", _program("lint-imports", "--cache-dir", ".cache/import-linter"), {}),
    Check("migrations", [*MANAGE, "makemigrations", "--check", "--dry-run"], IN_MEMORY),
    Check("deployment", [*MANAGE, "check", "--deploy", "--fail-level", "WARNING"], DEPLOYED),
]


def run_checks() -> list[Outcome]:
    """Run every check and say of each how it went, with its own words where it failed."""
    with ThreadPoolExecutor(max_workers=2) as pool:
        outcomes = list(pool.map(Check.run, CHECKS))
    for outcome in outcomes:
        print(
            f"{outcome.name:<12}{'holds' if outcome.good else 'FAILS':<7}{outcome.seconds:4.0f} s"
        )
        if not outcome.good:
            print(outcome.said)
    return outcomes


if __name__ == "__main__":
    sys.exit(not all(outcome.good for outcome in run_checks()))
