"""Pictures read by their own bytes, held against Pillow, which others rely on."""

from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from fleet.operations.image_file import NoPicture, read_picture
from tests.camera import CAMERA, GPS, saved

FORMATS: dict[str, tuple[str, dict[str, Any]]] = {
    "jpeg": ("JPEG", {}),
    "progressive jpeg": ("JPEG", {"progressive": True}),
    "png": ("PNG", {}),
    "webp": ("WEBP", {}),
    "webp without loss": ("WEBP", {"lossless": True}),
}


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("place", [False, True])
def test_kind_and_size_are_as_pillow_reads_them(name: str, place: bool) -> None:
    format_, more = FORMATS[name]
    data = saved(format_, place=place, **more)
    found, theirs = read_picture(data), Image.open(BytesIO(data))
    assert (found.width, found.height) == theirs.size
    assert found.kind == Image.MIME[format_]


@pytest.mark.parametrize("name", FORMATS)
def test_what_stands_beside_the_picture_goes_and_the_picture_stays(name: str) -> None:
    format_, more = FORMATS[name]
    data = saved(format_, "teal", place=True, **more)
    assert dict(Image.open(BytesIO(data)).getexif().get_ifd(GPS))
    plain = read_picture(data).plain
    kept = Image.open(BytesIO(plain))
    assert not dict(kept.getexif())
    assert CAMERA.encode() not in plain
    assert kept.tobytes() == Image.open(BytesIO(data)).tobytes()


def test_a_second_picture_after_the_end_goes_with_its_place() -> None:
    plain = read_picture(saved("JPEG") + saved("JPEG", place=True)).plain
    assert plain == read_picture(saved("JPEG")).plain


@pytest.mark.parametrize("name", FORMATS)
def test_a_part_of_a_picture_is_none(name: str) -> None:
    format_, more = FORMATS[name]
    data = saved(format_, place=True, **more)
    for length in range(0, len(data), 7):
        with pytest.raises(NoPicture):
            read_picture(data[:length])


@pytest.mark.parametrize("data", [b"", b"GIF89a" + b"\0" * 40, b"<svg/>", b"\xff\xd8\xff" * 9])
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    with pytest.raises(NoPicture):
        read_picture(data)
