"""The demo's inputs, read from fixtures/demo."""

import json
from functools import cache
from typing import Any

from fleet.operations.reference import FIXTURES


@cache
def read(name: str) -> Any:
    """One input file; callers do not change what they get."""
    return json.loads((FIXTURES / "demo" / f"{name}.json").read_text(encoding="utf-8"))
