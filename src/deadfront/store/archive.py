"""A job file on its way: a zip or a folder with job.toml, attachments, a manifest and a list of hashes.

Reading trusts nothing: names, links, counts, sizes and ratios are checked before anything is unpacked, and sizes
again while reading; nothing from an archive is ever written to a path that the archive names.
"""

from __future__ import annotations

import json
import os
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from deadfront.errors import JobUnreadable, NotFound, UnsafeFile
from deadfront.store.files import bytes_hash, make_folder, replace_file, write_file

JOB, LIST, MANIFEST, FOLDER = "job.toml", "SHA256SUMS", "manifest.json", "attachments/"
MAX_FILES = 2_000
MAX_TOTAL_BYTES = 500_000_000
MAX_RATIO = 100
MAX_DEPTH = 10
MAX_TEXT_BYTES = 10_000_000
MAX_DIRECTORY_BYTES = 4_000_000  # of a zip: 2,000 names of the longest kind need less
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
        if name not in self.sizes:
            raise NotFound("store.archive.missing", name=name, path=str(self.source))
        return self._read(name)

    def _read(self, name: str) -> bytes:
        path = self.source / name
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0))
        with os.fdopen(handle, "rb") as file:
            data = file.read(self.sizes[name] + 1)
        if len(data) != self.sizes[name]:
            raise UnsafeFile("store.archive.changed", name=name)
        return data

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

    def _read(self, name: str) -> bytes:
        try:
            with self.zip.open(name) as file:
                data = file.read(self.sizes[name] + 1)
                more = file.read(1)  # reaching the end makes the checksum be compared
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
            raise UnsafeFile("store.archive.broken", name=name) from error
        if len(data) != self.sizes[name] or more:
            raise UnsafeFile("store.archive.changed", name=name)
        return data

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
class Parcel:
    """What goes into a job file.

    Args:
        attachments: File name to bytes.
        manifest: What the file says of itself (JSON).
    """

    text: str
    attachments: Mapping[str, bytes]
    manifest: Mapping[str, object]

    def files(self) -> dict[str, bytes]:
        """Every file by its name, the list of hashes last."""
        manifest = json.dumps(self.manifest, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
        found = {JOB: self.text.encode("utf-8"), MANIFEST: manifest.encode("utf-8")}
        found |= {FOLDER + name: data for name, data in sorted(self.attachments.items())}
        lines = "".join(f"{bytes_hash(data)}  {name}\n" for name, data in found.items())
        return found | {LIST: lines.encode("utf-8")}


def write_zip(parcel: Parcel, path: Path, at: datetime) -> None:
    """Write a job file as one zip, whole or not at all."""

    def fill(temp: Path) -> None:
        with zipfile.ZipFile(temp, "x") as archive:
            for name, data in parcel.files().items():
                entry = zipfile.ZipInfo(name, at.timetuple()[:6])
                entry.external_attr = (stat.S_IFREG | 0o644) << 16
                entry.compress_type = zipfile.ZIP_DEFLATED if worth_packing(name, data) else zipfile.ZIP_STORED
                archive.writestr(entry, data)

    replace_file(path, fill)


def worth_packing(name: str, data: bytes) -> bool:
    """Photos are packed already; and what packs too well would be refused as unsafe when read."""
    if MEDIA.get(name.rpartition(".")[2], "").startswith("image/"):
        return False
    return len(data) < MAX_RATIO // 2 * len(zlib.compress(data))


def write_folder(parcel: Parcel, path: Path) -> None:
    """Write a job file as a folder that appears whole; `path` must not be there yet, or be empty."""

    def fill(temp: Path) -> None:
        (temp / FOLDER).mkdir()
        for name, data in parcel.files().items():
            write_file(temp / name, data)

    make_folder(path, fill)
