"""Starting the worker, listening to it, and ending it when it is silent for too long."""

from __future__ import annotations

import contextlib
import os
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, cast

import msgspec

import takeoff
from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.readers.pdf.pdf_messages import Broken, Final, Progress, Refused, Reply, Request, receive, send
from takeoff.units.printing import shown

LONGEST_SILENCE_S = 60.0
"""A worker that says nothing for so long is stuck in the file."""
POLL_S = 0.2
Tell = Callable[[float, str], None]


def ask(request: Request, tell: Tell, silence_s: float = LONGEST_SILENCE_S) -> Final:
    """The worker's result. ``tell`` may raise to stop the work.

    Raises InputError where the file is refused, the worker breaks down or is silent too long,
    RuntimeError for a fault of our own in it.
    """
    package = str(Path(takeoff.__file__).parents[1])
    paths = os.pathsep.join(p for p in (package, os.environ.get("PYTHONPATH", "")) if p)
    worker = subprocess.Popen(
        [sys.executable, "-P", "-m", "takeoff.readers.pdf.worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": paths},
    )
    replies: queue.Queue[Reply | None] = queue.Queue()
    assert worker.stdin is not None
    assert worker.stdout is not None
    ear = threading.Thread(target=_listen, args=(cast(BinaryIO, worker.stdout), replies), daemon=True)
    ear.start()
    try:
        _put(worker, request)
        return _last(replies, request.name, tell, silence_s)
    finally:
        with contextlib.suppress(OSError):  # what was not sent to a dead worker
            worker.stdin.close()
        worker.kill()
        worker.wait()
        ear.join()
        worker.stdout.close()


def _put(worker: subprocess.Popen[bytes], request: Request) -> None:
    try:
        send(cast(BinaryIO, worker.stdin), request)
    except OSError as error:
        raise _broke_down(request.name) from error


def _listen(pipe: BinaryIO, replies: queue.Queue[Reply | None]) -> None:
    """Hands on every message; None says that no more will come, broken ones included."""
    while True:
        try:
            reply = receive(pipe)
        except (msgspec.DecodeError, OSError, ValueError, MemoryError):
            reply = None
        replies.put(reply)
        if reply is None:
            return


def _last(replies: queue.Queue[Reply | None], name: str, tell: Tell, silence_s: float) -> Final:
    heard, share, what = time.monotonic(), 0.0, tr("Reading {file}", file=name)
    while True:
        try:
            reply = replies.get(timeout=POLL_S)
        except queue.Empty:
            if time.monotonic() - heard > silence_s:
                raise InputError(
                    tr(
                        "{file} could not be read in {seconds} seconds: it may be damaged; print the plan's page as "
                        "a new PDF and open that.",
                        file=name,
                        seconds=shown(silence_s, 0),
                    )
                ) from None
            tell(share, what)
            continue
        heard = time.monotonic()
        if reply is None:
            raise _broke_down(name)
        if isinstance(reply, Refused):
            raise InputError(reply.sentence)
        if isinstance(reply, Broken):
            raise RuntimeError(f"The worker that reads PDF failed on {name}:\n{reply.trace}")
        if not isinstance(reply, Progress):
            return reply
        share, what = reply.share, reply.what
        tell(share, what)


def _broke_down(name: str) -> InputError:
    return InputError(
        tr(
            "{file} is damaged so that reading it broke down: open it in a PDF viewer, print it as a new PDF and "
            "open that.",
            file=name,
        )
    )
