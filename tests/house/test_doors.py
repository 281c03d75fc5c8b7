"""The doors go through scope and operations: read in the code itself."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DOORS = sorted([*(ROOT / "fleet" / "web").rglob("*.py"), *(ROOT / "api").rglob("*.py")])
WRITES = {"create", "save", "update", "delete", "bulk_create", "bulk_update", "update_or_create"}


def name(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("path", DOORS, ids=name)
def test_no_door_takes_all_rows(path: Path) -> None:
    """Every list and look-up starts from `visible_to`, never from `Model.objects`."""
    found = [
        node.lineno
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Attribute) and node.attr in ("objects", "_default_manager")
    ]
    assert found == []


@pytest.mark.parametrize("path", DOORS, ids=name)
def test_no_door_writes_a_record(path: Path) -> None:
    """Only operations write. Sessions, tokens and passwords belong to the frameworks."""
    found = [
        (node.lineno, node.func.attr)
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in WRITES
        and not of_a_framework(node.func.value)
    ]
    assert found == []


def of_a_framework(value: ast.expr) -> bool:
    """`hashlib`'s update, a dict's update, a form's save are not writes of records."""
    return isinstance(value, ast.Name) and value.id in {
        "context", "digest", "data", "values", "params", "query", "token", "kwargs", "form",
    }  # fmt: skip
