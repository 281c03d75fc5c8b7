"""What every test stands on: the settings, the database, and the servers it may ask for."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management.commands.flush import Command as FlushCommand
from django.db import connections
from django.utils import translation
from hypothesis import configuration
from hypothesis import settings as hypothesis_settings

from fleet.records.guards import lifted
from tests.support.chromium import require_chromium
from tests.support.servers import redis_server

# The suite says the same of the same code; HYPOTHESIS_PROFILE=search looks for new cases.
hypothesis_settings.register_profile("suite", deadline=None, derandomize=True, database=None)
hypothesis_settings.register_profile("search", deadline=None, max_examples=2000)
hypothesis_settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "suite"))
configuration.set_hypothesis_home_dir(Path(__file__).parents[1] / ".cache" / "hypothesis")


def pytest_configure() -> None:
    # Hashing that is slow on purpose, and file names from a collected manifest, are not under test.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.STORAGES = settings.STORAGES | {
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    }
    settings.WHITENOISE_USE_FINDERS = True
    settings.WHITENOISE_AUTOREFRESH = True


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the few tests that are about the other database (they run in its own pass)."""
    others = {"postgresql", "sqlite"} - {connections["default"].vendor}
    left_out = [item for item in items if any(item.get_closest_marker(name) for name in others)]
    items[:] = [item for item in items if item not in left_out]
    config.hook.pytest_deselected(items=left_out)


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """SQLite in a file, as it is used: locks, WAL and a second process behave as they will."""
    connection = connections["default"]
    if connection.vendor == "sqlite":
        name = tmp_path_factory.mktemp("database") / "axlekeep.sqlite3"
        connection.settings_dict["TEST"]["NAME"] = str(name)


@pytest.fixture(scope="session", autouse=True)
def _photos_stand_apart(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Files of photos that tests make go where the tests' database goes."""
    settings.MEDIA_ROOT = tmp_path_factory.mktemp("photos")


@pytest.fixture(scope="session", autouse=True)
def _flush_may_lift_the_guards() -> Iterator[None]:
    """A transactional test ends by emptying every table, which the guards on facts refuse."""
    flush = FlushCommand.handle

    def handle(self: FlushCommand, **options: Any) -> None:
        with lifted(options["database"]):
            flush(self, **options)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(FlushCommand, "handle", handle)
        yield


@pytest.fixture(autouse=True)
def _in_the_source_language() -> Iterator[None]:
    """A request leaves its language in the thread, as a server's next request replaces it."""
    yield
    translation.deactivate()


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """A Redis server of this worker's own."""
    with redis_server() as url:
        yield url


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of the Chromium program; without one the test fails and says what to install."""
    return require_chromium()
