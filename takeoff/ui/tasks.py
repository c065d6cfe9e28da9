"""Long work beside the window. Workers take and return frozen values and never touch a QObject.

* ``Process``: reading files, in a spawned process that can be stopped; the window stays smooth
  even while a parser holds the interpreter. The function must be importable by name. ``ProgressBox``
  shows how it goes on.
* ``beside``: work of up to a second or two (order, check), in a thread.

Both give their result back on the window's side, from its event loop.
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from queue import SimpleQueue
from typing import Any, TypeVar

from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtWidgets import QProgressDialog, QWidget

from takeoff.errors import TakeoffError
from takeoff.files.ends_with_starter import end_with_starter
from takeoff.language import number, tr

T = TypeVar("T")

_POLL_MS = 30
"""How often the window looks whether a worker has said something."""

_SHOW_AFTER_MS = 400
"""Work shorter than this shows no progress."""
_TICK_MS = 500
_SILENT_S = 2.0
"""After so long without news the bar says only that the work goes on."""

_LAST_S = 3.0
"""So long a closing window waits for the piece of work that runs."""

Tell = Callable[[float, str], None]


class ProgressBox(QProgressDialog):
    """What is being done over a window, with a bar, the time that has gone by, and a way to stop it. It shows after
    a moment; whoever made it closes it."""

    def __init__(self, words: str, window: QWidget) -> None:
        super().__init__(words, tr("Stop"), 0, 100, window)
        self.setWindowModality(Qt.WindowModality.WindowModal)
        self.setMinimumDuration(_SHOW_AFTER_MS)
        self.setAutoClose(False)
        self.setAutoReset(False)
        self._words, self._begun, self._moved, self._part = words, time.monotonic(), 0.0, 0.0
        self._clock = QTimer(self)
        self._clock.setInterval(_TICK_MS)
        self._clock.timeout.connect(self._tick)
        self._clock.start()

    def hear(self, part: float, text: str) -> None:
        """Show how much is done (0 to 1), and what is being done."""
        if part > self._part:
            self._part, self._moved = part, time.monotonic()
        self._words = text[:1].upper() + text[1:]
        self._tick()

    def _tick(self) -> None:
        """The time that has gone by, and a bar that moves even while a library reads without a word."""
        now = time.monotonic()
        self.setLabelText(tr("{work}\n{seconds} s", work=self._words, seconds=number(round(now - self._begun))))
        silent = now - self._moved > _SILENT_S
        self.setRange(0, 0 if silent else 100)
        if not silent:
            self.setValue(min(99, int(self._part * 100)))


class Process(QObject):
    """One piece of work in a process of its own. Exactly one of ``done``, ``failed`` and
    ``cancelled`` comes, once."""

    progress = Signal(float, str)
    done = Signal(object)
    failed = Signal(str)
    cancelled = Signal()

    def __init__(self, work: Callable[..., Any], arguments: tuple[Any, ...], parent: QObject) -> None:
        super().__init__(parent)
        context = multiprocessing.get_context("spawn")
        self._ours, theirs = context.Pipe(duplex=False)
        self._process = context.Process(target=_work, args=(theirs, work, arguments), daemon=True)
        self._process.start()
        theirs.close()
        self._timer = QTimer(self)
        self._timer.setInterval(_POLL_MS)
        self._timer.timeout.connect(self._look)
        self._timer.start()

    def cancel(self) -> None:
        """Stop the work at once; nothing of it is kept. Nothing happens once it has ended."""
        if self._timer.isActive():
            self._end()
            self.cancelled.emit()

    def _look(self) -> None:
        try:
            while self._ours.poll():
                kind, value = pickle.loads(self._ours.recv_bytes())
                if kind == "progress":
                    self.progress.emit(*value)
                    continue
                self._end()
                (self.done if kind == "done" else self.failed).emit(value)
                return
        except (EOFError, OSError, pickle.UnpicklingError):  # also one that was ended in the middle of a word
            self._end()
            self.failed.emit(
                tr("The work stopped before its end, perhaps for want of memory: close other programs and try again.")
            )

    def _end(self) -> None:
        self._timer.stop()
        if self._process.is_alive():
            _stop(self._process)
        self._process.join()
        self._ours.close()


def _stop(process: BaseProcess) -> None:
    """End a process, and with it those that it has started itself, such as a reader's own worker."""
    if hasattr(os, "killpg") and process.pid is not None:
        with suppress(ProcessLookupError, PermissionError):
            if os.getpgid(process.pid) == process.pid:
                os.killpg(process.pid, signal.SIGTERM)
    process.terminate()


def _work(pipe: Connection, work: Callable[..., Any], arguments: tuple[Any, ...]) -> None:
    """In the spawned process: do the work, send what it says, then its result or one sentence."""
    end_with_starter()
    if hasattr(os, "setsid"):
        os.setsid()

    def tell(part: float, text: str) -> None:
        pipe.send_bytes(pickle.dumps(("progress", (part, text))))

    try:
        said: tuple[str, Any] = ("done", work(*arguments, tell))
    except TakeoffError as error:
        said = ("failed", str(error))
    except MemoryError:
        said = ("failed", tr("There is not enough memory for this: close other programs and try again."))
    except Exception as error:  # noqa: BLE001 - the last resort: the window says what the process met
        said = (
            "failed",
            tr(
                "Takeoff has failed ({kind}: {error}). Please report it with the file.",
                kind=type(error).__name__,
                error=error,
            ),
        )
    pipe.send_bytes(pickle.dumps(said, protocol=pickle.HIGHEST_PROTOCOL))
    pipe.close()


class Beside(QObject):
    """Runs small pieces of work in threads, one after another; results come back in the window's loop.

    The threads know a queue and no QObject, so that a window may close while they still work.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._lock = threading.Lock()
        self._left = threading.Event()
        self._came: SimpleQueue[tuple[Any, Callable[[Any], None]]] = SimpleQueue()
        self._running = 0
        self._timer = QTimer(self)
        self._timer.setInterval(_POLL_MS)
        self._timer.timeout.connect(self._look)

    def __call__(self, work: Callable[[], T], then: Callable[[T], None]) -> None:
        """Do ``work`` in a thread and give its result to ``then`` in the window's loop."""
        self._running += 1
        self._timer.start()
        known = (self._lock, self._left, self._came, work, then)
        threading.Thread(target=_run, args=known, daemon=True).start()

    def leave(self) -> None:
        """The window closes: let the piece of work that runs come to its end, and begin no other. A library
        that is at work in a thread while the program ends would take it down with a crash."""
        self._left.set()
        if self._lock.acquire(timeout=_LAST_S):
            self._lock.release()

    @property
    def busy(self) -> bool:
        """Whether some result is still to come."""
        return self._running > 0

    def _look(self) -> None:
        while not self._came.empty():
            result, then = self._came.get()
            self._running -= 1
            if not self._running:
                self._timer.stop()
            if isinstance(result, _Failed):
                raise result.error
            then(result)


def _run(
    lock: threading.Lock,
    left: threading.Event,
    came: SimpleQueue[tuple[Any, Callable[[Any], None]]],
    work: Callable[[], Any],
    then: Callable[[Any], None],
) -> None:
    """In the thread: one piece of work at a time."""
    try:
        with lock:
            if left.is_set():
                return
            result = work()
    except Exception as error:  # noqa: BLE001 - raised again on the window's side
        result = _Failed(error)
    came.put((result, then))


class _Failed:
    def __init__(self, error: Exception) -> None:
        self.error = error
