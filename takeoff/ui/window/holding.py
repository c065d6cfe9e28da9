"""The open job's file is held: whoever opens it a second time is warned, and nobody's save is lost."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal

import msgspec
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from takeoff.language import mark, tr
from takeoff.storage import jobfile, lock
from takeoff.ui import messages

OPEN_ANSWERS = (("read", mark("Open read-only")), ("anyway", mark("Open anyway")), ("not", mark("Cancel")))
SAVE_ANSWERS = (("over", mark("Save over it")), ("as", mark("Save under another name")), ("stay", mark("Don’t save")))

Go = Literal["write", "as", "stay"]
Stamp = tuple[int, int, int]
"""Of a file on disk: node, time of change in ns, size."""


class Claim(msgspec.Struct, frozen=True):
    """What came of asking for a file: its lock, if it could be had, and whether it is only to be read. ``stamp``: how
    the file stood before it was read, so that what replaces it while it is read is noticed as well."""

    lock: lock.Lock | None = None
    read_only: bool = False
    said: str = ""
    stamp: Stamp | None = None


class Holding(QObject):
    """The lock of the open job's file, and how the file stood when it was last read or written.

    Job files of the program's own kind are locked; plain JSON, which goes from program to program, is
    only looked after before it is written over.
    """

    said = Signal(str)
    """A word about a lock that needs no answer."""
    changed = Signal()

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        self._lock: lock.Lock | None = None
        self._path: Path | None = None
        self._stamp: Stamp | None = None
        self.read_only = False

    def claim(self, path: Path) -> Claim | None:
        """Ask for a file before it is opened; None where the user thinks better of it."""
        if path.suffix != jobfile.EXTENSION:
            return Claim(stamp=stamp_of(path))
        if self._lock is not None and self._lock.path == lock.lock_path(path) and self._lock.held:
            return Claim(self._lock, stamp=stamp_of(path))
        taken = lock.take(path)
        if taken.mine is not None or not taken.path.exists():
            return Claim(taken if taken.mine else None, said=taken.warning, stamp=stamp_of(path))
        answer = messages.current().ask(self._window, taken.warning, messages.in_words(OPEN_ANSWERS))
        if answer == "anyway":
            forced = lock.take(path, force=True)
            return Claim(forced if forced.mine else None, said=forced.warning, stamp=stamp_of(path))
        return Claim(read_only=True, stamp=stamp_of(path)) if answer == "read" else None

    def give_back(self, claim: Claim) -> None:
        """The file that was asked for could not be opened after all."""
        if claim.lock is not None and claim.lock is not self._lock:
            claim.lock.release()

    def hold(self, path: Path | None, claim: Claim | None = None) -> None:
        """This file is the open job's from now on (None: the job has none); the one before is let go."""
        claim = claim or Claim()
        if self._lock is not None and self._lock is not claim.lock:
            self._lock.release()
        self._lock, self._path, self.read_only = claim.lock, path, claim.read_only
        self._stamp = claim.stamp or stamp_of(path)
        if claim.said:
            self.said.emit(claim.said)
        self.changed.emit()

    def may_write(self, path: Path) -> Go:
        """Whether a save may go to this file; the user is asked where it would go over another's work."""
        why = self._against(path)
        if not why:
            return "write"
        answer = messages.current().ask(self._window, why, messages.in_words(SAVE_ANSWERS))
        return "write" if answer == "over" else "as" if answer == "as" else "stay"

    def written(self, path: Path) -> None:
        """The job was saved there: hold that file."""
        if path.suffix != jobfile.EXTENSION:
            self.hold(path)
        elif self._lock is not None and self._lock.path == lock.lock_path(path) and self._lock.held:
            self.hold(path, Claim(self._lock))
        else:
            taken = lock.take(path, force=True)
            self.hold(path, Claim(taken if taken.mine else None, said="" if taken.mine else taken.warning))

    def close(self) -> None:
        """The job is left: let its file go."""
        self.hold(None)

    def _against(self, path: Path) -> str:
        """What speaks against a save to this file, in one sentence; "" where nothing does."""
        own = self._path is not None and os.path.realpath(path) == os.path.realpath(self._path)
        if own and self.read_only:
            return tr("{file} was opened read-only, because it is open elsewhere. Save over it?", file=path.name)
        if own and self._lock is not None and not self._lock.held:
            return tr(
                "{file} was opened elsewhere while it was open here and may hold other work. Save over it?",
                file=path.name,
            )
        if own and self._stamp is not None and stamp_of(path) not in (None, self._stamp):
            return tr("{file} was changed by another program after it was opened here. Save over it?", file=path.name)
        if own or path.suffix != jobfile.EXTENSION:
            return ""
        other = lock.holder(path)
        return tr("{warning} Save over it?", warning=other) if other else ""


def stamp_of(path: Path | None) -> Stamp | None:
    """How a file stands on disk; None where there is none."""
    try:
        found = path.stat() if path is not None else None
    except OSError:
        return None
    return (found.st_ino, found.st_mtime_ns, found.st_size) if found is not None else None
