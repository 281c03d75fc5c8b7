"""Chromium for the browser tests: found, or installed from Debian's packages when root."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from tests.support.folders import ServerUnavailableError, packaged

NAMES = ("chromium", "chromium-browser", "google-chrome")
AXE = Path(__file__).parents[1] / "browser" / "vendor" / "axe.min.js"
# Without these Chromium calls home at its start, which a closed network refuses.
QUIET = (
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-gpu",
    "--disable-quic",
    "--disable-sync",
    "--no-first-run",
)


def find_chromium() -> str | None:
    named = os.environ.get("AXLEKEEP_CHROMIUM")
    return next((path for name in (named, *NAMES) if name and (path := shutil.which(name))), None)


def missing_packages() -> list[str]:
    """Debian's packages without which no browser test can run."""
    missing = [] if find_chromium() else ["chromium"]
    # The program that Playwright drives the browser with needs a library a bare system lacks.
    version = [str(packaged("playwright", "driver/node")), "--version"]
    driver = subprocess.run(version, check=False, capture_output=True)
    return missing if driver.returncode == 0 else [*missing, "libatomic1"]


def require_chromium() -> str:
    path, missing = find_chromium(), missing_packages()
    if path is None or missing:
        raise ServerUnavailableError(
            f"The browser tests need {' and '.join(missing)}. Install what is missing (on Debian: "
            f"apt-get install {' '.join(missing)}), or name a Chromium in AXLEKEEP_CHROMIUM."
        )
    return path


def install_chromium() -> None:
    """Where it is missing and we may: the one change that is made outside this folder."""
    missing = missing_packages()
    if not missing or os.geteuid() != 0 or not shutil.which("apt-get"):
        return
    print(f"Installing {' and '.join(missing)} from Debian's packages, once.", flush=True)
    environment = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    for command in (
        ["apt-get", "update", "-qq"],
        ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *missing],
    ):
        done = subprocess.run(command, check=False, env=environment, capture_output=True, text=True)
        if done.returncode:
            print(f"{' '.join(command)} failed:\n{done.stdout[-1000:]}{done.stderr[-1000:]}")
            return


@contextmanager
def launched(executable: str) -> Iterator[Browser]:
    """Start a headless Chromium with a home of its own, which goes with it."""
    flags = [*QUIET, *(["--no-sandbox"] if os.geteuid() == 0 else [])]
    with (
        tempfile.TemporaryDirectory(prefix="axlekeep-chromium-") as home,
        sync_playwright() as playwright,
    ):
        environment: dict[str, str | float | bool] = {**os.environ, "HOME": home, "TMPDIR": home}
        for name in ("XDG_CACHE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_RUNTIME_DIR"):
            environment[name] = home
        browser = playwright.chromium.launch(
            executable_path=executable, args=flags, env=environment
        )
        try:
            yield browser
        finally:
            browser.close()
