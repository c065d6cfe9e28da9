"""The job file of the window: one zip with the job's JSON, the drawing as read, pictures and a version.

Its first part is ``format.json``, so that the first bytes tell what the file is.
The job in it is the same JSON that the published schema describes.
"""

from __future__ import annotations

import os
import re
import time
import zipfile
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

import msgspec

from takeoff.errors import Finding, InputError
from takeoff.files import atomic
from takeoff.files.from_outside import newer_field
from takeoff.findings import noticed
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.storage import container, jobs
from takeoff.storage.content import (
    DRAWINGS,
    JOB,
    STATES,
    Content,
    content_of,
    heavy_parts,
    is_known,
    light_parts,
    state_words,
)

EXTENSION = ".takeoff"
FORMAT = "takeoff-file"
VERSION = 2
FORMAT_PART = "format.json"

LEFTOVER_S = 60.0
"""No save takes this long, so that a half-written file this old belongs to nobody."""

_PLAIN = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9_.-]{0,39}(/[A-Za-z0-9_-][A-Za-z0-9_.-]{0,39}){0,2}")
"""A name that a program may give to a part; others lead out of folders, and nobody means well with them."""

Migration = Callable[[dict[str, bytes]], dict[str, bytes]]

ONE_DRAWING = "drawing/"
"""Where files of the first version keep theirs."""


def _named_drawing(parts: dict[str, bytes]) -> dict[str, bytes]:
    """From the one drawing of a job to drawings under the job's names for them."""
    return {re.sub(f"^{ONE_DRAWING}", f"{DRAWINGS}d1/", name): data for name, data in parts.items()}


MIGRATIONS: dict[int, Migration] = {1: _named_drawing}
"""For each older version of the file, the step from its parts to those of the next. The job inside
has a version of its own and migrates by itself."""


class DamagedFile(InputError):
    """A job file that is broken in part: ``recover`` may read what is left."""


class Named(msgspec.Struct, frozen=True):
    """What ``format.json`` of any version says."""

    format: str
    version: int


class Format(Named, frozen=True, forbid_unknown_fields=True):
    """What ``format.json`` says. ``parts`` names all parts, so that lost ones can be told."""

    parts: tuple[str, ...] = ()


def save(path: Path, content: Content, known: Job | None = None) -> None:
    """Put ``content`` at ``path`` whole or not at all; the old file stays until the new is on disk.

    ``known``: a job that was loaded or saved before; what the new one shares with it is not verified
    again. Raises OutputError in one sentence.
    """
    parts = light_parts(content) | heavy_parts(content)
    atomic.write_bytes(path, encoded(content.job, parts, known))
    _clear_leftovers(Path(os.path.realpath(path)))


def encoded(job: Job, parts: Mapping[str, bytes], known: Job | None = None) -> bytes:
    """``parts``, with ``job`` among them, as the bytes of a file, while the job in them is verified.

    Reading the job back takes longer than packing it, and packing lets other threads run: side by
    side they take hardly longer than the one. Raises OutputError for a job that would not read back.
    """
    head = msgspec.json.encode(Format(FORMAT, VERSION, tuple(parts)))
    with ThreadPoolExecutor(1) as beside:
        packed = beside.submit(container.write, {FORMAT_PART: head, **parts})
        jobs.verify(job, parts[JOB], known)
        return packed.result()


def load(path: Path) -> Content:
    """The content of the job file at ``path``, read strictly.

    Raises DamagedFile where ``recover`` can help, else InputError: newer formats, other files,
    parts that do not belong there, a job that is not sound.
    """
    return content_of(sound_parts(container.read(path), path.name), path.name)


def sound_parts(parts: container.Parts, name: str, aside: tuple[str, ...] = ()) -> dict[str, bytes]:
    """The parts of an undamaged file as this version has them; those in ``aside`` are left out.

    Raises DamagedFile or InputError as ``load`` does; ``name`` is for messages.
    """
    head = _head(parts, name, aside)
    if head is None and JOB not in parts.held:
        raise InputError(tr("{file} is no job file: choose another, or a copy of it.", file=name))
    lost = _lost(parts, head)
    if lost or head is None or not parts.whole:
        raise DamagedFile(
            tr(
                "{file} is damaged ({parts} cannot be read): recover what is left of it, or take a copy.",
                file=name,
                parts=", ".join(lost) or tr("its directory"),
            )
        )
    held = {part: data for part, data in parts.held.items() if part not in aside}
    return _current(held, head.version, name)


def recover(path: Path) -> tuple[Content, tuple[Finding, ...]]:
    """What is left of a damaged job file, and a finding for each piece that is lost.

    Raises InputError when the job itself is lost or the file is of a newer format.
    """
    parts = container.read(path)
    head = _head(parts, path.name)
    findings: list[Finding] = []

    def lost(what: str, error: InputError | None = None) -> None:
        del error
        findings.append(noticed("job-file-damaged", file=path.name, part=what))

    for what in dict.fromkeys(_in_words(name) for name in _lost(parts, head)):
        lost(what)
    version = head.version if head else _version_by_names(parts.held)
    held = _current(dict(parts.held), version, path.name, forgiving=True)
    broken = {_in_words(name) for name in _lost(parts, head)}
    held = {name: data for name, data in held.items() if _in_words(name) not in broken or name == JOB}
    content = content_of(held, path.name, lost)
    if not findings:
        findings.append(noticed("job-file-damaged/whole", file=path.name))
    return content, tuple(findings)


def is_job_file(path: Path) -> bool:
    """Whether the file is one of ours, whole or damaged, by what stands in it."""
    try:
        with path.open("rb") as file:
            if begins_job_file(file.read(4096)):
                return True
            file.seek(0)
            with zipfile.ZipFile(file) as archive:
                return FORMAT_PART in archive.namelist()
    except (OSError, zipfile.BadZipFile, ValueError):
        return False


def begins_job_file(start: bytes) -> bool:
    """Whether a file that begins with these bytes (100 are enough) was written by ``save``."""
    return start.startswith(b"PK\x03\x04") and start[30:].startswith(FORMAT_PART.encode())


def _clear_leftovers(path: Path) -> None:
    """Remove what a save of this file left beside it when it was killed, however long ago.

    Never a reason to fail: the job is safe by now, and a leftover is only litter.
    """
    beside = re.compile(rf"\.{re.escape(path.stem[:80])}\.[0-9a-f]{{12}}\.part{re.escape(path.suffix)}")
    with suppress(OSError), os.scandir(path.parent) as entries:
        for entry in entries:
            if beside.fullmatch(entry.name) and time.time() - entry.stat().st_mtime > LEFTOVER_S:
                os.unlink(entry)


def _head(parts: container.Parts, name: str, aside: tuple[str, ...] = ()) -> Format | None:
    """What the file says of itself; None where that part is lost. Refuses newer and foreign files."""
    data = parts.held.get(FORMAT_PART)
    if data is None:
        return None
    try:
        head = msgspec.json.decode(data, type=Named)
    except (msgspec.MsgspecError, RecursionError) as error:
        raise _senseless(name) from error
    if head.format != FORMAT or head.version < 1:
        raise InputError(
            tr("{file} is no job file: it calls itself “{format}”. Choose another.", file=name, format=head.format[:40])
        )
    if head.version > VERSION:
        raise InputError(
            tr(
                "{file} was saved by a newer version of the program (file format {version}, here up to {newest}): "
                "install the newer version, or {what} is lost.",
                file=name,
                version=head.version,
                newest=VERSION,
                what=_new_in(parts, aside),
            )
        )
    return _strictly(data, name)


def _strictly(data: bytes, name: str) -> Format:
    """All that a file of this version or an older one says of itself."""
    try:
        return msgspec.json.decode(data, type=Format)
    except (msgspec.MsgspecError, RecursionError) as error:
        if field := newer_field(error):
            raise InputError(
                tr(
                    "The {part} of {file} has the field “{name}” of a newer program: open it there, or it is lost.",
                    part=FORMAT_PART,
                    file=name,
                    name=field,
                )
            ) from error
        raise _senseless(name) from error


def _senseless(name: str) -> InputError:
    return InputError(
        tr("{file} is no job file: its {part} makes no sense. Choose another.", file=name, part=FORMAT_PART)
    )


def _new_in(parts: container.Parts, aside: tuple[str, ...]) -> str:
    """What this program would lose of a newer one's file: the first part that it does not know."""
    strange = next((part for part in parts.held if not _may_be_ours(part) and part not in aside), "")
    return tr("the part “{part}”", part=strange[:80]) if strange else tr("what is new in it")


def _lost(parts: container.Parts, head: Format | None) -> tuple[str, ...]:
    """Names of parts that are damaged or not there although the file names them."""
    named = head.parts if head else ()
    missing = (name for name in named if name not in parts.held)
    # Between the parts of a damaged file, bytes may look like the start of one that never was.
    damaged = (name for name in parts.damaged if parts.whole or _may_be_ours(name))
    return tuple(dict.fromkeys((*damaged, *missing)))


def _may_be_ours(name: str) -> bool:
    return is_known(name) or name == FORMAT_PART or name.startswith(ONE_DRAWING)


def _version_by_names(names: Iterable[str]) -> int:
    """Of a file that has lost what it says of itself."""
    return 1 if any(name.startswith(ONE_DRAWING) for name in names) else VERSION


def _current(parts: dict[str, bytes], version: int, name: str, forgiving: bool = False) -> dict[str, bytes]:
    """The parts as this version has them, without ``format.json``; strangers refused or left out."""
    parts.pop(FORMAT_PART, None)
    while version < VERSION:
        if version not in MIGRATIONS:
            raise InputError(
                tr(
                    "{file} has file format {version}, from which no way leads to {newest}.",
                    file=name,
                    version=version,
                    newest=VERSION,
                )
            )
        parts, version = MIGRATIONS[version](parts), version + 1
    strange = [part for part in parts if not is_known(part)]
    if strange and not forgiving:
        if _PLAIN.fullmatch(strange[0]):
            raise InputError(
                tr(
                    "{file} holds “{strange}”, no part of a job file here: open it in the newer program that wrote it, "
                    "or “{strange}” is lost.",
                    file=name,
                    strange=strange[0],
                )
            )
        raise InputError(
            tr(
                "{file} holds “{strange}”, which is no part of a job file: choose another file.",
                file=name,
                strange=strange[0][:80],
            )
        )
    return {part: data for part, data in parts.items() if part not in strange}


def _in_words(part: str) -> str:
    if part.startswith((DRAWINGS, ONE_DRAWING)):
        return tr("the drawing as it was read (open it again)")
    if part.startswith("pictures/"):
        return tr("the picture {name}…", name=re.sub(r"[^0-9a-z.]", "", part.removeprefix("pictures/"))[:12])
    if part.startswith(STATES):
        return state_words(part)
    if part.startswith("source/"):
        return tr("the file {name}", name=part.removeprefix("source/")[:60])
    return {
        "view.json": tr("the state of the view"),
        "findings.json": tr("the findings of reading"),
        FORMAT_PART: tr("the list of its parts"),
    }.get(part, tr("the part {name}", name=part[:60]))
