"""Reads the vectors that Python's rules and their twin in the browser have to agree with."""

import json
from pathlib import Path
from typing import Any

from fleet.operations.reference import FIXTURES, read

FOLDER = Path(__file__).parents[1] / "fixtures" / "rules" / "vectors"


def whole(name: str) -> dict[str, Any]:
    """A file of vectors with what they share."""
    content: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    return content


def load(name: str) -> list[dict[str, Any]]:
    """The vectors of a file."""
    vectors: list[dict[str, Any]] = whole(name)["vectors"]
    return vectors


def rules() -> dict[str, Any]:
    """The rules as a tablet is handed them, from the same files that the server loads."""
    names = ("actions", "complaints", "responses", "settings")
    data = {name: json.loads((FIXTURES / f"rules/{name}.json").read_text()) for name in names}
    return {**data, **{name: _keyed(file) for name, file in _REFERENCE.items()}}


_REFERENCE = {"findings": "findings", "methods": "methods", "kinds": "joint_kinds"}


def _keyed(name: str) -> dict[str, Any]:
    return {row["code"]: row for row in read(f"reference/{name}.json")}
