"""Standard output: all of it or a sentence, whatever it leads to.

A start without a console has none; a full disk, a closed pipe or a reader that pauses may lie behind it.
"""

from __future__ import annotations

import errno
import io
import os
import select
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from takeoff.errors import OutputError
from takeoff.language import tr, tr_count

_written: list[Path] = []
"""What this run has put on the disk, for the sentence that says what could not be printed."""


class UnprintedError(OSError):
    """Standard output takes nothing more."""


class _Outlet(io.RawIOBase):
    """Writes all it is given to a file of the system, also to one that takes a part at a time."""

    def __init__(self, handle: int) -> None:
        self._handle = handle

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return self._handle

    def isatty(self) -> bool:
        return os.isatty(self._handle)

    def write(self, data: object) -> int:
        """All of ``data``. Raises BrokenPipeError where the reader is gone, UnprintedError otherwise."""
        left = memoryview(data).cast("B")  # type: ignore[arg-type]
        size = len(left)
        while left:
            try:
                left = left[os.write(self._handle, left) :]
            except BlockingIOError:
                select.select((), (self._handle,), ())
            except BrokenPipeError:
                raise
            except OSError as error:
                raise UnprintedError(error.errno, error.strerror) from error
        return size


class _Nowhere(_Outlet):
    """In place of an outlet that was closed from the start: takes all, and knows whether there was anything."""

    def __init__(self) -> None:
        super().__init__(os.open(os.devnull, os.O_WRONLY))
        self.name = os.devnull
        self.took = False

    def write(self, data: object) -> int:
        """As if it were written."""
        self.took = True
        return super().write(data)


class _Outlets(NamedTuple):
    """Those of this run that were closed from the start; None where they are open."""

    out: _Nowhere | None = None
    err: _Nowhere | None = None


_closed = _Outlets()


def prepare() -> None:
    """Make both outlets fit for whatever is printed: a console without m² shows a mark in its place, and where
    there is no console at all nothing is shown."""
    global _closed
    _written.clear()
    _closed = _Outlets(*(_Nowhere() if getattr(sys, name) is None else None for name in ("stdout", "stderr")))
    for name, nowhere in zip(("stdout", "stderr"), _closed, strict=True):
        if nowhere is not None:
            wrapped = io.TextIOWrapper(io.BufferedWriter(nowhere), "utf-8", "replace", write_through=True)
            setattr(sys, name, wrapped)
            continue
        stream = getattr(sys, name)
        if stream is sys.__stdout__ and isinstance(stream, io.TextIOWrapper) and not stream.isatty():
            sys.stdout = _whole(stream)
        reconfigure = getattr(getattr(sys, name), "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _whole(stream: io.TextIOWrapper) -> io.TextIOWrapper:
    """The same stream, over an outlet that writes all."""
    buffered = io.BufferedWriter(_Outlet(stream.fileno()))
    return io.TextIOWrapper(buffered, stream.encoding, stream.errors, line_buffering=stream.line_buffering)


def note_written(paths: Sequence[Path]) -> None:
    """These are on the disk, whatever becomes of what is printed."""
    _written.extend(paths)


def put(data: bytes) -> None:
    """Bytes to standard output. Raises OutputError where there is none."""
    stream = getattr(sys.stdout, "buffer", None)
    if stream is None or getattr(sys.stdout, "name", "") == os.devnull:
        raise OutputError(tr("There is no standard output to write to: name a file after --json."))
    sys.stdout.flush()
    stream.write(data)
    stream.flush()


def refuse_lost() -> None:
    """Raises UnprintedError at the end of a run whose words went nowhere, standard output being closed from the start.
    Where nobody can be told, as in a start without a console, the files that were written are what was asked for."""
    out, err = _closed
    if out is not None and out.took and (err is None or not _written):
        raise UnprintedError(errno.EBADF, tr("there is no standard output"))


def unprinted(error: UnprintedError) -> str:
    """What is said where standard output takes nothing more."""
    return tr("the output could not be printed ({why}). {files}", why=error.strerror, files=said_of_files())


def said_of_files() -> str:
    """What this run has put on the disk, in a sentence."""
    folders = list(dict.fromkeys(path.parent for path in _written))
    if not _written:
        return tr("Nothing was written.")
    if len(_written) == 1:
        return tr("“{file}” is complete.", file=_written[0])
    return tr_count(
        "{count} file is complete, in “{folder}”.",
        "{count} files are complete, in “{folder}”.",
        len(_written),
        folder=folders[0],
    )


def give_up() -> None:
    """Nobody reads on: keep the interpreter from complaining at its end."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.__stdout__):
        if stream is not None:
            with suppress(OSError, ValueError):  # a stand-in that is no file of the system
                os.dup2(nowhere, stream.fileno())
