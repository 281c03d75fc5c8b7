"""PDF by Typst: tagged (PDF/UA-1), with the fonts that the library brings.

Data goes in as JSON, so nothing that was typed can become markup. A template reads no file
outside its own folder and names no package, so that nothing is fetched. Each document is set by
a short-lived process of its own (compile_once.py says why), a few at a time.
"""

import json
import subprocess
import sys
import threading
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings

PDF = "application/pdf"
US, METRIC = "us-letter", "a4"
# The longest file that is let through takes four seconds of a processor that is free (measured).
MOST_SECONDS = 60
_AT_ONCE = threading.BoundedSemaphore(2)
_PROGRAM = Path(__file__).with_name("compile_once.py")


class NotSet(Exception):
    """The document could not be set in the time and by the rules there are."""


def pdf(template: str, data: Mapping[str, Any], at: datetime) -> bytes:
    """Set one document. `at` is its date; the same data at the same moment give the same bytes.
    Raises NotSet with what the setter said."""
    asked = {
        "folder": str(templates()), "template": template, "data": data,
        "at": int(at.timestamp()),
    }  # fmt: skip
    return compiled(json.dumps(asked).encode())


def compiled(asked: bytes) -> bytes:
    """What the program makes of one request; it has no environment and no network to ask."""
    command = [sys.executable, "-I", str(_PROGRAM)]
    with _AT_ONCE:
        try:
            done = subprocess.run(  # noqa: S603  (our own program, nothing of it is typed)
                command, input=asked, capture_output=True, check=False, env={},
                timeout=MOST_SECONDS,
            )  # fmt: skip
        except subprocess.TimeoutExpired as late:
            raise NotSet(f"not set within {MOST_SECONDS} s") from late
    if done.returncode:
        raise NotSet(done.stderr.decode(errors="replace")[-2000:])
    return done.stdout


def templates() -> Path:
    return Path(settings.BASE_DIR) / "templates" / "paper"


def paper_of(units: str) -> str:
    """The sheet that a reader's printer holds: letter with US units, A4 with metric ones."""
    return METRIC if units == "metric" else US
