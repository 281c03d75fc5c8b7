"""Files of photos in Django's own storage: under their SHA-256, whole or not there at all."""

import os
from pathlib import Path
from uuid import uuid4

from django.core.files.storage import default_storage

from fleet.records.photos import name_of


def keep_file(sha256: str, data: bytes) -> None:
    """Write it aside, then rename it: a server killed on the way leaves no half photo."""
    path = Path(default_storage.path(name_of(sha256)))
    if path.exists():
        return
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part = path.with_name(f"{path.name}.{uuid4().hex}.part")
    try:
        with part.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
