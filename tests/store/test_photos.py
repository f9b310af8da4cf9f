"""Nothing but the picture is left of a photo; what is not by the book of its format is refused."""

from __future__ import annotations

import struct
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from deadfront.errors import UnsafeFile
from deadfront.store.photos import JPEG, PNG, exif_orientation, stripped
from tests.store.pictures import (
    CODED,
    DC_TABLE,
    FRAME,
    PLACE,
    QUANT,
    SCAN,
    exif,
    jpeg,
    phone_jpeg,
    png,
    png_chunk,
    seg,
)


@pytest.mark.parametrize("order", [">", "<"])
def test_a_phone_photo_keeps_its_picture_and_which_way_is_up(order: str) -> None:
    kind, left = stripped(phone_jpeg(6, order), "meter.jpg")
    assert kind == JPEG
    assert PLACE not in left and b"GPS" not in left and b"xmp" not in left and b"ICC" not in left
    assert struct.pack(">I", 0x88250004) not in left and PLACE[:12] not in left  # GPS block, thumbnail
    # hand: the whole file again, part by part
    jfif = seg(0xE0, b"JFIF\x00" + struct.pack(">BBBHHBB", 1, 1, 0, 1, 1, 0, 0))
    up = b"Exif\x00\x00MM\x00*" + struct.pack(">IHHHIHHI", 8, 1, 0x0112, 3, 1, 6, 0, 0)
    plain = jpeg()
    picture = plain[plain.index(seg(0xDB, QUANT)) :]
    assert left == b"\xff\xd8" + jfif + seg(0xE1, up) + picture


def test_an_upright_photo_needs_no_note() -> None:
    left = stripped(phone_jpeg(1), "x")[1]
    assert b"Exif" not in left
    assert len(left) == len(jpeg()) - 12  # the thumbnail is gone, nothing added


@pytest.mark.parametrize("photo", [phone_jpeg(6), phone_jpeg(1), jpeg(), png(), png(png_chunk(b"tEXt", PLACE))])
def test_doing_it_again_changes_nothing(photo: bytes) -> None:
    once = stripped(photo, "x")[1]
    assert stripped(once, "x")[1] == once


def test_the_color_note_of_a_jpeg_is_kept_short() -> None:
    left = stripped(jpeg(seg(0xEE, b"Adobe\x00\x64\x00\x00\x00\x00\x01" + PLACE)), "x")[1]
    assert seg(0xEE, b"Adobe\x00\x64\x00\x00\x00\x00\x01") in left and PLACE not in left


def test_restarts_stuffed_bytes_and_several_scans_are_picture() -> None:
    coded = b"\x3f\xff\x00\x12\xff\xd0\x3f\xff\xd7" + CODED + seg(0xC4, DC_TABLE) + seg(0xDA, SCAN) + b"\xff\x00\x01"
    left = stripped(jpeg(coded=coded), "x")[1]
    assert coded in left and left.endswith(b"\x01\xff\xd9")


def test_a_note_between_scans_is_dropped_too() -> None:
    between = seg(0xE1, exif()) + seg(0xFE, PLACE)
    left = stripped(jpeg(coded=CODED + between + seg(0xDA, SCAN) + CODED), "x")[1]
    assert PLACE not in left and left.count(seg(0xDA, SCAN)) == 2


def test_a_png_keeps_its_picture_chunks() -> None:
    kept = [png_chunk(b"gAMA", b"\x00\x00\xb1\x8f"), png_chunk(b"sRGB", b"\x00"), png_chunk(b"pHYs", bytes(9))]
    dropped = [png_chunk(b"tEXt", PLACE), png_chunk(b"eXIf", exif()[6:]), png_chunk(b"iTXt", PLACE)]
    dropped += [png_chunk(b"iCCP", PLACE), png_chunk(b"tIME", bytes(7)), png_chunk(b"zzZz", PLACE)]
    kind, left = stripped(png(*kept, *dropped, tail=PLACE), "x")
    assert kind == PNG
    assert left == png(*kept)


@pytest.mark.parametrize(
    ("problem", "photo"),
    [
        ("kind", b""),
        ("kind", b"GIF89a" + bytes(40)),
        ("kind", b"RIFF\x00\x00\x00\x00WEBP"),
        ("kind", b"\x00\x00\x00\x18ftypheic"),
        ("kind", b"II*\x00" + bytes(40)),
        ("cut_short", jpeg()[:-2]),
        ("cut_short", jpeg()[:40]),
        ("cut_short", b"\xff\xd8\xff"),
        ("cut_short", b"\xff\xd8" + struct.pack(">BBH", 0xFF, 0xE0, 1)),
        ("out_of_step", jpeg(b"??")),
        ("marker", jpeg(seg(0xC9, FRAME))),  # arithmetic coding
        ("marker", jpeg(b"\xff\xd8")),  # a picture in the picture
        ("marker", jpeg(b"\xff\xd3")),
        ("no_frame", b"\xff\xd8" + seg(0xDB, QUANT) + b"\xff\xd9"),
        ("no_frame", b"\xff\xd8" + seg(0xDA, SCAN) + CODED + b"\xff\xd9"),
        ("no_frame", jpeg(seg(0xC0, FRAME))),  # two frames
        ("cut_short", png()[:-1]),
        ("cut_short", png()[:30]),
        ("checksum", png().replace(b"IDAT", b"IDAU")),
        ("chunk", png(png_chunk(b"XXXX", b""))),
        ("chunk", png(png_chunk(b"\x00abc", b""))),
        ("chunk", png(png_chunk(b"pHYs", PLACE))),
        ("chunk", png(png_chunk(b"sRGB", b"\x00"), png_chunk(b"sRGB", b"\x00"))),
        ("out_of_step", png(png_chunk(b"IDAT", b""), png_chunk(b"gAMA", bytes(4)))),
        ("no_frame", b"\x89PNG\r\n\x1a\n" + png_chunk(b"IEND", b"")),
        ("no_frame", b"\x89PNG\r\n\x1a\n" + png_chunk(b"IHDR", bytes(13)) + png_chunk(b"IEND", b"")),
    ],
)
def test_what_is_not_by_the_book_is_refused(problem: str, photo: bytes) -> None:
    with pytest.raises(UnsafeFile) as found:
        stripped(photo, "meter.jpg")
    assert found.value.msg.key == f"store.photo.{problem}"
    assert found.value.msg.params == {"name": "meter.jpg"}


@pytest.mark.parametrize("whole", [phone_jpeg(), png(png_chunk(b"tEXt", PLACE))])
def test_any_cut_either_is_refused_or_leaks_nothing(whole: bytes) -> None:
    refused = 0
    for end in range(len(whole)):
        try:
            left = stripped(whole[:end], "x")[1]
        except UnsafeFile:
            refused += 1
            continue
        assert PLACE not in left
    assert refused > 200 or len(whole) < 200


@given(at=st.integers(2, 900), byte=st.integers(0, 255))
def test_a_changed_byte_either_is_refused_or_leaves_a_photo_that_strips_to_itself(at: int, byte: int) -> None:
    photo = bytearray(phone_jpeg())
    photo[at % len(photo)] = byte
    try:
        left = stripped(bytes(photo), "x")[1]
    except UnsafeFile:
        return
    assert stripped(left, "x")[1] == left


@pytest.mark.parametrize(
    "notes",
    [
        b"", b"MM\x00*", b"MM\x00*\xff\xff\xff\xff\x00\x00", b"XX\x00*" + bytes(20), exif(9)[6:], exif(0)[6:],
        b"MM\x00*" + struct.pack(">IH", 8, 500), b"MM\x00*" + struct.pack(">IH", 8, 0),
    ],
)  # fmt: skip
def test_notes_that_do_not_say_which_way_is_up(notes: bytes) -> None:
    assert exif_orientation(notes) is None


def test_the_test_pictures_are_pictures() -> None:
    assert zlib.decompress(zlib.compress(b"\x00\x00")) == b"\x00\x00"
    assert exif_orientation(exif(6)[6:]) == 6 and exif_orientation(exif(8, "<")[6:]) == 8
