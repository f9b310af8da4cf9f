"""A job file on its way: a zip or a folder with job.toml, attachments, a manifest and a list of hashes.

Reading trusts nothing: names, links, counts, sizes and ratios are checked before anything is unpacked, and sizes
again while reading; nothing from an archive is ever written to a path that the archive names.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO, BinaryIO

from deadfront.errors import JobUnreadable, NotFound, UnsafeFile
from deadfront.store.files import bytes_hash, make_folder, replace_file, write_file
from deadfront.store.trouble import LibraryDamaged

JOB, LIST, MANIFEST, FOLDER = "job.toml", "SHA256SUMS", "manifest.json", "attachments/"
MAX_FILES = 2_000
MAX_TOTAL_BYTES = 500_000_000
MAX_RATIO = 100
MAX_DEPTH = 10
MAX_TEXT_BYTES = 10_000_000
MAX_DIRECTORY_BYTES = 4_000_000  # of a zip: 2,000 names of the longest kind need less
CHUNK_BYTES = 1 << 20
END_RECORD, END_RECORD_64 = b"PK\x05\x06", b"PK\x06\x07"
LIST_LINE = re.compile(r"([0-9a-f]{64}) [ *](.+)")
# What may be attached, by ending; photos are rewritten (photos.py), the rest is kept as it is.
MEDIA = {
    "jpg": "image/jpeg",
    "jpeg": "image/jpeg",
    "png": "image/png",
    "csv": "text/csv",
    "txt": "text/plain",
    "xml": "application/xml",
    "json": "application/json",
    "pdf": "application/pdf",
    "parquet": "application/vnd.apache.parquet",
}
ENDING = {media: ending for ending, media in reversed(MEDIA.items())}


def check_name(name: str) -> None:
    """Refuse a name that could lead out of its folder or mean different files on different systems.

    Raises:
        UnsafeFile: absolute, with a drive, a backslash, an empty or a dotted part, or control characters.
    """
    parts = name.split("/")
    bad_part = any(part in ("", ".", "..") or part != part.strip() or part.endswith(".") for part in parts)
    if bad_part or len(name) > 300 or re.search(r'[\\:*?"<>|\x00-\x1f\x7f]', name):
        raise UnsafeFile("store.archive.name", name=name[:300])


class Files:
    """The files of an archive or folder, read one at a time, each within its limits."""

    def __init__(self, source: Path, sizes: Mapping[str, int]) -> None:
        self.source, self.sizes = source, sizes
        if len(sizes) > MAX_FILES:
            raise UnsafeFile("store.archive.count", found=len(sizes), allowed=MAX_FILES)
        if (total := sum(sizes.values())) > MAX_TOTAL_BYTES:
            raise UnsafeFile("store.archive.size", found=total, allowed=MAX_TOTAL_BYTES)

    def read(self, name: str) -> bytes:
        """The bytes of one file.

        Raises:
            NotFound: not there.
            UnsafeFile: more bytes than it said.
        """
        return b"".join(self.chunks(name))

    def chunks(self, name: str) -> Iterator[bytes]:
        """The bytes of one file, piece by piece, so that a large one is never whole in memory.

        Raises:
            NotFound: not there.
            UnsafeFile: other than it said, found at the latest with the last piece.
        """
        if name not in self.sizes:
            raise NotFound("store.archive.missing", name=name, path=str(self.source))
        left = self.sizes[name]
        with self._open(name) as file:
            while chunk := file.read(min(CHUNK_BYTES, left + 1)):  # at the end makes the checksum be compared
                left -= len(chunk)
                if left < 0:
                    raise UnsafeFile("store.archive.changed", name=name)
                yield chunk
        if left:
            raise UnsafeFile("store.archive.changed", name=name)

    def _open(self, name: str) -> IO[bytes]:
        flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
        handle = os.open(self.source / name, flags)
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            os.close(handle)
            raise UnsafeFile("store.archive.not_file", name=name)
        return os.fdopen(handle, "rb")

    def close(self) -> None:
        """Let go of the archive."""


class ZipFiles(Files):
    """The files of a zip."""

    def __init__(self, source: Path) -> None:
        check_end_record(source)
        try:
            self.zip = zipfile.ZipFile(source)
        except (zipfile.BadZipFile, ValueError, NotImplementedError, UnicodeDecodeError) as error:
            raise JobUnreadable("store.archive.not_zip", path=str(source)) from error
        try:
            entries = check_entries(self.zip.infolist(), source.stat().st_size)
            super().__init__(source, {entry.filename: entry.file_size for entry in entries})
        except BaseException:
            self.zip.close()
            raise

    def chunks(self, name: str) -> Iterator[bytes]:
        try:
            yield from super().chunks(name)
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
            raise UnsafeFile("store.archive.broken", name=name) from error

    def _open(self, name: str) -> IO[bytes]:
        return self.zip.open(name)

    def close(self) -> None:
        self.zip.close()


def check_end_record(source: Path) -> None:
    """Count and size of a zip's directory, before anything reads it.

    Raises:
        JobUnreadable: no zip.
        UnsafeFile: too many files, too long a directory, too large a file.
    """
    size = source.stat().st_size
    if size > MAX_TOTAL_BYTES:
        raise UnsafeFile("store.archive.size", found=size, allowed=MAX_TOTAL_BYTES)
    with source.open("rb") as file:
        file.seek(max(0, size - 65_557))  # 22 bytes and the longest comment
        tail = file.read()
    at = tail.rfind(END_RECORD)
    if at < 0 or len(tail) - at < 22:
        raise JobUnreadable("store.archive.not_zip", path=str(source))
    count = int.from_bytes(tail[at + 10 : at + 12], "little")
    directory = int.from_bytes(tail[at + 12 : at + 16], "little")
    if count > MAX_FILES or END_RECORD_64 in tail[max(0, at - 20) : at]:
        raise UnsafeFile("store.archive.count", found=count, allowed=MAX_FILES)
    if directory > MAX_DIRECTORY_BYTES:
        raise UnsafeFile("store.archive.directory", found=directory, allowed=MAX_DIRECTORY_BYTES)


def check_entries(entries: list[zipfile.ZipInfo], archive_bytes: int) -> list[zipfile.ZipInfo]:
    """The files among a zip's entries, every limit checked before anything is unpacked.

    Raises:
        UnsafeFile: a name, link, method, ratio, count or size that is not allowed.
    """
    files, names = [], set()
    for entry in entries:
        check_name(entry.filename.removesuffix("/") if entry.is_dir() else entry.filename)
        mode = entry.external_attr >> 16
        if mode and not (stat.S_ISREG(mode) or stat.S_ISDIR(mode) or stat.S_IFMT(mode) == 0):
            raise UnsafeFile("store.archive.link", name=entry.filename)
        if entry.flag_bits & 0x1 or entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise UnsafeFile("store.archive.method", name=entry.filename)
        if entry.file_size > MAX_RATIO * max(entry.compress_size, 1):
            raise UnsafeFile("store.archive.ratio", name=entry.filename, allowed=MAX_RATIO)
        if entry.is_dir():
            continue
        if entry.filename.casefold() in names:
            raise UnsafeFile("store.archive.twice", name=entry.filename)
        names.add(entry.filename.casefold())
        files.append(entry)
    if len(entries) > MAX_FILES:
        raise UnsafeFile("store.archive.count", found=len(entries), allowed=MAX_FILES)
    if sum(entry.compress_size for entry in entries) > archive_bytes:  # files laid over one another
        raise UnsafeFile("store.archive.overlap")
    return files


def folder_files(source: Path) -> Files:
    """The files of a folder.

    Raises:
        UnsafeFile: a link or special file in it, too many files, too much.
    """
    sizes: dict[str, int] = {}
    for name, status in walk(source):
        check_name(name)
        if not stat.S_ISREG(status.st_mode):
            raise UnsafeFile("store.archive.link", name=name)
        sizes[name] = status.st_size
        if len(sizes) > MAX_FILES:
            break
    return Files(source, sizes)


def walk(folder: Path, prefix: str = "") -> Iterator[tuple[str, os.stat_result]]:
    """Every file below a folder with what the system says of it; links are not followed."""
    if prefix.count("/") > MAX_DEPTH:
        raise UnsafeFile("store.archive.depth", name=prefix, allowed=MAX_DEPTH)
    with os.scandir(folder) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        if entry.is_dir(follow_symlinks=False):
            yield from walk(Path(entry.path), f"{prefix}{entry.name}/")
        else:
            yield f"{prefix}{entry.name}", entry.stat(follow_symlinks=False)


def hash_list(files: Files) -> dict[str, str]:
    """The hashes an archive lists, by name; every file that is ours must be listed.

    Raises:
        JobUnreadable: no list, a line that is none, a file listed and missing, or there and not listed.
    """
    if LIST not in files.sizes:
        raise JobUnreadable("store.archive.no_list", path=str(files.source), list=LIST, job=JOB)
    listed: dict[str, str] = {}
    for number, line in enumerate(text_of(files, LIST).splitlines(), 1):
        match = LIST_LINE.fullmatch(line)
        if match is None:
            raise JobUnreadable("store.archive.bad_list", list=LIST, line=number)
        listed[match[2]] = match[1]
    for name in listed:
        if name not in files.sizes:
            raise JobUnreadable("store.archive.listed_missing", name=name, list=LIST)
    for name in files.sizes:
        if (name in (JOB, MANIFEST) or name.startswith(FOLDER)) and name not in listed:
            raise JobUnreadable("store.archive.not_listed", name=name, list=LIST)
    return listed


def verified(files: Files, listed: Mapping[str, str], name: str) -> bytes:
    """The bytes of a file, found to be what the list says.

    Raises:
        JobUnreadable: changed since the list was made.
    """
    data = files.read(name)
    if bytes_hash(data) != listed.get(name):
        raise JobUnreadable("store.archive.hash", name=name, list=LIST, job=JOB)
    return data


def check_hash(files: Files, listed: Mapping[str, str], name: str) -> None:
    """Whether a file is what the list says, without keeping it.

    Raises:
        JobUnreadable: changed since the list was made.
    """
    seen = hashlib.sha256()
    for chunk in files.chunks(name):
        seen.update(chunk)
    if seen.hexdigest() != listed.get(name):
        raise JobUnreadable("store.archive.hash", name=name, list=LIST, job=JOB)


def as_text(data: bytes, name: str) -> str:
    """Text as UTF-8.

    Raises:
        JobUnreadable: not UTF-8, with a zero byte, or too long.
    """
    if len(data) > MAX_TEXT_BYTES:
        raise UnsafeFile("store.archive.text_size", name=name, found=len(data), allowed=MAX_TEXT_BYTES)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise JobUnreadable("store.archive.not_text", name=name, line=line) from error
    if "\x00" in text:
        line = text[: text.index("\x00")].count("\n") + 1
        raise JobUnreadable("store.archive.not_text", name=name, line=line)
    return text


def text_of(files: Files, name: str) -> str:
    """The text of one file, its size checked first."""
    if files.sizes.get(name, 0) > MAX_TEXT_BYTES:
        raise UnsafeFile("store.archive.text_size", name=name, found=files.sizes[name], allowed=MAX_TEXT_BYTES)
    return as_text(files.read(name), name)


@dataclass(frozen=True, slots=True)
class Kept:
    """Bytes that lie in a file and go into a job file piece by piece.

    Args:
        sha256: What they must be; they are compared while they are written.
        open: Opens them from their start.
        path: Where they lie, to be named where they are damaged.
    """

    sha256: str
    open: Callable[[], BinaryIO]
    path: Path

    def chunks(self) -> Iterator[bytes]:
        """The bytes piece by piece.

        Raises:
            LibraryDamaged: they are no longer what they were; found with the last piece.
        """
        seen = hashlib.sha256()
        with self.open() as file:
            while chunk := file.read(CHUNK_BYTES):
                seen.update(chunk)
                yield chunk
        if seen.hexdigest() != self.sha256:
            raise LibraryDamaged("store.attachment.damaged", path=str(self.path), hash=self.sha256)


@dataclass(frozen=True, slots=True)
class Parcel:
    """What goes into a job file.

    Args:
        attachments: File name to bytes, or to where they are kept.
        manifest: What the file says of itself (JSON).
    """

    text: str
    attachments: Mapping[str, bytes | Kept]
    manifest: Mapping[str, object]

    def parts(self) -> dict[str, bytes | Kept]:
        """Every file by its name, the list of hashes last."""
        manifest = json.dumps(self.manifest, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
        found: dict[str, bytes | Kept] = {JOB: self.text.encode("utf-8"), MANIFEST: manifest.encode("utf-8")}
        found |= {FOLDER + name: data for name, data in sorted(self.attachments.items())}
        hashes = {name: part.sha256 if isinstance(part, Kept) else bytes_hash(part) for name, part in found.items()}
        lines = "".join(f"{told}  {name}\n" for name, told in hashes.items())
        return found | {LIST: lines.encode("utf-8")}

    def files(self) -> dict[str, bytes]:
        """The same, all of it in memory."""
        return {name: b"".join(pieces(part)) for name, part in self.parts().items()}


def pieces(part: bytes | Kept) -> Iterator[bytes]:
    """The bytes of a part, piece by piece."""
    if isinstance(part, Kept):
        yield from part.chunks()
    else:
        yield part


def write_zip(parcel: Parcel, path: Path, at: datetime) -> None:
    """Write a job file as one zip, whole or not at all."""

    def fill(temp: Path) -> None:
        with zipfile.ZipFile(temp, "x") as archive:
            for name, part in parcel.parts().items():
                entry = zipfile.ZipInfo(name, at.timetuple()[:6])
                entry.external_attr = (stat.S_IFREG | 0o644) << 16
                entry.compress_type = zipfile.ZIP_DEFLATED if worth_packing(name, part) else zipfile.ZIP_STORED
                with archive.open(entry, "w") as file:
                    for piece in pieces(part):
                        file.write(piece)

    replace_file(path, fill)


def worth_packing(name: str, part: bytes | Kept) -> bool:
    """Photos are packed already; and what packs too well would be refused as unsafe when read."""
    if MEDIA.get(name.rpartition(".")[2], "").startswith("image/"):
        return False
    packer, size, packed = zlib.compressobj(), 0, 0
    for piece in pieces(part):
        size += len(piece)
        packed += len(packer.compress(piece))
    return size < MAX_RATIO // 2 * (packed + len(packer.flush()))


def write_folder(parcel: Parcel, path: Path) -> None:
    """Write a job file as a folder that appears whole; `path` must not be there yet, or be empty."""

    def fill(temp: Path) -> None:
        (temp / FOLDER).mkdir()
        for name, part in parcel.parts().items():
            write_file(temp / name, pieces(part))

    make_folder(path, fill)
