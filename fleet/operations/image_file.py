"""What a picture file says of itself, read from its own bytes, and how what it tells beside the
picture is taken out. A file that can't be read to its end is no picture.

JPEG: ITU-T T.81, annex B. PNG: W3C, Portable Network Graphics, 5 and 11. WebP: RFC 9649.
"""

import re
import struct
from collections.abc import Callable, Iterator
from dataclasses import dataclass

PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n"
# Exif and XMP of each format; text chunks of PNG may hold XMP too.
_APP1 = 0xE1
_PNG_BESIDE = {b"eXIf", b"tEXt", b"zTXt", b"iTXt"}
_WEBP_BESIDE = {b"EXIF", b"XMP "}
_WEBP_BESIDE_BITS = 0x0C
# Frame headers; C4, C8 and CC are tables and an extension.
_FRAMES = set(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_END, _SCAN, _FILL = 0xD9, 0xDA, 0xFF
# In a scan FF is followed by 00, or by a restart marker; anything else ends the scan.
_AFTER_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
_VP8_KEY_FRAME = b"\x9d\x01\x2a"
_SIZE_14 = 0x3FFF


class NoPicture(ValueError):
    """Not a JPEG, PNG or WebP file, or a broken one."""


@dataclass(frozen=True)
class Picture:
    """Sides in pixels; `plain` is the file with nothing beside the picture."""

    kind: str
    width: int
    height: int
    plain: bytes


def read_picture(data: bytes) -> Picture:
    """By the file's first bytes. Raises NoPicture."""
    try:
        picture = _reader(data)(data)
    except (struct.error, IndexError) as broken:
        raise NoPicture("cut short") from broken
    if not picture.width or not picture.height:
        raise NoPicture("no size")
    return picture


def _reader(data: bytes) -> Callable[[bytes], Picture]:
    if data[:3] == b"\xff\xd8\xff":
        return _jpeg
    if data[:8] == PNG_SIGNATURE:
        return _png
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return _webp
    raise NoPicture("unknown")


def _jpeg(data: bytes) -> Picture:
    kept, size = [data[:2]], (0, 0)
    for marker, part in _segments(data):
        if marker in _FRAMES and not any(size):
            height, width = struct.unpack(">HH", part[5:9])
            size = (width, height)
        if marker != _APP1:
            kept.append(part)
    return Picture("image/jpeg", *size, b"".join(kept))


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Each marker with its segment, a scan with its data; what follows the end is left out."""
    at = 2
    while True:
        if data[at] != _FILL:
            raise NoPicture("no marker")
        marker = data[at + 1]
        if marker == _FILL:
            at += 1
            continue
        if marker == _END:
            yield marker, data[at : at + 2]
            return
        end = at + 2 + int(struct.unpack(">H", data[at + 2 : at + 4])[0])
        if marker == _SCAN:
            after = _AFTER_SCAN.search(data, end)
            if after is None:
                raise NoPicture("no end")
            end = after.start()
        if end > len(data) or end < at + 4:
            raise NoPicture("cut short")
        yield marker, data[at:end]
        at = end


def _png(data: bytes) -> Picture:
    kept, at = [data[:8]], 8
    width, height = struct.unpack(">II", data[16:24])
    name = b""
    while name != b"IEND":
        length, name = struct.unpack(">I4s", data[at : at + 8])
        end = at + 12 + length
        if end > len(data):
            raise NoPicture("cut short")
        if name not in _PNG_BESIDE:
            kept.append(data[at:end])
        at = end
    return Picture("image/png", width, height, b"".join(kept))


def _webp(data: bytes) -> Picture:
    end = 8 + int(struct.unpack("<I", data[4:8])[0])
    if end > len(data):
        raise NoPicture("cut short")
    kept, at, size = [], 12, (0, 0)
    while at < end:
        name, length = struct.unpack("<4sI", data[at : at + 8])
        part = data[at : at + 8 + length + length % 2]
        at += len(part)
        if not any(size):
            size = _webp_size(name, part[8:])
        if name == b"VP8X":
            part = part[:8] + bytes([part[8] & ~_WEBP_BESIDE_BITS]) + part[9:]
        if name not in _WEBP_BESIDE:
            kept.append(part)
    body = b"WEBP" + b"".join(kept)
    return Picture("image/webp", *size, b"RIFF" + struct.pack("<I", len(body)) + body)


def _webp_size(name: bytes, body: bytes) -> tuple[int, int]:
    """Width and height by the chunk that tells them; zeros for any other."""
    if name == b"VP8X":
        return (int.from_bytes(body[4:7], "little") + 1, int.from_bytes(body[7:10], "little") + 1)
    if name == b"VP8 " and body[3:6] == _VP8_KEY_FRAME:
        width, height = struct.unpack("<HH", body[6:10])
        return width & _SIZE_14, height & _SIZE_14
    if name == b"VP8L":
        bits = int.from_bytes(body[1:5], "little")
        return (bits & _SIZE_14) + 1, ((bits >> 14) & _SIZE_14) + 1
    return 0, 0
