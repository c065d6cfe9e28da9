"""Writing a file whole or not at all: write beside, flush to disk, rename over."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from takeoff.errors import OutputError
from takeoff.language import mark, tr

_REASONS = {
    errno.ENOSPC: mark("the disk is full; make room and try again"),
    errno.EDQUOT: mark("the space allowed to you on this disk is used up; make room and try again"),
    errno.EACCES: mark("the folder or the file may not be written to; choose another folder"),
    errno.EPERM: mark("the folder or the file may not be written to; choose another folder"),
    errno.EROFS: mark("the disk can only be read; choose another folder"),
    errno.ENOENT: mark("the folder does not exist; make it or choose another"),
    errno.ENOTDIR: mark("a part of its path is a file and not a folder; choose another folder"),
    errno.EISDIR: mark("there is a folder of that name; choose another name"),
    errno.ENAMETOOLONG: mark("the name is too long; choose a shorter one"),
}


def write_bytes(path: Path, data: bytes) -> None:
    """Put ``data`` at ``path``, replacing what was there only once all of it is on disk.

    Raises OutputError with one sentence; the old file is then untouched and nothing is left beside it.
    """
    with writing(path) as beside:
        beside.write_bytes(data)


@contextmanager
def writing(path: Path) -> Iterator[Path]:
    """An empty file beside ``path`` to write to, which takes its place when the block ends well.

    It has the same suffix as ``path``, since some writers insist on theirs. When the block raises
    it is removed and ``path`` stays as it was. System errors become OutputError.
    """
    try:
        # A link is followed, so that saving over one changes the file it points to.
        target = Path(os.path.realpath(path))
        if target.is_dir():
            raise IsADirectoryError(errno.EISDIR, "is a folder")
        beside = _new_beside(target)
        try:
            yield beside
            _flush(beside)
            if target.exists():
                beside.chmod(target.stat().st_mode & 0o777)
            os.replace(beside, target)
        finally:
            beside.unlink(missing_ok=True)
        flush_folder(target.parent)
    except OSError as error:
        raise _refusal(path, error) from error
    except ValueError as error:
        if "\0" not in str(path):
            raise
        raise OutputError(tr("The file name holds a character that no file name may: choose another.")) from error


def make_folder(path: Path) -> None:
    """Make the folder ``path`` and those above it where they are missing. Raises OutputError."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except FileExistsError as error:
        raise OutputError(tr("“{path}” is a file and not a folder: choose another folder.", path=path)) from error
    except OSError as error:
        raise _refusal(path, error) from error


def _new_beside(target: Path) -> Path:
    """Made with the usual rights (not those of a private temporary file), never over another."""
    beside = target.with_name(f".{target.stem[:80]}.{secrets.token_hex(6)}.part{target.suffix}")
    os.close(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
    return beside


def _flush(beside: Path) -> None:
    handle = os.open(beside, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def flush_folder(folder: Path) -> None:
    """See to it that what was renamed in a folder is on disk."""
    # The file is whole and in place by now; some file systems cannot flush a folder, and that is no failure.
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _reason(error: OSError) -> str:
    known = _REASONS.get(error.errno or 0)
    return tr(known) if known else tr("the system says: {error}", error=error.strerror or error)


def _refusal(path: Path, error: OSError) -> OutputError:
    reason = _reason(error)
    return OutputError(tr("“{path}” could not be written: {reason}.", path=path, reason=reason))
