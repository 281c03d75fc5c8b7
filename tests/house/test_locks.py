"""The lock files: pinned by hash, no host in them, the developer's one holding the other."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PIN = re.compile(r"^(?P<pin>(?P<name>[a-z0-9-]+)==\S+( ; [^\\]+?)?) \\$", re.MULTILINE)


def text(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def pins(name: str) -> set[str]:
    return {match["pin"] for match in PIN.finditer(text(name))}


def names(name: str) -> set[str]:
    return {match["name"] for match in PIN.finditer(text(name))}


def project() -> dict[str, dict[str, list[str]]]:
    parsed: dict[str, dict[str, list[str]]] = tomllib.loads(text("pyproject.toml"))
    return parsed


@pytest.mark.parametrize("lock", ["requirements.lock", "requirements-dev.lock"])
def test_a_lock_names_no_host_and_pins_every_line_by_hash(lock: str) -> None:
    assert "://" not in text(lock)
    requirements = re.findall(r"^[a-z].*$", text(lock), re.MULTILINE)
    assert requirements
    assert len(requirements) == len(pins(lock))
    assert text(lock).count("--hash=sha256:") >= len(requirements)


def test_the_developers_lock_holds_every_pin_of_the_other() -> None:
    assert pins("requirements.lock") <= pins("requirements-dev.lock")


@pytest.mark.parametrize(
    ("lock", "section", "key"),
    [
        ("requirements.lock", "project", "dependencies"),
        ("requirements-dev.lock", "dependency-groups", "dev"),
        ("requirements-dev.lock", "dependency-groups", "peers"),
    ],
)
def test_the_lock_has_what_the_project_asks_for(lock: str, section: str, key: str) -> None:
    asked = {re.split(r"[^A-Za-z0-9-]", line)[0].lower() for line in project()[section][key]}
    assert asked <= names(lock)
