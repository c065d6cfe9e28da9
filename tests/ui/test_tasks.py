"""Long work: in a process that can be stopped, and in a thread that gives back in the window's loop."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from PySide6.QtCore import QObject

from takeoff.errors import InputError
from takeoff.services.opened.opening import Answers, open_for_window
from takeoff.ui.tasks import Beside, Process

SAMPLES = Path(__file__).parents[2] / "sample_plans"


def slow(seconds: float, tell: object) -> str:
    """Work that takes its time; importable by name, as a spawned process needs it."""
    tell(0.5, "half way")  # type: ignore[operator]
    time.sleep(seconds)
    return "done"


def refusing(tell: object) -> None:
    raise InputError("The drawing has no walls: choose another.")


def broken(tell: object) -> None:
    raise ZeroDivisionError("division by zero")


@pytest.fixture
def owner(qapp: object) -> QObject:
    return QObject()


def test_drawing_is_read_in_a_process_of_its_own(owner: QObject, qtbot) -> None:
    work = Process(open_for_window, (SAMPLES / "terrace_ground.dxf", Answers()), owner)
    with qtbot.waitSignal(work.done, timeout=30_000) as came:
        pass
    opened = came.args[0]
    assert len(opened.job.storeys[0].rooms) == 5
    assert len(opened.drawing.lines.segments) > 200


def test_progress_comes_before_the_result(owner: QObject, qtbot) -> None:
    work, said = Process(slow, (0.0,), owner), []
    work.progress.connect(lambda part, text: said.append((part, text)))
    with qtbot.waitSignal(work.done, timeout=30_000) as came:
        pass
    assert (said, came.args) == ([(0.5, "half way")], ["done"])


def test_stopped_work_ends_at_once_and_gives_nothing(owner: QObject, qtbot) -> None:
    work, came = Process(slow, (60.0,), owner), []
    work.done.connect(came.append)
    work.failed.connect(came.append)
    with qtbot.waitSignal(work.cancelled, timeout=30_000):  # it would go on for 60 s
        work.cancel()
    assert came == []
    assert not work._process.is_alive()


def test_refusal_is_its_own_sentence(owner: QObject, qtbot) -> None:
    work = Process(refusing, (), owner)
    with qtbot.waitSignal(work.failed, timeout=30_000) as came:
        pass
    assert came.args == ["The drawing has no walls: choose another."]


def test_fault_of_the_program_is_said_as_one(owner: QObject, qtbot) -> None:
    work = Process(broken, (), owner)
    with qtbot.waitSignal(work.failed, timeout=30_000) as came:
        pass
    assert "ZeroDivisionError: division by zero" in came.args[0]


def test_killed_process_is_told(owner: QObject, qtbot) -> None:
    work = Process(slow, (60.0,), owner)
    with qtbot.waitSignal(work.failed, timeout=10_000) as came:
        work._process.kill()
    assert came.args[0].startswith("The work stopped before its end")


def talking(tell: object) -> None:
    """Says more at once than a pipe holds."""
    tell(0.5, "word " * 1_000_000)  # type: ignore[operator]


def test_process_killed_in_the_middle_of_a_word_is_told_as_one(owner: QObject, qtbot) -> None:
    work = Process(talking, (), owner)
    work._timer.stop()  # nobody listens until it is dead
    qtbot.waitUntil(work._ours.poll)
    time.sleep(0.2)
    work._process.kill()
    work._process.join()
    with qtbot.waitSignal(work.failed, timeout=10_000) as came:
        work._timer.start()
    assert came.args[0].startswith("The work stopped before its end")


STUCK = """
import os, sys, time
from pathlib import Path

def stuck(tell):
    # As a library that holds the interpreter: no other thread of this process has a turn.
    sys.setswitchinterval(1000.0)
    Path(sys.argv[1]).write_text(str(os.getpid()))
    while True:
        pass

if __name__ == "__main__":
    from PySide6.QtCore import QCoreApplication, QObject
    from takeoff.ui.tasks import Process
    app = QCoreApplication([])
    owner = QObject()
    work = Process(stuck, (), owner)
    app.exec()
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere a stuck one is not told of the end")
def test_reader_that_is_stuck_ends_with_a_window_that_is_killed(tmp_path: Path) -> None:
    program, word = tmp_path / "stuck_program.py", tmp_path / "pid"
    program.write_text(STUCK)
    with subprocess.Popen([sys.executable, str(program), str(word)]) as window:
        until = time.monotonic() + 120.0
        while not (word.exists() and word.read_text()) and time.monotonic() < until:
            time.sleep(0.05)
        window.kill()
    reader = int(word.read_text())
    until = time.monotonic() + 30.0
    while lives(reader) and time.monotonic() < until:
        time.sleep(0.05)
    alive = lives(reader)
    if alive:
        os.kill(reader, signal.SIGKILL)
    assert not alive


def lives(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except OSError:
        return False


def test_result_from_a_thread_comes_in_the_windows_own(qapp: object, qtbot) -> None:
    beside, came = Beside(), []
    beside(threading.get_ident, lambda worker: came.append((worker, threading.get_ident())))
    assert beside.busy
    qtbot.waitUntil(lambda: bool(came), timeout=5_000)
    worker, receiver = came[0]
    assert receiver == threading.get_ident() != worker
    assert not beside.busy


def test_window_reads_a_drawing_beside_itself(qapp: object, qtbot, told, tmp_path: Path) -> None:
    from takeoff.ui.settings import Settings
    from takeoff.ui.window.main_window import MainWindow

    window = MainWindow(Settings(tmp_path / "window.json"))
    qtbot.addWidget(window)
    window.show()
    window.files.open(SAMPLES / "terrace_ground.dxf")
    assert window.space.long_work.busy
    qtbot.waitUntil(lambda: not window.space.long_work.busy and window.document.considered is not None, timeout=30_000)
    assert [len(storey.rooms) for storey in window.document.job.storeys] == [5]
    assert window.totals.figures[3].text().endswith("packs, all materials")
    assert told.sentences == []
