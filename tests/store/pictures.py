"""Small real pictures built by hand, with all that a phone hides in them."""

from __future__ import annotations

import base64
import struct
import zlib

# A gray 8 x 8 baseline JPEG, coded by hand: one DC value, then end of block.
QUANT = b"\x00" + bytes([1] * 64)
FRAME = struct.pack(">BHHBBBB", 8, 8, 8, 1, 1, 0x11, 0)
DC_TABLE = b"\x00" + bytes([1] + [0] * 15) + b"\x00"  # one code of one bit: difference 0
AC_TABLE = b"\x10" + bytes([1] + [0] * 15) + b"\x00"  # one code of one bit: end of block
SCAN = struct.pack(">BBBBBB", 1, 1, 0x00, 0, 63, 0)
CODED = b"\x3f"  # bits 0 0, then filled with ones
PLACE = b"41.40338, 2.17403 Hollow Creek"


def seg(marker: int, payload: bytes) -> bytes:
    """A segment with its length."""
    return struct.pack(">BBH", 0xFF, marker, len(payload) + 2) + payload


def exif(orientation: int = 1, order: str = ">") -> bytes:
    """Camera notes: orientation, and a GPS block with a latitude."""
    head = (b"MM\x00*" if order == ">" else b"II*\x00") + struct.pack(order + "I", 8)
    gps_at = 8 + 2 + 2 * 12 + 4
    up = struct.pack(order + "HHIHH", 0x0112, 3, 1, orientation, 0)
    gps = struct.pack(order + "HHII", 0x8825, 4, 1, gps_at)
    first = struct.pack(order + "H", 2) + up + gps + struct.pack(order + "I", 0)
    latitude_at = gps_at + 2 + 12 + 4
    second = struct.pack(order + "HHHII", 1, 0x0002, 5, 3, latitude_at) + struct.pack(order + "I", 0)
    latitude = struct.pack(order + "IIIIII", 41, 1, 24, 1, 1217, 100)
    return b"Exif\x00\x00" + head + first + second + latitude + PLACE


def jpeg(*extra: bytes, tail: bytes = b"", coded: bytes = CODED) -> bytes:
    """A JPEG with extra segments after its JFIF head and bytes after its end."""
    jfif = seg(0xE0, b"JFIF\x00" + struct.pack(">BBBHHBB", 1, 1, 0, 1, 1, 2, 2) + PLACE[:12])  # a 2 x 2 thumbnail
    picture = seg(0xDB, QUANT) + seg(0xC0, FRAME) + seg(0xC4, DC_TABLE) + seg(0xC4, AC_TABLE)
    return b"\xff\xd8" + jfif + b"".join(extra) + picture + seg(0xDA, SCAN) + coded + b"\xff\xd9" + tail


def phone_jpeg(orientation: int = 6, order: str = ">") -> bytes:
    """What a phone makes: EXIF with place, XMP, profile text, a comment, and a second picture after the end."""
    return jpeg(
        seg(0xE1, exif(orientation, order)),
        seg(0xE1, b"http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta>" + PLACE),
        seg(0xE2, b"ICC_PROFILE\x00\x01\x01" + PLACE),
        seg(0xED, b"Photoshop 3.0\x00" + PLACE),
        seg(0xFE, PLACE),
        tail=jpeg(seg(0xE1, exif())),
    )


def png_chunk(kind: bytes, body: bytes) -> bytes:
    """A chunk with its checksum."""
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png(*extra: bytes, tail: bytes = b"") -> bytes:
    """A black 1 x 1 PNG with extra chunks after its head and bytes after its end."""
    head = png_chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0))
    picture = png_chunk(b"IDAT", zlib.compress(b"\x00\x00"))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(extra) + picture + png_chunk(b"IEND", b"") + tail


def data_url(data: bytes, media: str) -> str:
    """A picture to show in a browser without a file."""
    return f"data:{media};base64,{base64.b64encode(data).decode()}"
