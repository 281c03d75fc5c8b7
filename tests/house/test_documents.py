"""The documentation is true: what is there has its line, and what has a line is there."""

import re
from pathlib import Path

import pytest
from django.core.management import get_commands

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
SETTINGS = (ROOT / "fleet" / "settings.py").read_text()


def variables() -> list[str]:
    read = set(re.findall(r'env\.\w+\(\s*"([A-Z_]+)"', SETTINGS))
    return sorted(read)


def commands() -> list[str]:
    return sorted(name for name, app in get_commands().items() if app == "fleet")


def dependencies() -> list[str]:
    text = (ROOT / "pyproject.toml").read_text()
    listed = re.search(r"^dependencies = \[(.*?)^\]", text, re.DOTALL | re.MULTILINE)
    assert listed is not None
    return re.findall(r'"([A-Za-z0-9-]+)', listed.group(1))


def targets() -> list[str]:
    return re.findall(r"^\t@echo 'make ([a-z-]+) ", (ROOT / "Makefile").read_text(), re.MULTILINE)


@pytest.mark.parametrize("variable", variables())
def test_every_setting_has_its_line(variable: str) -> None:
    assert f"`{variable}`" in DEVELOPERS


@pytest.mark.parametrize("command", commands())
def test_every_command_has_its_line(command: str) -> None:
    assert f"`{command}`" in DEVELOPERS


@pytest.mark.parametrize("package", dependencies())
def test_every_dependency_has_its_reason(package: str) -> None:
    assert re.search(rf"^\| {re.escape(package)} \|", DEVELOPERS, re.MULTILINE | re.IGNORECASE)


@pytest.mark.parametrize("target", targets())
def test_every_make_target_has_its_line(target: str) -> None:
    assert f"make {target}" in DEVELOPERS


@pytest.mark.parametrize("path", re.findall(r"\]\(((?!http)[^)#]+)\)", README + DEVELOPERS))
def test_every_link_leads_somewhere(path: str) -> None:
    assert (ROOT / path).exists()


@pytest.mark.parametrize(
    "path", sorted(set(re.findall(r"`((?:fleet|api|tests|fixtures)/[\w/.]+)`", DEVELOPERS)))
)
def test_every_path_named_exists(path: str) -> None:
    assert (ROOT / path).exists()
