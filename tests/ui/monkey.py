"""A user who does anything at all: every action of the window, the mouse and keys everywhere.

What it does is drawn from a seed, and kept as plain values, so that a failure can be done again from
the job as it stood a few steps before.
"""

from __future__ import annotations

import os
import random
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from monkey_acts import Acts, Event
from monkey_events import Events
from monkey_looks import Failure, Looks
from PySide6.QtCore import QTimer, qInstallMessageHandler
from PySide6.QtWidgets import QApplication, QDialog, QWidget

from takeoff.drawing.model import Drawing
from takeoff.plan.model import DrawingId, Job
from takeoff.ui.window.main_window import MainWindow

LOG = os.environ.get("TAKEOFF_MONKEY_LOG", "")
"""A file to which every event is written before it is done."""


class Answers:
    """Answers every question at random and never blocks."""

    def __init__(self, rng: random.Random, folder: Path, files: Sequence[Path]) -> None:
        self._rng, self._folder, self._files = rng, folder, tuple(files)
        self._count = 0

    def tell(self, parent: QWidget | None, sentence: str, details: str = "") -> None:
        assert sentence.strip()

    def ask(self, parent: QWidget | None, sentence: str, answers: Sequence[tuple[str, str]]) -> str:
        return self._rng.choice(answers)[0]

    def file_to_open(self, parent: QWidget | None, title: str, kinds: str) -> Path | None:
        return self._rng.choice((*self._files, None))

    def file_to_save(self, parent: QWidget | None, title: str, kinds: str, name: str) -> Path | None:
        return self._rng.choice((self._new(".takeoff"), self._new(".json"), None))

    def folder(self, parent: QWidget | None, title: str) -> Path | None:
        return self._rng.choice((self._new(""), None))

    def __getattr__(self, name: str) -> Callable[..., None]:
        # questions that a part added: the user thinks better of it
        if name.startswith("_"):
            raise AttributeError(name)
        return lambda *args, **kwargs: None

    def _new(self, ending: str) -> Path:
        self._count += 1
        return self._folder / f"kept{self._count % 3}{ending}"


class Snapshot(NamedTuple):
    """A job as it stood before an event."""

    job: Job
    drawings: dict[DrawingId, Drawing]
    storey: str


class Monkey:
    """Acts in one window and looks after each act whether all is as it should be."""

    def __init__(self, window: MainWindow, seed: int) -> None:
        self.window, self.rng = window, random.Random(seed)
        self.events, self.acts, self.looks = Events(window, self.rng), Acts(window), Looks(window)
        self.done: list[tuple[Snapshot, Event]] = []
        self._errors: list[str] = []
        self._closer = QTimer()
        self._closer.setInterval(5)
        self._closer.timeout.connect(self._close_dialogs)

    # -- running

    def run(self, steps: int) -> None:
        """So many events. Raises Failure for the first after which something is wrong."""
        for _ in range(steps):
            self.step(self.events.draw())

    def step(self, event: Event) -> None:
        """One event and the look after it."""
        self.done.append((self.snapshot(), event))
        if LOG:
            # a crash of the interpreter itself leaves this behind
            with open(LOG, "a", encoding="utf-8") as log:
                log.write(f"{len(self.done)} {event}\n")
        before = sys.excepthook
        messages = qInstallMessageHandler(self._qt_says)
        sys.excepthook = self._hook
        self._closer.start()
        try:
            self.acts.act(event)
            QApplication.processEvents()
        except Exception as error:  # noqa: BLE001 - every failure is told with what led to it
            self._errors.append("".join(traceback.format_exception(error)))
        finally:
            self._closer.stop()
            sys.excepthook = before
            qInstallMessageHandler(messages)
        if self._errors:
            raise Failure("\n".join(self._errors))
        self.looks.look()

    def snapshot(self) -> Snapshot:
        document = self.window.document
        storey = document.storey
        return Snapshot(document.job, dict(document.drawings), str(storey.id) if storey else "")

    def open(self, snapshot: Snapshot) -> None:
        """Start from a job as it stood."""
        self.window.document.open(snapshot.job, snapshot.drawings)
        self.window.document.show_storey(snapshot.storey)

    def _hook(self, kind: type[BaseException], error: BaseException, trace: Any) -> None:
        self._errors.append("".join(traceback.format_exception(kind, error, trace)))

    def _qt_says(self, kind: Any, context: Any, text: str) -> None:
        if not text.startswith("This plugin does not support"):
            self._errors.append(f"Qt says: {text}")

    def _close_dialogs(self) -> None:
        """Nothing that asks in a window of its own may block: it is closed as Escape does."""
        modal = QApplication.activeModalWidget()
        popup = QApplication.activePopupWidget()
        if popup is not None:
            popup.close()
        elif isinstance(modal, QDialog):
            modal.reject()
        elif modal is not None:
            modal.close()


def shortest_tail(make: Callable[[], Monkey], done: Sequence[tuple[Snapshot, Event]]) -> list[Event]:
    """The fewest last events that fail again from the job as it stood before them; () where it took
    more than these to fail."""
    count = 1
    while count <= len(done):
        tail = done[-count:]
        monkey = make()
        try:
            monkey.open(tail[0][0])
            for _, event in tail:
                monkey.step(event)
                monkey.looks.compare_with_fresh_plan()
        except Failure:
            return [event for _, event in tail]
        count = count + 1 if count < 8 else count * 2
    return []
