"""A pytest plugin that leaves the counts of a run in the file named by AXLEKEEP_TALLY."""

import json
import os
from pathlib import Path

import pytest

VARIABLE = "AXLEKEEP_TALLY"
# A test that was skipped or expected to fail has not been shown to hold.
NOT_SHOWN = ("failed", "error", "skipped", "xfailed", "xpassed")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    counts = {name: len(terminalreporter.getreports(name)) for name in ("passed", *NOT_SHOWN)}
    Path(os.environ[VARIABLE]).write_text(json.dumps(counts), encoding="utf-8")
