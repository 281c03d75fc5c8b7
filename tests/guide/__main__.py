"""`make guide`: take the guide's pictures anew, on a demo of its own that goes with its folder."""

import os
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import django
from playwright.sync_api import Page, expect

ROOT = Path(__file__).resolve().parents[2]
PICTURES = ROOT / "fleet" / "web" / "static" / "web" / "guide"
PATIENCE_SECONDS, NAP = 600, 1.0
CAST = ("cal", "dov", "petra", "ines")
TRUCK, TOOL, TORQUE = "A-101", "AB-01", "205 lbf·ft"


@contextmanager
def demo(folder: Path, port: int) -> Iterator[str]:
    """A demo served until the block ends; gives its address."""
    own = os.environ | {"AXLEKEEP_DATA": str(folder)}
    own.pop("DATABASE_URL", None)
    command = [sys.executable, "manage.py", "demo", "--port", str(port)]
    address = f"http://127.0.0.1:{port}"
    with subprocess.Popen(command, cwd=ROOT, env=own, stdout=subprocess.DEVNULL) as process:
        try:
            _wait(address, process)
            yield address
        finally:
            process.terminate()


def _wait(address: str, process: "subprocess.Popen[bytes]") -> None:
    until = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < until and process.poll() is None:
        try:
            with urllib.request.urlopen(f"{address}/healthz", timeout=2):
                return
        except OSError:
            time.sleep(NAP)
    raise SystemExit("The demo did not come up.")


def take(address: str) -> None:
    """Walk the story on the demo and keep what is seen."""
    from fleet.operations.demo.people import password
    from tests.guide.camera import VIEWPORT, Camera
    from tests.guide.walk import Cast, Walk
    from tests.support.chromium import launched, require_chromium

    expect.set_options(timeout=30_000)
    cast = Cast(*CAST, password(), TRUCK, TOOL, TORQUE)
    with launched(require_chromium()) as browser:

        def device() -> Page:
            context = browser.new_context(base_url=address, viewport=VIEWPORT, locale="en-US")
            return context.new_page()

        Walk(cast, device, Camera(PICTURES).shoot).tell()


def main() -> None:
    with tempfile.TemporaryDirectory(prefix="axlekeep-guide-") as folder:
        os.environ["AXLEKEEP_DATA"] = str(Path(folder) / "here")
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
        django.setup()
        from tests.support.servers import free_port

        print("Making a demo to take the pictures of (about a minute).", flush=True)
        with demo(Path(folder) / "demo", free_port()) as address:
            take(address)
    total = sum(path.stat().st_size for path in PICTURES.glob("*.webp"))
    print(f"{len(list(PICTURES.glob('*.webp')))} pictures, {total / 1000:.0f} kB")


if __name__ == "__main__":
    main()
