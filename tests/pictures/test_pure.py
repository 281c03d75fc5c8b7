"""Pictures know words and figures: read in the code itself."""

import ast
from pathlib import Path

import pytest

import fleet.pictures

FOLDER = Path(fleet.pictures.__file__).parent
SOURCES = sorted(FOLDER.rglob("*.py"))
# Translation and the words for dates are allowed; a record, a request or a template is not.
ALLOWED = ("django.utils.", "fleet.pictures", "fleet.calc")
FRAMEWORKS = ("django", "rest_framework", "celery", "redis", "psycopg", "fleet", "api")


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(FOLDER)))
def test_a_picture_knows_no_record_and_no_request(path: Path) -> None:
    names = [
        name
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in ([node.module or ""] if isinstance(node, ast.ImportFrom)
                     else [alias.name for alias in node.names])
    ]  # fmt: skip
    ours = [name for name in names if name.split(".")[0] in FRAMEWORKS]
    assert [name for name in ours if not name.startswith(ALLOWED)] == []
