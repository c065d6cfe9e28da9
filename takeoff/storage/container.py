"""Named parts of bytes in one zip: written in a fixed order, read under limits, salvaged when damaged.

Nothing is ever unpacked to disk, so a name in the zip cannot lead anywhere.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import BinaryIO

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.units.printing import shown

MOST_PARTS = 10_000
LARGEST_PART_BYTES = 1 << 30
LARGEST_WHOLE_BYTES = 3 << 30
FREE_BYTES = 64 << 20
"""What may be unpacked however small the file is."""
LARGEST_RATIO = 200
"""Beyond ``FREE_BYTES``, how many times its own size a file may unpack to. Jobs come to about 30."""

COMPRESS_LEVEL = 1
_PACKED_ALREADY = (".npy", ".jpg", ".jpeg", ".png", ".webp", ".pdf")
"""Suffixes of parts that are stored as they are: pictures are compressed already, and coordinates
hardly shrink (by 40 %) but would take most of the time of a save."""

_BROKEN = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, ValueError, NotImplementedError, RuntimeError)
"""What the zip library raises for bytes that make no sense."""

_HEADER = struct.Struct("<4s5H3I2H")
_MAGIC = b"PK\x03\x04"


class Parts(msgspec.Struct, frozen=True):
    """What could be read. ``damaged``: parts that are there but broken; ``whole``: whether the
    zip's own directory was sound, without which parts may be missing that nobody can name."""

    held: Mapping[str, bytes]
    damaged: tuple[str, ...] = ()
    whole: bool = True


def write(parts: Mapping[str, bytes]) -> bytes:
    """The parts as a zip, in their order; the same parts give the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in parts.items():
            stored = name.endswith(_PACKED_ALREADY)
            entry = zipfile.ZipInfo(name)
            entry.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
            archive.writestr(entry, data, compresslevel=COMPRESS_LEVEL)
    return out.getvalue()


def read(path: Path, only: tuple[str, ...] = ()) -> Parts:
    """The parts of the zip at ``path`` (those in ``only``, where it is not empty).

    Raises InputError for what is no zip at all, cannot be read, or goes beyond the limits.
    """
    try:
        with path.open("rb") as file:
            try:
                return _read_by_directory(file, path, only)
            except _BROKEN:
                # The directory at the end is broken or was never written; each part also has a header.
                file.seek(0)
                return _salvaged(file.read(LARGEST_WHOLE_BYTES), path, only)
    except FileNotFoundError as error:
        raise InputError(tr("“{path}” does not exist: check its name and folder.", path=path)) from error
    except IsADirectoryError as error:
        raise InputError(tr("“{path}” is a folder: choose a job file.", path=path)) from error
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(
            tr("“{path}” could not be read: {reason}. Check the disk and try again.", path=path, reason=reason)
        ) from error


def _read_by_directory(file: BinaryIO, path: Path, only: tuple[str, ...]) -> Parts:
    with zipfile.ZipFile(file) as archive:
        entries = archive.infolist()
        size = file.seek(0, io.SEEK_END)
        _refuse_beyond_limits(path, entries, size)
        held, damaged = {}, []
        for entry in entries:
            if only and entry.filename not in only:
                continue
            try:
                held[entry.filename] = archive.read(entry)
            except _BROKEN:
                damaged.append(entry.filename)
    return Parts(held, tuple(damaged))


def _refuse_beyond_limits(path: Path, entries: list[zipfile.ZipInfo], size: int) -> None:
    if len(entries) > MOST_PARTS:
        raise InputError(
            tr(
                "{file} has {count} parts, far more than a job file: choose another.",
                file=path.name,
                count=len(entries),
            )
        )
    twice = [name for name, count in Counter(entry.filename for entry in entries).items() if count > 1]
    if twice:
        raise InputError(
            tr(
                "{file} holds “{part}” twice, so that it is unclear which counts: choose another file.",
                file=path.name,
                part=twice[0][:80],
            )
        )
    for entry in entries:
        if entry.flag_bits & 0x1:
            raise InputError(
                tr("{file} is locked with a password, which no job file is: choose another.", file=path.name)
            )
        if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise InputError(tr("{file} is packed in another way than a job file: choose another.", file=path.name))
    largest = max((entry.file_size for entry in entries), default=0)
    _refuse_size(path, size, largest, sum(entry.file_size for entry in entries))


def _refuse_size(path: Path, size: int, largest: int, total: int) -> None:
    too_large = largest > LARGEST_PART_BYTES or total > LARGEST_WHOLE_BYTES
    if too_large or total > max(FREE_BYTES, LARGEST_RATIO * size):
        raise InputError(
            tr(
                "{file} would unpack to {size} MB, which no job needs: choose another file.",
                file=path.name,
                size=shown(total / 1000000.0, 0),
            )
        )


def _salvaged(data: bytes, path: Path, only: tuple[str, ...]) -> Parts:
    """Parts found by their own headers. A part counts only when its checksum is right.

    Raises InputError when there is not even one header.
    """
    held: dict[str, bytes] = {}
    damaged: list[str] = []
    found, at, total = False, data.find(_MAGIC), 0
    while at >= 0 and len(held) + len(damaged) < MOST_PARTS:
        entry = _entry_at(data, at)
        if entry is None:
            break
        found, after = True, at + len(_MAGIC)
        name, packed, method, checksum, size, end = entry
        total += size
        _refuse_size(path, len(data), size, total)
        part = _unpacked(packed, method, size)
        if part is not None and zlib.crc32(part) == checksum and name not in held:
            after = end
            if not only or name in only:
                held[name] = part
        elif not only or name in only:
            damaged.append(name)
        at = data.find(_MAGIC, after)
    if not found:
        raise InputError(tr("{file} is no job file, or damaged beyond reading: take a copy of it.", file=path.name))
    return Parts(held, tuple(name for name in dict.fromkeys(damaged) if name not in held), whole=False)


def _entry_at(data: bytes, at: int) -> tuple[str, bytes, int, int, int, int] | None:
    """Name, packed bytes, method, checksum, size and end of the part whose header is there."""
    if at + _HEADER.size > len(data):
        return None
    _, _, _, method, _, _, checksum, packed, size, name_length, extra = _HEADER.unpack_from(data, at)
    start = at + _HEADER.size + name_length + extra
    name = data[at + _HEADER.size : at + _HEADER.size + name_length].decode("utf-8", "replace")
    return name, data[start : start + packed], method, checksum, size, start + packed


def _unpacked(packed: bytes, method: int, size: int) -> bytes | None:
    if method == zipfile.ZIP_STORED:
        return packed
    if method != zipfile.ZIP_DEFLATED:
        return None
    try:
        # One byte more than it should be is enough to fail the checksum.
        return zlib.decompressobj(-15).decompress(packed, size + 1)
    except zlib.error:
        return None
