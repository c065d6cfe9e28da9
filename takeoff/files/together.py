"""Files that come into a folder together or not at all, also where the program is killed in between.

They are written into a hidden folder beside their places. Renaming that folder says that all of them are whole;
from then on whoever comes next can finish the move. A move that fails is taken back, which is said by another
name, so that a kill in between is taken back too. Who writes holds a lock of the system, which ends with it.
"""

from __future__ import annotations

import errno
import importlib
import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Any

from takeoff.errors import OutputError
from takeoff.files.atomic import flush_folder, make_folder, write_bytes
from takeoff.language import tr

PREFIX = ".takeoff-"
"""What the hidden folders' names begin with."""
MOVING, BACK = ".moving", ".back"
"""What the name of one ends in whose files are being moved to their places, or taken back out of them."""
NAMES = "names"
"""A list within it: each name in a line, after "=" where a file of that name was there before, else "+"."""
LEFT_S = 86_400.0
"""Where the system has no locks, a hidden folder that nobody changed for so long is nobody's."""
_fcntl: Any = None
with suppress(ImportError):  # Windows has none
    _fcntl = importlib.import_module("fcntl")


@contextmanager
def all_or_nothing(folder: Path) -> Iterator[Path]:
    """A folder to write into, whose files move to ``folder`` together when the block ends well.

    ``folder`` is made where it is missing, and not left behind empty. What an earlier run was killed in is
    finished first. Raises OutputError; then what was there before is there again.
    """
    made = [parent for parent in (folder, *folder.parents) if not os.path.exists(parent)]
    make_folder(folder)
    try:
        with ExitStack() as held:
            with _held(folder):
                _sweep(folder)
                beside = Path(tempfile.mkdtemp(prefix=PREFIX, dir=folder))
                held.callback(shutil.rmtree, beside, ignore_errors=True)
                held.enter_context(_held(beside))
            (beside / "new").mkdir()
            with _said_of(folder, beside / "new"):
                yield beside / "new"
            with _held(folder):
                _move_all(beside, folder)
    except OSError as error:
        raise _refusal(folder, error) from error
    finally:
        _remove_empty(made)


def finish(folder: Path) -> bool:
    """Finish, or take back, what a run was killed in while it moved its files into ``folder``, and sweep up
    what killed runs left. Whether a move had been cut short.

    A folder that is not there gives False. Raises OutputError where it cannot be finished.
    """
    if not _hidden(folder):
        return False
    try:
        with _held(folder):
            return _sweep(folder)
    except OSError as error:
        raise _refusal(folder, error) from error


def _hidden(folder: Path) -> list[Path]:
    try:
        return sorted(path for path in folder.iterdir() if path.name.startswith(PREFIX) and path.is_dir())
    except OSError:
        return []


def _sweep(folder: Path) -> bool:
    """Called by who holds ``folder``: whatever is half moved has been left by a run that was killed."""
    cut_short = False
    for beside in _hidden(folder):
        if _in_use(beside):
            continue
        if beside.suffix == MOVING:
            _place(beside / "new", folder)
            cut_short = True
        elif beside.suffix == BACK:
            _take_back(beside, folder)
            cut_short = True
        _let_go(beside)
    return cut_short


def _let_go(beside: Path) -> None:
    """Nothing is left to do for it: its name says so before it is removed piece by piece."""
    done = beside
    if beside.suffix in (MOVING, BACK):
        done = beside.with_suffix("")
        os.rename(beside, done)
    shutil.rmtree(done, ignore_errors=True)


def _move_all(beside: Path, folder: Path) -> None:
    """Put every file of ``beside / "new"`` in its place; on a failure put back what was there before."""
    new = beside / "new"
    names = _names(new)
    for name in names:
        if (folder / name).is_dir():
            raise OutputError(
                tr(
                    "“{folder}” is a folder where a file must go: rename it or choose another with -o.",
                    folder=folder / name,
                )
            )
    for name in names:
        _kept(folder / name, beside / "old" / name)
    lines = [f"{'=' if (beside / 'old' / name).exists() else '+'}{name.as_posix()}" for name in names]
    write_bytes(beside / NAMES, os.fsencode("\n".join(lines)))
    moving = beside.with_name(beside.name + MOVING)
    os.rename(beside, moving)  # from here on the new files count
    flush_folder(folder)
    try:
        _place(moving / "new", folder)
    except BaseException:
        back = beside.with_name(beside.name + BACK)
        os.rename(moving, back)  # and from here on the old ones do
        _take_back(back, folder)
        _let_go(back)
        raise
    _let_go(moving)


def _names(new: Path) -> list[Path]:
    return sorted(path.relative_to(new) for path in new.rglob("*") if path.is_file())


def _kept(file: Path, old: Path) -> None:
    """The file that is there also lies at ``old``: a second name of it, or a copy where a disk knows no such."""
    if not file.exists():
        return
    old.parent.mkdir(parents=True, exist_ok=True)
    try:
        os.link(file, old)
    except OSError:
        shutil.copy2(file, old)


def _place(new: Path, folder: Path) -> None:
    """Move what is left of ``new``. At no moment is a file missing that was there before."""
    for name in _names(new):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        os.replace(new / name, folder / name)
    flush_folder(folder)


def _take_back(back: Path, folder: Path) -> None:
    """What was there before, and nothing that was not. Done again where it was cut short, it gives the same."""
    for line in os.fsdecode((back / NAMES).read_bytes()).splitlines():
        name = Path(line[1:])
        if line.startswith("+"):
            (folder / name).unlink(missing_ok=True)
            _remove_empty([parent for parent in (folder / name).parents if folder in parent.parents])
        elif (back / "old" / name).exists():
            os.replace(back / "old" / name, folder / name)
    flush_folder(folder)


def _remove_empty(made: list[Path]) -> None:
    """Take away the folders that were made for nothing; those with content stay."""
    for path in made:
        if path.is_dir() and not any(path.iterdir()):
            path.rmdir()


@contextmanager
def _held(folder: Path) -> Iterator[None]:
    """Nobody else writes into the folder meanwhile, as far as the system has locks; they end with the process."""
    handle = -1
    if _fcntl is not None:
        handle = os.open(folder, os.O_RDONLY)
    try:
        if handle >= 0:
            with suppress(OSError):  # a disk that knows no locks
                _fcntl.flock(handle, _fcntl.LOCK_EX)
        yield
    finally:
        if handle >= 0:
            os.close(handle)


def _in_use(beside: Path) -> bool:
    """Whether the run that made this hidden folder still goes on."""
    if _fcntl is None:
        return time.time() - beside.stat().st_mtime < LEFT_S
    handle = os.open(beside, os.O_RDONLY)
    try:
        _fcntl.flock(handle, _fcntl.LOCK_EX | _fcntl.LOCK_NB)
    except OSError as error:
        return error.errno in (errno.EWOULDBLOCK, errno.EACCES) or time.time() - beside.stat().st_mtime < LEFT_S
    finally:
        os.close(handle)
    return False


@contextmanager
def _said_of(folder: Path, beside: Path) -> Iterator[None]:
    """What cannot be written is told with the name that it was to have."""
    try:
        yield
    except OutputError as error:
        raise OutputError(str(error).replace(str(beside), str(folder))) from error


def _refusal(folder: Path, error: OSError) -> OutputError:
    return OutputError(
        tr(
            "“{folder}” could not be written: {error}. Choose another folder with -o.",
            folder=folder,
            error=error.strerror or error,
        )
    )
