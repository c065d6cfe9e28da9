"""A real window in which somebody edits and saves until it is killed. Run by ``test_window_kills.py``.

``window_editing_program.py JOB STATE LOG SEED``: takes back what the last window lost, goes on from there,
and writes to LOG, a line at a time, when it makes edit N and from when on edit N is said to be saved.
"""

from __future__ import annotations

import os
import random
import sys
import time
from collections.abc import Sequence
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from editing_program import ROOMS, drawing, edited, job_after, say
from msgspec.structs import replace
from PySide6.QtCore import QObject, QTimer

from takeoff.plan.job_drawings import FIRST, with_drawing
from takeoff.plan.model import DrawingRef, Job, Room
from takeoff.storage.content import Content
from takeoff.ui import messages
from takeoff.ui.app import Shell, Start, application
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

EDIT_EVERY_MS = 10


def house_after(edits: int) -> Job:
    """The job after so many edits, each room with a name that no other has."""
    job = job_after(edits)
    rooms = tuple(_named(room, k) for k, room in enumerate(job.storeys[0].rooms))
    ref = DrawingRef(id=FIRST, name="drawing 0")
    return with_drawing(replace(job, storeys=(replace(job.storeys[0], rooms=rooms),)), ref)


def house_edited(job: Job, edits: int) -> Job:
    """One edit more than ``edits``."""
    job, k = edited(job, edits), edits % ROOMS
    storey = job.storeys[0]
    rooms = (*storey.rooms[:k], _named(storey.rooms[k], k), *storey.rooms[k + 1 :])
    return replace(job, storeys=(replace(storey, rooms=rooms),))


def _named(room: Room, number: int) -> Room:
    return replace(room, name=f"Room {number + 1}, {room.name}")


class User:
    """Takes work back that is newer than its file, and throws older copies away."""

    def __init__(self, job: Path) -> None:
        self.job = job

    def tell(self, parent: object, sentence: str, details: str = "") -> None:
        raise AssertionError(sentence + details)

    def ask(self, parent: object, sentence: str, answers: Sequence[tuple[str, str]]) -> str:
        if "Recover the work?" in sentence:
            return "take"
        assert "Open the older copy?" in sentence, sentence
        return "discard"

    def file_to_save(self, parent: object, title: str, kinds: str, name: str) -> Path:
        return self.job


class Editing(QObject):
    """Makes an edit every so often, and a save now and then."""

    def __init__(self, main: MainWindow, log: int, dice: random.Random) -> None:
        super().__init__(main)
        self._main, self._log, self._dice = main, log, dice
        self.edits = int(main.document.job.name.removeprefix("edit "))
        self._save_at = time.monotonic() + dice.uniform(0.2, 2.0)
        say(log, "ready", self.edits)
        self._next()

    def _next(self) -> None:
        pause = EDIT_EVERY_MS if self._dice.random() < 0.99 else 700
        QTimer.singleShot(pause, self.act)

    def act(self) -> None:
        """One edit; where it is time, a save."""
        number = self.edits
        assert self._main.document.apply(f"Edit {number + 1}", lambda job: house_edited(job, number))
        self.edits += 1
        say(self._log, "edit", self.edits)
        if time.monotonic() > self._save_at:
            self._save_at = time.monotonic() + self._dice.uniform(0.2, 2.0)
            say(self._log, "saving", self.edits)
            self._main.acts.do("save")
            assert self._main.document.stack.isClean()
            say(self._log, "saved", self.edits)
        self._next()


def run(job: Path, state: Path, log: int, dice: random.Random) -> int:
    messages.use(User(job))  # type: ignore[arg-type]
    app = application()
    start = Start(Shell(Settings(state / "window.json")), job if job.exists() else None)
    start.shell.show()
    start.furnish()
    main = start.shell.main
    assert main is not None
    if not main.document.job.name.startswith("edit "):
        main.document.open(house_after(0), {FIRST: drawing(0)})
        main.files.keeping.begin(Content(house_after(0), {FIRST: drawing(0)}))
        main.acts.do("save-as")
    Editing(main, log, dice)
    return app.exec()


if __name__ == "__main__":
    job_path, state_path, log_path = (Path(text) for text in sys.argv[1:4])
    sys.exit(
        run(
            job_path,
            state_path,
            os.open(log_path, os.O_CREAT | os.O_APPEND | os.O_WRONLY, 0o600),
            random.Random(int(sys.argv[4])),
        )
    )
