"""Files and functions stay small enough to hold in the head."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOURCES = sorted(
    path
    for folder in ("fleet", "api", "tests")
    for path in (ROOT / folder).rglob("*.py")
    if "migrations" not in path.parts
)
MOST_LINES = 300
MOST_FUNCTION_LINES = 40


def name(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("path", SOURCES, ids=name)
def test_a_file_is_short(path: Path) -> None:
    assert len(path.read_text().splitlines()) <= MOST_LINES


@pytest.mark.parametrize("path", [p for p in SOURCES if "tests" not in p.parts], ids=name)
def test_a_function_is_short(path: Path) -> None:
    long = [
        f"{node.name}: {body_lines(node)}"
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.FunctionDef) and body_lines(node) > MOST_FUNCTION_LINES
    ]
    assert long == []


def body_lines(node: ast.FunctionDef) -> int:
    """Lines of a function without its docstring, which may be long where it is a reference."""
    first = node.body[0]
    has_docstring = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    start = node.body[1].lineno if has_docstring and len(node.body) > 1 else first.lineno
    return (node.end_lineno or start) - start + 1
