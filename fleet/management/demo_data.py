"""The demo's database: made when it is missing, thrown away when asked, never anybody else's."""

import hashlib
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.contrib.staticfiles.storage import ManifestFilesMixin, staticfiles_storage
from django.core.management import CommandError, call_command
from django.db import connection, connections
from django.utils import timezone

from fleet.operations.actor import server_actor
from fleet.operations.demo import seed
from fleet.operations.reference import load_reference

Say = Callable[[str], object]


def embedded_file() -> Path:
    """The database file of the embedded default, or CommandError where it is another database."""
    own = Path(settings.DATA_DIR) / "axlekeep.sqlite3"
    if connection.vendor != "sqlite" or Path(str(connection.settings_dict["NAME"])) != own:
        message = "Only the embedded database can be started over: DATABASE_URL names another one."
        raise CommandError(message)
    return own


def start_over(say: Say) -> None:
    """Throw the demo's own database away; records that the demo did not make are never touched."""
    own = embedded_file()
    if own.exists() and not _is_ours():
        raise CommandError("This database holds records of its own, not the demo: nothing is done.")
    connections.close_all()
    for name in (own.name, f"{own.name}-wal", f"{own.name}-shm"):
        own.with_name(name).unlink(missing_ok=True)
    say("The demo data was thrown away.")


def _is_ours() -> bool:
    call_command("migrate", verbosity=0, interactive=False)
    return seed.is_empty() or seed.is_demo()


def prepare(say: Say) -> None:
    """Migrated, reference data loaded, seeded where empty, static files collected."""
    Path(settings.DATA_DIR).mkdir(mode=0o700, parents=True, exist_ok=True)
    call_command("migrate", verbosity=0, interactive=False)
    if seed.is_half_made():
        say("The last start was cut short: beginning again.")
        start_over(say)
        call_command("migrate", verbosity=0, interactive=False)
    now = timezone.now()
    if seed.is_empty():
        say("Making the demo: an invented fleet with four years of history (half a minute).")
        seed.seed(seed.today_there(now), say=lambda text: say(f"  {text}"))
    elif not seed.is_demo():
        message = "This database holds a fleet of its own. The demo needs one of its own: "
        raise CommandError(message + "set AXLEKEEP_DATA to another folder.")
    load_reference(server_actor("command"), at=now)
    _collect_static()


def _collect_static() -> None:
    """Collect only when a file has changed since the last time."""
    if not isinstance(staticfiles_storage, ManifestFilesMixin):
        return
    stamp = Path(settings.STATIC_ROOT) / "collected"
    now = _fingerprint()
    if stamp.exists() and stamp.read_text() == now:
        return
    call_command("collectstatic", verbosity=0, interactive=False, clear=True)
    stamp.write_text(now)


def _fingerprint() -> str:
    found = hashlib.sha256()
    for finder in get_finders():
        for name, storage in finder.list([]):
            path = Path(storage.path(name)).stat()
            found.update(f"{name} {path.st_size} {path.st_mtime_ns}\n".encode())
    return found.hexdigest()
