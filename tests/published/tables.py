"""Published tables, as copied into tests/published/data; each file begins with its source."""

import csv
from pathlib import Path

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    """Read a table, leaving out the lines that name its source."""
    text = (DATA / name).read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def source(name: str) -> str:
    """Return the lines that name a table's source."""
    text = (DATA / name).read_text(encoding="utf-8")
    return " ".join(line.lstrip("# ") for line in text.splitlines() if line.startswith("#"))
