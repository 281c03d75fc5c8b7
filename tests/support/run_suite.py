"""Run the suite, and close with one line that says how it went.

    python -m tests.support.run_suite                                  all of `make test`
    python -m tests.support.run_suite --database postgresql tests/operations -q

The second form hands what follows the database to pytest, on that database alone.
"""

import json
import os
import subprocess
import sys
import time
from contextlib import ExitStack
from dataclasses import dataclass

from tests.support.checks import ROOT, run_checks
from tests.support.chromium import install_chromium, require_chromium
from tests.support.folders import ServerUnavailableError, private_folder
from tests.support.servers import postgresql
from tests.support.tally import NOT_SHOWN, VARIABLE
from tests.support.with_servers import stop_on_signal

DATABASES = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}
# Each worker has its own database; browsers would only get in each other's way, and the whole
# demo takes as long as many tests.
PASSES = (["-m", "not browser and not whole", "-n", "2"], ["-m", "browser or whole"])
NOTHING_RAN = 5


@dataclass(frozen=True)
class Step:
    name: str
    passed: int
    failed: int
    seconds: float

    def __str__(self) -> str:
        told = f"{self.failed} failed" if self.failed else "all good"
        return f"  {self.name:<26}{self.seconds:4.0f} s {self.passed or '':>7}  {told}"


def suite_environment(extra: dict[str, str], home: str) -> dict[str, str]:
    """What the tests see: no setting of the caller's own, and a home that goes afterwards."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("AXLEKEEP_", "XDG_")) or name == "AXLEKEEP_CHROMIUM"
    }
    for name in ("DATABASE_URL", "REDIS_URL", "DJANGO_SETTINGS_MODULE"):
        kept.pop(name, None)
    return kept | {"HOME": home, "TMPDIR": home} | extra


def run_pytest(name: str, arguments: list[str], extra: dict[str, str]) -> Step:
    started = time.monotonic()
    with private_folder("axlekeep-home-") as home:
        home.chmod(0o711)  # the servers' account passes through it to folders of its own
        tally = home / "tally.json"
        command = [sys.executable, "-m", "pytest", "-p", "tests.support.tally", *arguments]
        environment = suite_environment(extra, str(home)) | {VARIABLE: str(tally)}
        code = subprocess.run(command, check=False, cwd=ROOT, env=environment).returncode
        counts = json.loads(tally.read_text()) if tally.exists() else {}
    failed = sum(counts.get(word, 0) for word in NOT_SHOWN)
    if code == NOTHING_RAN:
        print(f"{name}: no test was found.")
    # A run that broke off has failed, whatever it counted until then.
    return Step(name, counts.get("passed", 0), failed or int(code != 0), time.monotonic() - started)


def run_on(database: str, passes: list[tuple[str, list[str]]]) -> list[Step]:
    """Run pytest once for each list of arguments, on one server of the database."""
    try:
        with ExitStack() as stack:
            extra = {}
            if database == "postgresql":
                extra = stack.enter_context(postgresql()).environment()
            return [run_pytest(name, arguments, extra) for name, arguments in passes]
    except ServerUnavailableError as reason:
        print(f"{DATABASES[database]} could not be had: {reason}")
        return [Step(f"{DATABASES[database]} server", 0, 1, 0)]


def run_everything() -> list[Step]:
    install_chromium()
    try:
        require_chromium()
    except ServerUnavailableError as reason:
        print(reason)
        return [Step("Chromium", 0, 1, 0)]
    started = time.monotonic()
    broken = sum(not outcome.good for outcome in run_checks())
    steps = [Step("checks", 0, broken, time.monotonic() - started)]
    for database, title in DATABASES.items():
        names = (title, f"{title}, Chromium and whole")
        steps += run_on(
            database,
            [(name, ["-q", *chosen]) for name, chosen in zip(names, PASSES, strict=True)],
        )
    return steps


def main(arguments: list[str]) -> int:
    stop_on_signal()
    if arguments[:1] == ["--database"] and arguments[1:2] and arguments[1] in DATABASES:
        steps = run_on(arguments[1], [(DATABASES[arguments[1]], arguments[2:])])
    elif arguments:
        print(__doc__)
        return 2
    else:
        steps = run_everything()
        print("", *steps, "", sep="\n")
    failed = sum(step.failed for step in steps)
    print(f"{sum(step.passed for step in steps)} passed, {failed} failed")
    return int(failed > 0)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
