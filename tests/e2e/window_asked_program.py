"""A real window that does what it is told over its standard input. Run by ``test_two_windows.py``.

``window_asked_program.py STATE JOB [ANSWER…]``, the answers being those at the start: a line in is
``{"do": what, …}`` with the user's ``answers`` and ``paths`` (``Act``); a line out says what was asked and told on the
way and how the window stands then (``Stands``).
"""

from __future__ import annotations

import os
import queue
import sys
import threading
import traceback
from collections.abc import Sequence
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import msgspec
from PySide6.QtCore import QObject, QTimer

from takeoff.plan import edits
from takeoff.ui import messages
from takeoff.ui.app import Shell, Start, application
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

LOOK_MS = 10


class Act(msgspec.Struct, frozen=True):
    """What is to be done: an action's id, or "rename" (the first room, to ``name``) or "flush" (the recovery copy)."""

    do: str
    name: str = ""
    answers: tuple[str, ...] = ()
    paths: tuple[str, ...] = ()


class Stands(msgspec.Struct, frozen=True):
    """What was asked and told, and how the window stands: title, name of the first room, file, whether it is saved."""

    asked: tuple[str, ...]
    told: tuple[str, ...]
    title: str
    room: str
    path: str
    clean: bool


class User:
    """Answers as the act says; where it says nothing, the harmless last answer."""

    def __init__(self, first: Sequence[str]) -> None:
        self.answers, self.paths = list(first), list[str]()
        self.asked, self.told = list[str](), list[str]()

    def tell(self, parent: object, sentence: str, details: str = "") -> None:
        self.told.append(sentence)

    def ask(self, parent: object, sentence: str, answers: Sequence[tuple[str, str]]) -> str:
        self.asked.append(sentence)
        answer = self.answers.pop(0) if self.answers else answers[-1][0]
        assert answer in dict(answers), (sentence, answer, answers)
        return answer

    def file_to_save(self, parent: object, title: str, kinds: str, name: str) -> Path | None:
        return Path(self.paths.pop(0)) if self.paths else None

    def file_to_open(self, parent: object, title: str, kinds: str) -> Path | None:
        return Path(self.paths.pop(0)) if self.paths else None


class Doing(QObject):
    """Looks for lines that came, does them one after the other, and answers each."""

    def __init__(self, main: MainWindow, user: User) -> None:
        super().__init__(main)
        self._main, self._user = main, user
        self._came: queue.SimpleQueue[str] = queue.SimpleQueue()
        threading.Thread(target=self._hear, daemon=True).start()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._look)
        self._timer.start(LOOK_MS)
        self._say()

    def _hear(self) -> None:
        for line in sys.stdin:
            self._came.put(line)
        os._exit(0)  # nobody drives the window any more

    def _look(self) -> None:
        while not self._came.empty():
            act = msgspec.json.decode(self._came.get(), type=Act)
            self._user.answers, self._user.paths = list(act.answers), list(act.paths)
            done = False
            try:
                self._do(act)
                done = True
            finally:
                if not done:  # whoever waits for an answer learns of it at once
                    traceback.print_exc()
                    os._exit(1)
            self._say()

    def _do(self, act: Act) -> None:
        document = self._main.document
        if act.do == "rename":
            room = str(document.job.storeys[0].rooms[0].id)
            assert document.apply("Rename a room", lambda job: edits.rename_room(job, room, act.name))
        elif act.do == "flush":
            self._main.files.keeping.flush()  # which has nothing to do where the copy was due before
        else:
            self._main.acts.do(act.do)

    def _say(self) -> None:
        document, user = self._main.document, self._user
        rooms = document.job.storeys[0].rooms if document.job.storeys else ()
        stands = Stands(
            asked=tuple(user.asked),
            told=tuple(user.told),
            title=self._main.window().windowTitle(),
            room=rooms[0].name if rooms else "",
            path=str(document.path or ""),
            clean=document.stack.isClean(),
        )
        user.asked, user.told = [], []
        print(msgspec.json.encode(stands).decode(), flush=True)


def run(state: Path, job: Path | None, first: Sequence[str]) -> int:
    user = User(first)
    messages.use(user)  # type: ignore[arg-type]
    app = application()
    start = Start(Shell(Settings(state / "window.json")), job)
    start.shell.show()
    start.furnish()
    assert start.shell.main is not None
    Doing(start.shell.main, user)
    return app.exec()


if __name__ == "__main__":
    sys.exit(run(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:]))
