"""Hashed names: a module that imports another asks for it by its hashed name."""

import re
from pathlib import Path
from typing import Any

from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.management import call_command
from django.test import override_settings

from fleet.management import demo_data

FROM = re.compile(r'\bfrom\s*"(\.[^"]+)"')
HASHED = re.compile(r"\.[0-9a-f]{12}\.js$")


def test_modules_import_each_other_by_hashed_names(tmp_path: Path, settings: Any) -> None:
    storages = settings.STORAGES | {
        "staticfiles": {"BACKEND": "fleet.web.static_files.HashedFiles"}
    }
    with override_settings(STORAGES=storages, STATIC_ROOT=tmp_path):
        call_command("collectstatic", interactive=False, verbosity=0, ignore_patterns=["drf*"])
    hashed = [path for path in (tmp_path / "web").rglob("*.js") if HASHED.search(path.name)]
    asked = [
        (path.name, (path.parent / said).resolve())
        for path in hashed
        for said in FROM.findall(path.read_text(encoding="utf-8"))
    ]
    assert len(asked) > 20
    wrong = [(by, to.name) for by, to in asked if not (HASHED.search(to.name) and to.exists())]
    assert wrong == []


def test_the_demo_collects_what_it_serves(tmp_path: Path, settings: Any) -> None:
    storages = settings.STORAGES | {
        "staticfiles": {"BACKEND": "fleet.web.static_files.HashedFiles"}
    }
    with override_settings(STORAGES=storages, STATIC_ROOT=tmp_path):
        demo_data._collect_static()
        assert HASHED.search(staticfiles_storage.url("web/bay/app.js"))
    assert (tmp_path / "staticfiles.json").exists()
