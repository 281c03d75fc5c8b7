"""The tablet page's first visit and its return, on a slow tablet and a poor network.

`python -m tests.bench.bay_page` serves an empty site as it is served, and lets Chromium visit it
with the processor slowed 4 times and 1.6 Mbit/s at 150 ms. Beside it an address that only answers.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

from playwright.sync_api import Browser, Page

from tests.support.chromium import launched, require_chromium
from tests.support.servers import free_port
from tests.support.wire import Wire

ROOT = Path(__file__).parents[2]
VISITS = 5
SLOWER = 4
BYTES_A_SECOND = 1_600_000 / 8
LATENCY_MS = 150
GOAL_BYTES, GOAL_MS = 100_000, 1_500
USABLE = "() => performance.getEntriesByName('usable')[0]?.startTime"


@dataclass(frozen=True)
class Visit:
    """Of one browser that has never been here: bytes down the wire, ms from the start."""

    page_bytes: int
    whole_bytes: int
    usable_ms: float
    again_ms: float
    offline_ms: float
    bare_ms: float


@contextmanager
def served() -> Iterator[str]:
    """The site as `manage.py demo` serves it, with nothing in its database."""
    with tempfile.TemporaryDirectory(prefix="axlekeep-bay-") as folder:
        environment = os.environ | {"AXLEKEEP_DATA": folder}
        for command in (["collectstatic", "--noinput", "-v0"], ["migrate", "-v0"]):
            subprocess.run(
                [sys.executable, "manage.py", *command], check=True, cwd=ROOT, env=environment
            )
        port = free_port()
        web = [sys.executable, "-m", "gunicorn", "fleet.wsgi", "--bind", f"127.0.0.1:{port}",
               "--workers", "1", "--threads", "4", "--log-level", "warning",
               "--no-control-socket"]  # fmt: skip
        server = subprocess.Popen(web, cwd=ROOT, env=environment)
        try:
            time.sleep(5)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait()


def slowed(page: Page) -> None:
    """As a tablet of some years at the edge of the yard."""
    tools = page.context.new_cdp_session(page)
    tools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    tools.send("Network.enable")
    tools.send("Network.emulateNetworkConditions", {
        "offline": False, "latency": LATENCY_MS, "downloadThroughput": BYTES_A_SECOND,
        "uploadThroughput": BYTES_A_SECOND,
    })  # fmt: skip


def usable(page: Page) -> float:
    """ms from the start of the visit until something can be typed or tapped."""
    page.wait_for_function(USABLE)
    return float(page.evaluate(USABLE))


def visit(browser: Browser, server: str) -> Visit:
    wire = Wire(server)
    context = browser.new_context(base_url=wire.url, service_workers="allow", locale="en-US")
    page = context.new_page()
    slowed(page)
    page.goto("/healthz")
    bare = page.evaluate("performance.getEntriesByType('navigation')[0].responseEnd")
    # An address without a page has the browser ask for its icon too.
    page.wait_for_timeout(1_000)
    wire.carried = 0
    page.goto("/bay/")
    first, page_bytes = usable(page), wire.carried
    page.wait_for_function(
        "() => navigator.serviceWorker.controller?.state === 'activated'", timeout=60_000
    )
    whole = wire.carried
    page.reload()
    again = usable(page)
    wire.cut()
    page.reload()
    offline = usable(page)
    context.close()
    wire.close()
    return Visit(page_bytes, whole, first, again, offline, bare)


def main() -> int:
    with served() as server, launched(require_chromium()) as browser:
        visits = [visit(browser, server) for _round in range(VISITS)]
    told: dict[str, Any] = {
        "first visit, kB until usable": median(one.page_bytes for one in visits) / 1000,
        "with all that is kept, kB": median(one.whole_bytes for one in visits) / 1000,
        "first visit, usable after ms": median(one.usable_ms for one in visits),
        "  slowest of them": max(one.usable_ms for one in visits),
        "an address that only answers, ms": median(one.bare_ms for one in visits),
        "again, usable after ms": median(one.again_ms for one in visits),
        "again with no network, ms": median(one.offline_ms for one in visits),
    }
    for name, figure in told.items():
        print(f"{name:<36}{figure:>9,.1f}")
    small = told["with all that is kept, kB"] * 1000 < GOAL_BYTES
    fast = told["first visit, usable after ms"] < GOAL_MS
    print("goals hold" if small and fast else "goals missed")
    return 0 if small and fast else 1


if __name__ == "__main__":
    sys.exit(main())
