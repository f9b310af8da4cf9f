"""Job files: whole when written, and no archive gets past its limits when read."""

from __future__ import annotations

import io
import json
import os
import stat
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from deadfront.errors import DeadfrontError, JobUnreadable, NotFound, UnsafeFile
from deadfront.store import archive
from deadfront.store.archive import Parcel, ZipFiles, folder_files, hash_list, verified, write_folder, write_zip
from deadfront.store.files import bytes_hash, make_folder, replace_file
from tests.store.helping import NOON

PARCEL = Parcel("[job]\nname = 'A'\n", {"ph-31.jpg": b"\xff\xd8\xff" + bytes(3000)}, {"name": "A"})


def zipped(path: Path, files: dict[str, bytes], listed: bool = True, **how: int) -> Path:
    """A zip of the files, with its list of hashes."""
    if listed:
        lines = "".join(f"{bytes_hash(data)}  {name}\n" for name, data in files.items())
        files = files | {"SHA256SUMS": lines.encode()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = how.get("mode", 0o100644) << 16
            out.writestr(entry, data)
    return path


def refusal(path: Path) -> str:
    """The key of the message with which a zip is refused."""
    with pytest.raises(DeadfrontError) as found:
        files = ZipFiles(path)
        try:
            for name in hash_list(files):
                verified(files, hash_list(files), name)
        finally:
            files.close()
    return found.value.msg.key


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    write_zip(PARCEL, tmp_path / "a.zip", NOON)
    write_folder(PARCEL, tmp_path / "a")
    for files in (ZipFiles(tmp_path / "a.zip"), folder_files(tmp_path / "a")):
        listed = hash_list(files)
        assert set(files.sizes) == {"job.toml", "manifest.json", "attachments/ph-31.jpg", "SHA256SUMS"}
        assert verified(files, listed, "job.toml").decode() == PARCEL.text
        assert verified(files, listed, "attachments/ph-31.jpg") == PARCEL.attachments["ph-31.jpg"]
        assert json.loads(verified(files, listed, "manifest.json")) == {"name": "A"}
        files.close()
    assert sorted(each.name for each in tmp_path.iterdir()) == ["a", "a.zip"]  # nothing half done is left


@pytest.mark.skipif(sys.platform == "win32", reason="no sha256sum")
def test_the_list_is_one_that_sha256sum_reads(tmp_path: Path) -> None:
    write_folder(PARCEL, tmp_path / "a")
    done = subprocess.run(["sha256sum", "-c", "SHA256SUMS"], cwd=tmp_path / "a", capture_output=True, text=True)
    assert done.returncode == 0 and done.stdout.count(": OK") == 3


def test_the_same_job_makes_the_same_zip(tmp_path: Path) -> None:
    write_zip(PARCEL, tmp_path / "a.zip", NOON)
    write_zip(PARCEL, tmp_path / "b.zip", NOON)
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


def test_a_text_that_packs_too_well_is_still_read_back(tmp_path: Path) -> None:
    write_zip(Parcel("# " + "x" * 2_000_000 + "\n", {}, {}), tmp_path / "a.zip", NOON)
    files = ZipFiles(tmp_path / "a.zip")
    assert files.sizes["job.toml"] == 2_000_003
    files.close()


@pytest.mark.parametrize(
    "name",
    [
        "../job.toml", "a/../../job.toml", "/etc/passwd", "C:/x", "C:\\x", "..\\job.toml", "a//b", "./job.toml",
        "a/./b", "job.toml ", "nul.", "a\nb", "a*b", "x" * 301, "..",
    ],
)  # fmt: skip
def test_names_that_lead_elsewhere(tmp_path: Path, name: str) -> None:
    with pytest.raises(UnsafeFile, match="store.archive.name"):
        archive.check_name(name)
    assert refusal(zipped(tmp_path / "a.zip", {"other.txt": b"x", name: b"y"})) == "store.archive.name"


@pytest.mark.parametrize("name", ["job.toml", "attachments/ph-31.jpg", "attachments/Zähler 1.jpg"])
def test_names_that_are_allowed(name: str) -> None:
    archive.check_name(name)


def test_links_and_special_files_in_a_zip(tmp_path: Path) -> None:
    for kind in (stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR):
        path = zipped(tmp_path / "a.zip", {"job.toml": b"/etc/passwd"}, mode=kind | 0o777)
        assert refusal(path) == "store.archive.link"


def test_ratio(tmp_path: Path) -> None:
    assert refusal(zipped(tmp_path / "a.zip", {"job.toml": bytes(1_000_000)})) == "store.archive.ratio"


def test_count(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    many = {f"attachments/{n}.txt": b"" for n in range(archive.MAX_FILES)}
    assert refusal(zipped(tmp_path / "a.zip", many)) == "store.archive.count"  # with the list: one too many
    del many["attachments/0.txt"]
    ZipFiles(zipped(tmp_path / "b.zip", many)).close()


def test_a_directory_that_lies_about_its_count(tmp_path: Path) -> None:
    path = zipped(tmp_path / "a.zip", {f"attachments/{n}.txt": b"" for n in range(archive.MAX_FILES + 5)})
    data = bytearray(path.read_bytes())
    at = data.rfind(b"PK\x05\x06")
    data[at + 8 : at + 12] = struct.pack("<HH", 3, 3)
    path.write_bytes(data)
    assert refusal(path) == "store.archive.count"


def test_a_directory_too_long_to_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive, "MAX_DIRECTORY_BYTES", 100)
    assert refusal(zipped(tmp_path / "a.zip", {"job.toml": b"x", "b.txt": b"y"})) == "store.archive.directory"


def test_total_size(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert archive.MAX_TOTAL_BYTES == 500_000_000  # DESIGN: zip path, ratio and count limits
    monkeypatch.setattr(archive, "MAX_TOTAL_BYTES", 5_000)
    files = {f"attachments/{n}.txt": os.urandom(1_100) for n in range(4)}
    assert refusal(zipped(tmp_path / "a.zip", files)) == "store.archive.size"
    monkeypatch.setattr(archive, "MAX_TOTAL_BYTES", 50)
    assert refusal(tmp_path / "a.zip") == "store.archive.size"


def test_a_size_that_lies(tmp_path: Path) -> None:
    path = zipped(tmp_path / "a.zip", {"job.toml": b"name = 'A'\n" * 40})
    data = bytearray(path.read_bytes())
    at = data.find(b"PK\x01\x02")  # the first entry of the directory: size at 24
    data[at + 24 : at + 28] = struct.pack("<I", 10)
    path.write_bytes(data)
    assert refusal(path) in ("store.archive.broken", "store.archive.changed")


def test_files_laid_over_one_another(tmp_path: Path) -> None:
    path = zipped(tmp_path / "a.zip", {"job.toml": os.urandom(2_000)})
    data = path.read_bytes()
    first, end = data.find(b"PK\x01\x02"), data.rfind(b"PK\x05\x06")
    entry = data[first : data.find(b"PK\x01\x02", first + 4)]
    rest = data[first:end]
    extra = b"".join(entry.replace(b"job.toml", f"jo{n}.txt".encode()[:8]) for n in range(10, 20))
    record = bytearray(data[end:])
    record[8:12] = struct.pack("<HH", 12, 12)
    record[12:16] = struct.pack("<I", len(rest) + len(extra))
    path.write_bytes(data[:first] + rest + extra + record)
    assert refusal(path) == "store.archive.overlap"


def test_methods_and_passwords(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "a.zip", "w", zipfile.ZIP_LZMA) as out:
        out.writestr("job.toml", b"x" * 100)
    assert refusal(tmp_path / "a.zip") == "store.archive.method"
    path = zipped(tmp_path / "b.zip", {"job.toml": b"x"})
    data = bytearray(path.read_bytes())
    at = data.find(b"PK\x01\x02")
    data[at + 8] |= 1
    path.write_bytes(data)
    assert refusal(path) == "store.archive.method"


def test_the_same_name_twice(tmp_path: Path) -> None:
    assert refusal(zipped(tmp_path / "a.zip", {"job.toml": b"x", "JOB.toml": b"y"})) == "store.archive.twice"


@pytest.mark.parametrize("data", [b"", b"PK", b"[job]\n" * 50, b"PK\x05\x06" + bytes(10), b"PK\x05\x06" + b"\x01" * 18])
def test_no_zip(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "a.zip").write_bytes(data)
    assert refusal(tmp_path / "a.zip") in ("store.archive.not_zip", "store.archive.directory")


def test_any_cut_of_a_zip_is_refused(tmp_path: Path) -> None:
    write_zip(PARCEL, tmp_path / "a.zip", NOON)
    whole = (tmp_path / "a.zip").read_bytes()
    for end in range(0, len(whole), 17):
        (tmp_path / "b.zip").write_bytes(whole[:end])
        assert refusal(tmp_path / "b.zip").startswith("store.archive.")


def test_hash_list(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    assert refusal(zipped(path, {"job.toml": b"x"}, listed=False)) == "store.archive.no_list"
    line = f"{bytes_hash(b'x')}  job.toml\n"
    for said, files in {
        "store.archive.hash": {"job.toml": b"y", "SHA256SUMS": line.encode()},
        "store.archive.bad_list": {"job.toml": b"x", "SHA256SUMS": b"what\n"},
        "store.archive.listed_missing": {"a.txt": b"x", "SHA256SUMS": line.encode()},
        "store.archive.not_listed": {
            "job.toml": b"x", "attachments/a.txt": b"", "SHA256SUMS": line.encode(),
        },
        "store.archive.not_text": {"job.toml": b"x", "SHA256SUMS": b"\xff\xfe"},
    }.items():  # fmt: skip
        assert refusal(zipped(path, files, listed=False)) == said


def test_text_that_is_none() -> None:
    for data in (b"a\nb\xff", b"a\nb\x00"):
        with pytest.raises(JobUnreadable) as found:
            archive.as_text(data, "job.toml")
        assert found.value.msg.params == {"name": "job.toml", "line": 2}
    with pytest.raises(UnsafeFile, match="text_size"):
        archive.as_text(bytes(archive.MAX_TEXT_BYTES + 1), "job.toml")
    assert archive.as_text(b"\xef\xbb\xbfa", "job.toml") == "a"


def test_a_folder_with_links(tmp_path: Path) -> None:
    write_folder(PARCEL, tmp_path / "a")
    (tmp_path / "secret").write_text("x")
    os.symlink(tmp_path / "secret", tmp_path / "a" / "attachments" / "b.txt")
    with pytest.raises(UnsafeFile, match="store.archive.link"):
        folder_files(tmp_path / "a")
    (tmp_path / "a" / "attachments" / "b.txt").unlink()
    os.symlink(tmp_path, tmp_path / "a" / "up", target_is_directory=True)
    with pytest.raises(UnsafeFile, match="store.archive.link"):
        folder_files(tmp_path / "a")


def test_a_file_swapped_for_a_link_or_grown_after_the_look(tmp_path: Path) -> None:
    write_folder(PARCEL, tmp_path / "a")
    files = folder_files(tmp_path / "a")
    (tmp_path / "a" / "job.toml").write_text("longer than it was before")
    with pytest.raises(UnsafeFile, match="store.archive.changed"):
        files.read("job.toml")
    (tmp_path / "a" / "job.toml").unlink()
    os.symlink("/etc/hostname", tmp_path / "a" / "job.toml")
    with pytest.raises(OSError, match="symbolic"):
        files.read("job.toml")
    with pytest.raises(NotFound):
        files.read("other.toml")


def test_a_folder_too_deep_or_with_too_many_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    deep = tmp_path / "a" / "/".join("abcdefghijkl")
    deep.mkdir(parents=True)
    with pytest.raises(UnsafeFile, match="store.archive.depth"):
        folder_files(tmp_path / "a")
    monkeypatch.setattr(archive, "MAX_FILES", 2)
    write_folder(PARCEL, tmp_path / "b")
    with pytest.raises(UnsafeFile, match="store.archive.count"):
        folder_files(tmp_path / "b")


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    target = tmp_path / "a.zip"
    target.write_bytes(b"old")

    def fail(temp: Path) -> None:
        temp.write_bytes(b"half")
        raise OSError("no")

    with pytest.raises(OSError, match="no"):
        replace_file(target, fail)
    assert target.read_bytes() == b"old" and os.listdir(tmp_path) == ["a.zip"]


def test_what_a_dead_program_left_is_swept_after_a_day(tmp_path: Path) -> None:
    old, fresh = tmp_path / ".a.zip.00000000.part", tmp_path / ".a.zip.00000001.part"
    for each in (old, fresh, tmp_path / ".b.zip.00000000.part"):
        each.write_bytes(b"half")
        os.utime(each, (1, 1)) if each != fresh else None
    write_zip(PARCEL, tmp_path / "a.zip", NOON)
    assert sorted(os.listdir(tmp_path)) == [fresh.name, ".b.zip.00000000.part", "a.zip"]


def test_a_folder_in_use_is_not_overwritten(tmp_path: Path) -> None:
    target = tmp_path / "a"
    target.mkdir()
    (target / "mine.txt").write_text("mine")
    with pytest.raises(OSError):
        make_folder(target, lambda temp: None)
    assert os.listdir(tmp_path) == ["a"] and os.listdir(target) == ["mine.txt"]
    (target / "mine.txt").unlink()
    write_folder(PARCEL, target)
    assert (target / "job.toml").read_text() == PARCEL.text


def test_zip64_is_refused(tmp_path: Path) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", allowZip64=True) as zipped_file:
        for number in range(65_536):
            zipped_file.writestr(zipfile.ZipInfo(f"{number}"), b"")
    (tmp_path / "a.zip").write_bytes(out.getvalue())
    assert refusal(tmp_path / "a.zip") == "store.archive.count"
