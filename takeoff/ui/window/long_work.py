"""Work that takes a while, done in a process of its own: its progress, a way to stop it, and what went wrong."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from takeoff.errors import TakeoffError
from takeoff.language import tr
from takeoff.ui import messages
from takeoff.ui.document import NO_MEMORY
from takeoff.ui.tasks import Process, ProgressBox


class LongWork(QObject):
    """One at a time. ``in_order``: it is done here and now, for tests."""

    failed = Signal()
    """It came to nothing, and why was told."""
    stopped = Signal()
    """The user stopped it: everything is as it was."""

    def __init__(self, window: QWidget, in_order: bool) -> None:
        super().__init__(window)
        self._window = window
        self.in_order = in_order
        self._process: Process | None = None
        self._then: Callable[[Any], None] = _nothing
        self._progress: ProgressBox | None = None

    @property
    def busy(self) -> bool:
        """Whether it is being done."""
        return self._process is not None

    def do(self, words: str, work: Callable[..., Any], arguments: tuple[Any, ...], then: Callable[[Any], None]) -> None:
        """Do it beside the window, and give its result to ``then``. ``work`` is importable by name and takes what to
        tell progress to last. What goes wrong is said; what is stopped leaves everything as it was. Nothing where other
        work is being done."""
        if self._process is not None:
            return
        if self.in_order:
            self._guarded(lambda: then(work(*arguments, _silent)))
            return
        self._progress = ProgressBox(words, self._window)
        self._then = then
        self._process = Process(work, arguments, self)
        self._process.progress.connect(self._progress.hear)
        self._process.done.connect(self._done)
        self._process.failed.connect(self._failed)
        self._process.cancelled.connect(self._stopped)
        self._progress.canceled.connect(self._process.cancel)

    def stop(self) -> None:
        """Stop it, without a word."""
        if self._process is not None:
            self._process.cancel()

    def _done(self, result: object) -> None:
        then = self._then
        self._end()
        self._guarded(lambda: then(result))

    def _failed(self, sentence: str) -> None:
        self._end()
        self._tell(sentence)

    def _stopped(self) -> None:
        self._end()
        self.stopped.emit()

    def _guarded(self, work: Callable[[], None]) -> None:
        try:
            work()
        except TakeoffError as error:
            self._tell(str(error))
        except MemoryError:
            self._tell(tr(NO_MEMORY))

    def _tell(self, sentence: str) -> None:
        messages.current().tell(self._window, sentence)
        self.failed.emit()

    def _end(self) -> None:
        self._then = _nothing
        if self._progress is not None:
            self._progress.close()
            self._progress.deleteLater()
            self._progress = None
        if self._process is not None:
            self._process.deleteLater()
            self._process = None


def _silent(part: float, text: str) -> None:
    del part, text


def _nothing(result: object) -> None:
    del result
