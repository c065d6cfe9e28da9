"""Copies of unsaved work, kept within seconds of each edit and offered back after a crash.

Every open job has a slot, a folder of its own with three files: who it belongs to, what stays as it
is while a job is edited (the drawing, pictures), written once, and what an edit changes. Each is
written beside and renamed, the heavy one first, so that a kill at any moment leaves the last good
copy. Nothing here knows of the window: it calls ``note`` after each edit and ``flush`` when due.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import shutil
import threading
import time
from collections.abc import Callable
from pathlib import Path

import msgspec

from takeoff.errors import OutputError, TakeoffError
from takeoff.files import atomic
from takeoff.files.paths import state_folder
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.storage import container, jobfile
from takeoff.storage.content import Content, heavy_parts, light_parts
from takeoff.storage.processes import this_process

QUIET_S = 0.5
"""A copy is due when no edit has come for this long …"""
LONGEST_S = 2.0
"""… or when the oldest edit that is not in it is this old. Well within the five seconds that may be lost."""

COPY = "copy" + jobfile.EXTENSION
ABOUT = "about.json"
OWNER = "owner.json"


class About(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a copy is of. ``path``: the job's file, "" for one never saved; ``base``: the file beside
    that holds its heavy parts, "" for none; ``written_s``: seconds since 1970, by a clock that may be wrong;
    ``number``: later slots of a user have higher ones, whatever the clock; ``file``: the digest of the job's
    file when the copy was written, "" where there was none."""

    path: str
    name: str
    base: str
    written_s: float
    number: int = 0
    file: str = ""


def slots_folder() -> Path:
    """Where the slots of this user are."""
    return state_folder() / "recovery"


class Recovery:
    """The recovery copy of one open job. Safe to flush from another thread than the one that notes."""

    def __init__(
        self,
        folder: Path | None = None,
        quiet_s: float = QUIET_S,
        longest_s: float = LONGEST_S,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """``folder``: of all slots, the user's own by default. ``clock``: seconds that only rise."""
        self._folder = folder or slots_folder()
        self._quiet_s, self._longest_s, self._clock = quiet_s, longest_s, clock
        self._slot: Path | None = None
        self._pending: tuple[Content, Path | None] | None = None
        self._first_s = self._last_s = 0.0
        self._base: tuple[str, Content] | None = None
        self._known: Job | None = None
        self._number = 0
        self._file: tuple[tuple[Path, int, int], str] | None = None
        self._noting, self._writing = threading.Lock(), threading.Lock()

    def note(self, content: Content, path: Path | None) -> None:
        """The job was edited and is now ``content``; ``path`` is its file, None when never saved. Cheap."""
        with self._noting:
            now = self._clock()
            if self._pending is None:
                self._first_s = now
            self._last_s = now
            self._pending = (content, path)

    def due_in_s(self) -> float | None:
        """Seconds until ``flush`` is due, 0 when it is; None when there is nothing to write."""
        with self._noting:
            if self._pending is None:
                return None
            due = min(self._last_s + self._quiet_s, self._first_s + self._longest_s)
            return max(0.0, due - self._clock())

    def flush(self) -> Path | None:
        """Write what was noted last, now; the copy's path, or None when nothing was pending.

        Call it before each save too. Raises OutputError when it cannot be written: the last good
        copy is kept, and what was noted stays pending.
        """
        with self._writing:
            with self._noting:
                pending, first_s = self._pending, self._first_s
                self._pending = None
            if pending is None:
                return None
            try:
                return self._written(*pending)
            except BaseException:
                with self._noting:
                    self._pending, self._first_s = self._pending or pending, first_s
                raise

    def saved(self) -> None:
        """All that was noted is safe in the job's file: drop the copy. Raises OutputError."""
        with self._writing, self._noting:
            self._pending = None
            if self._slot is not None:
                remove(self._slot / COPY)

    def close(self) -> None:
        """The job is closed, saved or given up on purpose: leave nothing behind. Raises OutputError."""
        self.saved()
        with self._writing:
            if self._slot is not None:
                remove(self._slot)
            self._slot, self._base = None, None

    def _written(self, content: Content, path: Path | None) -> Path:
        # Somebody may have swept the folder of states since the last copy.
        slot = self._slot if self._slot is not None and self._slot.is_dir() else self._new_slot(path)
        before = self._base[0] if self._base else ""
        base = self._base_for(slot, content)
        name = path.name if path else content.job.name
        about = About(os.path.abspath(path) if path else "", name, base, time.time(), self._number, self._digest(path))
        parts = light_parts(content)
        data = jobfile.encoded(content.job, {ABOUT: msgspec.json.encode(about), **parts}, self._known)
        atomic.write_bytes(slot / COPY, data)
        self._known = content.job
        if before not in ("", base):
            remove(slot / before)
        return slot / COPY

    def _digest(self, path: Path | None) -> str:
        """Of the job's file as it is now; read again only where it has changed."""
        try:
            seen = path.stat() if path is not None else None
        except OSError:
            seen = None
        if path is None or seen is None:
            return ""
        key = (path, seen.st_mtime_ns, seen.st_size)
        if self._file is None or self._file[0] != key:
            self._file = (key, digest_of(path))
        return self._file[1]

    def _base_for(self, slot: Path, content: Content) -> str:
        """The name of the file with the heavy parts, written anew only when one of them is another."""
        if self._base is not None and _same_base(self._base[1], content):
            return self._base[0]
        parts = heavy_parts(content)
        name = f"base-{secrets.token_hex(4)}.zip" if parts else ""
        if name:
            atomic.write_bytes(slot / name, container.write(parts))
        self._base = (name, content)
        return name

    def _new_slot(self, path: Path | None) -> Path:
        self._number = 1 + max(map(_number, self._folder.glob(f"*/{COPY}")), default=0)
        slot = self._folder / f"{_key(path)}-{secrets.token_hex(6)}"
        atomic.make_folder(slot)
        slot.chmod(0o700)  # others on this computer need not read the client's plan
        atomic.write_bytes(slot / OWNER, msgspec.json.encode(this_process()))
        self._slot, self._base = slot, None
        return slot


def _key(path: Path | None) -> str:
    if path is None:
        return "untitled"
    return hashlib.sha256(os.fsencode(os.path.realpath(path))).hexdigest()[:12]


def digest_of(path: Path) -> str:
    """Of all that a file holds; "" for one that cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def _number(copy: Path) -> int:
    """The number of a slot; 0 for one of an older program and one that cannot be read."""
    try:
        return msgspec.json.decode(container.read(copy).held.get(ABOUT, b""), type=About).number
    except (TakeoffError, OSError, msgspec.MsgspecError, UnicodeDecodeError):
        return 0


def _same_base(one: Content, other: Content) -> bool:
    return (
        one.drawings.keys() == other.drawings.keys()
        and all(drawing is other.drawings[key] for key, drawing in one.drawings.items())
        and one.source is other.source
        and one.states == other.states
        and len(one.pictures) == len(other.pictures)
        and all(a is b for a, b in zip(one.pictures, other.pictures, strict=True))
    )


def remove(path: Path) -> None:
    """Remove a file or a slot, if it is there. Raises OutputError."""
    try:
        if path.is_dir():
            # The copy goes first: a slot without one holds nothing to offer, whenever this is cut short.
            (path / COPY).unlink(missing_ok=True)
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
    except FileNotFoundError:
        return
    except OSError as error:
        reason = error.strerror or str(error)
        raise OutputError(
            tr("The recovery copy “{path}” could not be removed: {reason}.", path=path, reason=reason)
        ) from error
