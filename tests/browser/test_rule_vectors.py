"""The tablet's rules against the server's, vector by vector, in a real browser."""

import json
from pathlib import Path
from typing import Any

import pytest
from django.templatetags.static import static

from fleet.operations.reference import FIXTURES, read
from fleet.records.models import JointKind
from tests.browser.conftest import Visit
from tests.rule_vectors import FOLDER, whole

RUNNER = Path(__file__).with_name("rule_vectors.js").read_text(encoding="utf-8")
MODULES = (
    "asked", "check", "fields", "lines", "looks", "read_over", "settings", "toe", "units", "work",
)  # fmt: skip
FILES = sorted(path.stem for path in FOLDER.glob("*.json"))


def keyed(name: str) -> dict[str, Any]:
    return {row["code"]: row for row in read(f"reference/{name}.json")}


def rules() -> dict[str, Any]:
    """The rules as a tablet is handed them, from the same files that the server loads."""
    kinds = keyed("joint_kinds")
    for kind in kinds.values():
        held_by = JointKind(held_by=kind["held_by"])
        kind["torque_seen_by_wrench"] = held_by.torque_seen_by_wrench
    names = ("actions", "responses", "settings")
    data = {name: json.loads((FIXTURES / f"rules/{name}.json").read_text()) for name in names}
    return {**data, "findings": keyed("findings"), "methods": keyed("methods"), "kinds": kinds}


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
