"""The tablet's rules against the server's, vector by vector, in a real browser."""

from pathlib import Path
from typing import Any

import pytest
from django.templatetags.static import static

from tests.browser.conftest import Visit
from tests.rule_vectors import FOLDER, rules, whole

# What the page does by itself is the same on either database: once is enough.
pytestmark = pytest.mark.sqlite

RUNNER = Path(__file__).with_name("rule_vectors.js").read_text(encoding="utf-8")
MODULES = (
    "asked", "check", "fields", "lines", "looks", "read_over", "settings", "toe", "units", "work",
)  # fmt: skip
FILES = sorted(path.stem for path in FOLDER.glob("*.json"))


@pytest.fixture
def told(visit: Visit) -> dict[str, Any]:
    """What running every vector came to, on a page under the house's own policy."""
    page = visit()
    page.goto("/sign-in/")
    addresses = {name: static(f"web/bay/rules/{name}.js") for name in MODULES}
    given = {
        "addresses": addresses, "files": {name: whole(name) for name in FILES}, "rules": rules(),
    }  # fmt: skip
    found: dict[str, Any] = page.evaluate(RUNNER, given)
    return found


@pytest.mark.django_db(transaction=True)
def test_every_vector_comes_out_as_on_the_server(told: dict[str, Any]) -> None:
    assert told["problems"] == [], "\n".join(told["problems"])
    assert told["counts"] == {name: len(whole(name)["vectors"]) for name in FILES}
