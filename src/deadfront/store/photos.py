"""Photos rewritten so that only the picture is left: no place, no time, no phone, no hidden second picture.

A photo is taken apart by the book of its format and put together again from the parts that make the picture; what
does not follow the book is refused. Of the camera's notes only which way is up is kept, in a note of our own making.

Source: JPEG, ITU-T T.81 annex B, and JFIF, ITU-T T.871; EXIF orientation, JEITA CP-3451, tag 0x0112;
PNG, W3C Portable Network Graphics specification, chunk layout (section 5).
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

from deadfront.errors import UnsafeFile

JPEG, PNG = "image/jpeg", "image/png"
JPEG_START, PNG_START = b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"
# Markers of a JPEG
SOI, EOI, SOS, DQT, DHT, DRI, COM = 0xD8, 0xD9, 0xDA, 0xDB, 0xC4, 0xDD, 0xFE
FRAMES = {0xC0, 0xC1, 0xC2}  # baseline, extended, progressive: what every screen shows
KEPT = FRAMES | {DQT, DHT, DRI, SOS}
APP0, APP1, APP14, APP15 = 0xE0, 0xE1, 0xEE, 0xEF
EXIF = b"Exif\x00\x00"
ORIENTATION_TAG = 0x0112
# Chunks of a PNG that make the picture, with the length each may have
PNG_KEPT = {
    b"IHDR": range(13, 14),
    b"PLTE": range(3, 769, 3),
    b"IDAT": range(2**31),
    b"IEND": range(1),
    b"tRNS": range(1, 257),
    b"gAMA": range(4, 5),
    b"sRGB": range(1, 2),
    b"pHYs": range(9, 10),
}


def photo_kind(data: bytes) -> str | None:
    """The media type of a photo by its first bytes; None where it is neither JPEG nor PNG."""
    if data.startswith(JPEG_START):
        return JPEG
    return PNG if data.startswith(PNG_START) else None


def stripped(data: bytes, name: str) -> tuple[str, bytes]:
    """The media type and the photo with nothing but the picture; doing it again changes nothing.

    Args:
        name: What to call the photo in a message.
    Raises:
        UnsafeFile: neither JPEG nor PNG, or not by the book of its format.
    """
    kind = photo_kind(data)
    if kind is None:
        raise UnsafeFile("store.photo.kind", name=name)
    rewritten = stripped_jpeg(data, name) if kind == JPEG else stripped_png(data, name)
    return kind, rewritten


def _malformed(name: str, problem: str) -> UnsafeFile:
    return UnsafeFile(f"store.photo.{problem}", name=name)


def stripped_jpeg(data: bytes, name: str) -> bytes:
    """A JPEG without notes, thumbnails, profiles, comments and whatever follows the picture.

    Raises:
        UnsafeFile: not by the book.
    """
    head: list[bytes] = []
    body: list[bytes] = []
    orientation, frames, scans = 1, 0, 0
    for marker, payload, entropy in jpeg_segments(data, name):
        if marker == APP1 and payload.startswith(EXIF):
            orientation = exif_orientation(payload[len(EXIF) :]) or orientation
        elif marker == APP0 and payload.startswith(b"JFIF\x00") and len(payload) >= 14 and not head:
            head.append(segment(APP0, payload[:12] + b"\x00\x00"))  # thumbnail of no width and no height
        elif marker == APP14 and payload.startswith(b"Adobe") and len(payload) >= 12:
            body.append(segment(APP14, payload[:12]))
        elif marker in KEPT:
            frames += marker in FRAMES
            scans += marker == SOS
            if marker == SOS and not frames:
                raise _malformed(name, "no_frame")
            body.append(segment(marker, payload) + entropy)
        elif not (APP0 <= marker <= APP15 or marker == COM):
            raise _malformed(name, "marker")
    if frames != 1 or not scans:
        raise _malformed(name, "no_frame")
    if orientation != 1:
        head.append(segment(APP1, EXIF + orientation_note(orientation)))
    return b"\xff\xd8" + b"".join(head) + b"".join(body) + b"\xff\xd9"


def segment(marker: int, payload: bytes) -> bytes:
    """A JPEG segment: marker, length, payload."""
    return struct.pack(">BBH", 0xFF, marker, len(payload) + 2) + payload


def jpeg_segments(data: bytes, name: str) -> Iterator[tuple[int, bytes, bytes]]:
    """Marker, payload and, after a start of scan, the coded picture; up to the end of the picture.

    Raises:
        UnsafeFile: a segment that does not follow another, is cut short, or a picture without an end.
    """
    at = 2
    while True:
        while data[at : at + 2] == b"\xff\xff":  # fill bytes before a marker are allowed
            at += 1
        if at + 2 > len(data) or data[at] != 0xFF:
            raise _malformed(name, "cut_short" if at + 2 > len(data) else "out_of_step")
        marker = data[at + 1]
        if marker == EOI:
            return
        if marker in (0x00, 0x01, SOI) or 0xD0 <= marker <= 0xD7:
            raise _malformed(name, "marker")
        length = int.from_bytes(data[at + 2 : at + 4], "big")
        end = at + 2 + length
        if length < 2 or end > len(data):
            raise _malformed(name, "cut_short")
        stop = scan_end(data, end, name) if marker == SOS else end
        yield marker, data[at + 4 : end], data[end:stop]
        at = stop


def scan_end(data: bytes, at: int, name: str) -> int:
    """Where a scan's coded data ends: at the next marker that is neither a stuffed FF nor a restart."""
    while True:
        at = data.find(b"\xff", at)
        if at < 0 or at + 1 >= len(data):
            raise _malformed(name, "cut_short")
        following = data[at + 1]
        if following == 0xFF:
            at += 1
        elif following == 0x00 or 0xD0 <= following <= 0xD7:
            at += 2
        else:
            return at


def exif_orientation(tiff: bytes) -> int | None:
    """Which way is up, 1 to 8, from the camera's notes; None where they do not say it plainly."""
    order = {b"II*\x00": "<", b"MM\x00*": ">"}.get(tiff[:4])
    if order is None or len(tiff) < 10:
        return None
    (start,) = struct.unpack_from(order + "I", tiff, 4)
    if start + 2 > len(tiff):
        return None
    (count,) = struct.unpack_from(order + "H", tiff, start)
    for entry in range(start + 2, min(start + 2 + 12 * count, len(tiff) - 11), 12):
        tag, kind, number, value = struct.unpack_from(order + "HHIH", tiff, entry)
        if tag == ORIENTATION_TAG:
            return value if kind == 3 and number == 1 and 1 <= value <= 8 else None
    return None


def orientation_note(orientation: int) -> bytes:
    """The smallest note that says which way is up, and nothing else."""
    entry = struct.pack(">HHIHH", ORIENTATION_TAG, 3, 1, orientation, 0)
    return b"MM\x00*" + struct.pack(">IH", 8, 1) + entry + struct.pack(">I", 0)


def stripped_png(data: bytes, name: str) -> bytes:
    """A PNG of its picture chunks alone.

    Raises:
        UnsafeFile: not by the book, a wrong checksum, or a chunk that must be understood and is not.
    """
    kept: list[bytes] = []
    order: list[bytes] = []
    for kind, body in png_chunks(data, name):
        critical = not kind[0] & 0x20
        if kind not in PNG_KEPT:
            if critical:
                raise _malformed(name, "chunk")
            continue
        if len(body) not in PNG_KEPT[kind] or (kind != b"IDAT" and kind in order):
            raise _malformed(name, "chunk")
        if kind == b"IDAT" and b"IDAT" in order and order[-1] != b"IDAT":
            raise _malformed(name, "out_of_step")
        order.append(kind)
        kept.append(chunk(kind, body))
    if order[0] != b"IHDR" or b"IDAT" not in order:
        raise _malformed(name, "no_frame")
    return PNG_START + b"".join(kept)


def chunk(kind: bytes, body: bytes) -> bytes:
    """A PNG chunk: length, kind, body, checksum."""
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png_chunks(data: bytes, name: str) -> Iterator[tuple[bytes, bytes]]:
    """Kind and body of every chunk up to the end chunk.

    Raises:
        UnsafeFile: cut short, or a wrong checksum.
    """
    at, kind = len(PNG_START), b""
    while kind != b"IEND":
        if at + 12 > len(data):
            raise _malformed(name, "cut_short")
        length = int.from_bytes(data[at : at + 4], "big")
        kind, end = data[at + 4 : at + 8], at + 12 + length
        if end > len(data):
            raise _malformed(name, "cut_short")
        if not kind.isalpha():
            raise _malformed(name, "chunk")
        body = data[at + 8 : end - 4]
        if zlib.crc32(kind + body) != int.from_bytes(data[end - 4 : end], "big"):
            raise _malformed(name, "checksum")
        yield kind, body
        at = end
