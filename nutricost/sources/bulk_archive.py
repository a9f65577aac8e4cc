"""The files of a downloaded archive, or of a folder: opened as streams, never unpacked to disk.

Archives that could do harm are refused before anything is read: names that lead out of a folder, links,
passwords, and contents far larger than any table (zip bombs).
"""

from __future__ import annotations

import io
import stat
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO

from nutricost.errors import SourceError

MOST_BYTES = 64 * 2**30
"""Unpacked bytes of a whole archive; the service's full download is about 4 GB (common practice)."""

MOST_RATIO = 200
"""Unpacked to packed bytes of one file; tables of numbers pack 5 to 20 times (common practice)."""

SMALL_BYTES = 16 * 2**20
"""Files up to this size may have any ratio."""

MOST_FILES = 10_000


@dataclass(frozen=True, slots=True)
class Member:
    """One file of an archive: its name without folders, its unpacked size [bytes], how to open it."""

    name: str
    size_bytes: int
    open: Callable[[], IO[bytes]]


class CountingFile(io.RawIOBase):
    """A stream that tells how many bytes went through it, and stops at the size that was announced."""

    def __init__(self, member: Member, count: Callable[[int], None]) -> None:
        super().__init__()
        self._stream, self._left, self._name = member.open(), member.size_bytes, member.name
        self._count = count

    def readable(self) -> bool:
        """Always."""
        return True

    def read(self, size: int = -1) -> bytes:
        """The next bytes; SourceError for more than announced or damaged ones."""
        try:
            data = self._stream.read(size)
        except (zipfile.BadZipFile, OSError, EOFError, ValueError) as error:
            raise SourceError(f"{self._name} is damaged ({error})") from None
        self._left -= len(data)
        if self._left < 0:
            raise SourceError(f"{self._name} holds more than it announces; it is not read")
        self._count(len(data))
        return data

    def readinto(self, buffer: object) -> int:
        """Fills the buffer with the next bytes."""
        view = memoryview(buffer).cast("B")  # type: ignore[arg-type]
        data = self.read(len(view))
        view[: len(data)] = data
        return len(data)

    def close(self) -> None:
        """Closes the stream below as well."""
        self._stream.close()
        super().close()


def members(path: Path) -> Mapping[str, Member]:
    """The files of a zip archive, a folder, or a single CSV or JSON file, by name without folders.

    Raises SourceError for what is none of these, for a damaged archive and for one that is not safe.
    """
    if path.is_dir():
        found = [file for file in sorted(path.iterdir()) if file.is_file() and not file.is_symlink()]
        return {file.name: _plain(file) for file in found}
    if not path.is_file():
        raise SourceError(f"{path}: no such file (accepted: a .zip, .json or folder of CSV files)")
    if not zipfile.is_zipfile(path):
        if path.suffix.lower() in (".csv", ".json"):
            return {path.name: _plain(path)}
        raise SourceError(f"{path}: no zip archive (accepted: a .zip, .json or folder of CSV files)")
    try:
        archive = zipfile.ZipFile(path)
        infos = [info for info in archive.infolist() if not info.is_dir()]
    except (zipfile.BadZipFile, OSError, NotImplementedError, ValueError) as error:
        raise SourceError(f"{path}: damaged archive ({error})") from None
    if len(infos) > MOST_FILES or sum(info.file_size for info in infos) > MOST_BYTES:
        archive.close()
        raise SourceError(
            f"{path}: unpacks to more than {MOST_BYTES // 2**30} GiB or {MOST_FILES} files; not read"
        )
    result: dict[str, Member] = {}
    for info in infos:
        fault = _fault(info)
        if fault:
            archive.close()
            raise SourceError(f"{path}: {info.filename[:80]!r} {fault}; the archive is not read")
        name = PurePosixPath(info.filename).name
        if name in result:
            archive.close()
            raise SourceError(f"{path}: {name[:80]!r} stands in it twice; the archive is not read")
        result[name] = Member(name, info.file_size, _opener(archive, info))
    return result


def _opener(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> Callable[[], IO[bytes]]:
    return lambda: archive.open(info)


def _plain(path: Path) -> Member:
    return Member(path.name, path.stat().st_size, lambda: path.open("rb"))


def _fault(info: zipfile.ZipInfo) -> str:
    """What makes one file of an archive unsafe, or ''."""
    # orig_filename is the name as stored: zipfile turns separators and cuts at a zero byte.
    name = info.orig_filename.replace("\\", "/")
    if name.startswith("/") or ".." in name.split("/") or ":" in name or "\0" in name:
        return "leads out of the archive"
    if stat.S_ISLNK(info.external_attr >> 16):
        return "is a link"
    if info.flag_bits & 0x1:
        return "is locked with a password"
    if info.file_size > SMALL_BYTES and info.file_size > MOST_RATIO * max(info.compress_size, 1):
        return f"unpacks to more than {MOST_RATIO} times its size"
    return ""
