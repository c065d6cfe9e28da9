"""A word beside an open job, so that whoever opens it a second time is warned.

The lock never forbids: it says who has the job open. It stands beside the job and not in a folder of
the user's, so that it is seen from other computers that share the folder.
"""

from __future__ import annotations

import os
import platform
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import msgspec

from takeoff.language import tr
from takeoff.storage.processes import Owner, is_running, this_process

GRACE_S = 10.0
"""A lock without a readable owner counts this long: it may just be being written."""


class Lock(msgspec.Struct, frozen=True):
    """The answer to ``take``. ``mine`` is None where the job could not be locked; then ``other`` is who
    holds it, if that is the reason, and ``warning`` one sentence for the user ("" when all is well). A
    lock that was left by a program that ended is ``mine``, with a word about it in ``warning``."""

    path: Path
    mine: Owner | None
    other: Owner | None = None
    warning: str = ""

    @property
    def held(self) -> bool:
        """Whether the lock on disk is still this one: false after somebody took it over."""
        return self.mine is not None and _read(self.path) == self.mine

    def release(self) -> None:
        """Remove the lock if it is still this one. A folder that vanished has no lock any more."""
        if self.held:
            _removed(self.path)


def lock_path(job: Path) -> Path:
    """Where the lock of a job file stands; a link is followed to the file itself."""
    target = Path(os.path.realpath(job))
    return target.with_name(f".{target.name}.lock")


def take(job: Path, force: bool = False, alive: Callable[[Owner], bool] = is_running) -> Lock:
    """Lock the job file, which need not exist yet. Raises nothing: what failed is in ``warning``.

    A lock left by a process that no longer runs on this computer is taken over; with ``force`` any is.
    """
    path = lock_path(job)
    left: Owner | None = None
    for _ in range(3):  # each failure means that another process was quicker
        mine = this_process()
        try:
            if _created(path, mine):
                return Lock(path, mine, None, "" if force else _left(job, left))
            other = _read(path)
            if not force and _counts(path, other, alive):
                return Lock(path, None, other, _taken(job, other))
            _set_aside(path, other)
            left = other
        except OSError as error:
            return Lock(path, None, None, _unlockable(job, error))
    return Lock(path, None, _read(path), _taken(job, _read(path)))


def holder(job: Path, alive: Callable[[Owner], bool] = is_running) -> str:
    """Who else has the job file open, in a sentence; "" where nobody has, or it is this process."""
    path = lock_path(job)
    other = _read(path)
    if other is None or (other.pid == os.getpid() and other.host == platform.node()):
        return ""
    return _taken(job, other) if _counts(path, other, alive) else ""


def _created(path: Path, owner: Owner) -> bool:
    try:
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o644)
    except FileExistsError:
        return False
    with os.fdopen(handle, "wb") as file:
        file.write(msgspec.json.encode(owner))
    return True


def _read(path: Path) -> Owner | None:
    """Who holds the lock; None where there is none or it cannot be read."""
    try:
        with path.open("rb") as file:
            return msgspec.json.decode(file.read(4096), type=Owner)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError):
        return None


def _counts(path: Path, other: Owner | None, alive: Callable[[Owner], bool]) -> bool:
    if other is None:
        try:
            return time.time() - path.stat().st_mtime < GRACE_S
        except FileNotFoundError:
            return False
    return other.host != platform.node() or alive(other)


def _set_aside(path: Path, stale: Owner | None) -> None:
    """Remove a stale lock, and only that: renaming succeeds for one process alone, and if what was
    renamed is a fresh lock after all it is put back."""
    aside = path.with_name(f"{path.name}.{this_process().token}")
    try:
        os.rename(path, aside)
    except FileNotFoundError:
        return
    if _read(aside) != stale and not path.exists():
        os.rename(aside, path)
    else:
        _removed(aside)


def _removed(path: Path) -> bool:
    try:
        path.unlink()
    except OSError:
        return False
    return True


def _taken(job: Path, other: Owner | None) -> str:
    if other is None:
        return tr("{file} is just being opened by another program: wait a moment and open it again.", file=job.name)
    when = datetime.fromtimestamp(other.since_s).strftime("%Y-%m-%d %H:%M")
    if other.host == platform.node():
        return tr(
            "{file} has been open in another window since {when}: close it there, or the last to save wins.",
            file=job.name,
            when=when,
        )
    return tr(
        "{file} has been open on the computer “{computer}” since {when}: close it there, or the last to save wins.",
        file=job.name,
        computer=other.host[:60],
        when=when,
    )


def _left(job: Path, other: Owner | None) -> str:
    if other is None:
        return ""
    when = datetime.fromtimestamp(other.since_s).strftime("%Y-%m-%d %H:%M")
    return tr(
        "{file} was left open on {when} by a program that ended without closing it; it is yours now.",
        file=job.name,
        when=when,
    )


def _unlockable(job: Path, error: OSError) -> str:
    reason = error.strerror or str(error)
    return tr(
        "{file} cannot be locked ({reason}), so nobody who opens it too is warned: save it in another folder.",
        file=job.name,
        reason=reason,
    )
