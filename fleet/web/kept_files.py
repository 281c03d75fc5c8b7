"""A file that was looked over and waits for a yes: kept for a day beside the database.

Its name says whose it is and what stands in it; the page carries both under a signature. Where
several hosts serve the site and another one gets the yes, it asks for the file again.
"""

import hashlib
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from django.conf import settings
from django.core import signing

from fleet.records.models import Person

KEPT_SECONDS = 86_400
SALT = "fleet.web.kept_files"


class Upload(Protocol):
    """A file as it was sent."""

    def chunks(self) -> Iterator[bytes]: ...


@dataclass(frozen=True)
class Kept:
    kind: str
    token: str
    path: Path

    @property
    def digest(self) -> str:
        return self.path.stem.partition("-")[2]


def keep(person: Person, kind: str, upload: Upload) -> Kept:
    """Write the file down, readable by the server alone; older ones go."""
    folder = _folder()
    _sweep(folder)
    part = folder / f"{person.pk}.part"
    digest = hashlib.sha256(kind.encode())
    with part.open("wb") as file:
        for chunk in upload.chunks():
            digest.update(chunk)
            file.write(chunk)
    path = _path(person, digest.hexdigest())
    part.replace(path)
    token = signing.dumps([person.pk, kind, digest.hexdigest()], salt=SALT)
    return Kept(kind, token, path)


def kept(person: Person, token: str) -> Kept | None:
    """The file behind a page's token; None when it is gone, or another person's."""
    try:
        owner, kind, digest = signing.loads(token, salt=SALT, max_age=KEPT_SECONDS)
    except (signing.BadSignature, ValueError):
        return None
    path = _path(person, digest)
    return Kept(kind, token, path) if owner == person.pk and path.exists() else None


def forget(file: Kept) -> None:
    file.path.unlink(missing_ok=True)


def _folder() -> Path:
    folder: Path = settings.DATA_DIR / "brought-in"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def _path(person: Person, digest: str) -> Path:
    return _folder() / f"{person.pk}-{digest}.csv"


def _sweep(folder: Path) -> None:
    oldest = time.time() - KEPT_SECONDS
    for path in folder.iterdir():
        if path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
