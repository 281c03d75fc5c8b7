"""Reads the vectors that Python's rules and their twin in the browser have to agree with."""

import json
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parents[1] / "fixtures" / "rules" / "vectors"


def whole(name: str) -> dict[str, Any]:
    """A file of vectors with what they share."""
    content: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    return content


def load(name: str) -> list[dict[str, Any]]:
    """The vectors of a file."""
    vectors: list[dict[str, Any]] = whole(name)["vectors"]
    return vectors
