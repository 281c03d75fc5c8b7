"""Pictures as cameras make them, and photos as rows."""

import hashlib
from functools import cache
from io import BytesIO
from typing import Any

from PIL import Image

from fleet.operations.photo_files import keep_file
from fleet.records.models import Joint, Person, Photo
from tests.build import NOW

# Of Exif 2.32: the maker of the camera; and of its GPS part: latitude, north.
MAKE, GPS = 0x010F, 0x8825
PLACE = {1: "N", 2: (40.0, 26.0, 46.0)}
CAMERA = "Hollow Camera"


@cache
def jpeg(colour: str = "gray", *, place: bool = False) -> bytes:
    """24 x 16; with a place it tells where it was taken, and by what camera."""
    return saved("JPEG", colour, place=place)


def saved(format_: str, colour: str = "gray", *, place: bool = False, **more: Any) -> bytes:
    """As the library writes it in this format."""
    out, picture = BytesIO(), Image.new("RGB", (24, 16), colour)
    exif = picture.getexif()
    if place:
        exif[MAKE] = CAMERA
        exif.get_ifd(GPS).update(PLACE)
    picture.save(out, format_, exif=exif, **more)
    return out.getvalue()


def columns(data: bytes) -> dict[str, Any]:
    """What a row tells of a file, which is kept with it."""
    sha256 = hashlib.sha256(data).hexdigest()
    keep_file(sha256, data)
    return {
        "sha256": sha256, "sent_sha256": sha256, "kind": "image/jpeg", "size": len(data),
        "width": 24, "height": 16, "place_removed": True,
    }  # fmt: skip


def photo(at: Joint, by: Person, **extra: Any) -> Photo:
    values = {"vehicle": at.vehicle, "joint": at, "by": by, "occurred_at": NOW}
    return Photo.objects.create(**{**values, **columns(jpeg()), **extra})
