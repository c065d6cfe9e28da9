"""A large drawing opens beside the window, tells how far it is, and is stopped at once without a trace."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

CHECKOUT = Path(__file__).parents[2]
LINES = 40_000
AT_ONCE_S = 30.0
"""Very generous, for a machine that does many other things too."""
BUSY_S = 1.0
"""For so long of its own time the window may be at one thing while a drawing is read beside it."""


@pytest.fixture(scope="module")
def large(tmp_path_factory) -> Path:
    """A drawing that takes seconds to read."""
    rows = ["0", "SECTION", "2", "ENTITIES"]
    for k in range(LINES):
        x, y = k % 200 * 100, k // 200 * 100
        rows += ["0", "LINE", "8", "A-WALL", "10", f"{x}", "20", f"{y}", "11", f"{x + 90}", "21", f"{y + 40}"]
    path = tmp_path_factory.mktemp("large") / "large.dxf"
    path.write_text("\n".join([*rows, "0", "ENDSEC", "0", "EOF", ""]))
    return path


@pytest.fixture
def beside(qtbot, told, tmp_path) -> MainWindow:
    made = MainWindow(Settings(tmp_path / "window.json"))
    qtbot.addWidget(made, before_close_func=lambda _: told.answers.append("discard"))
    made.show()
    made.files.open(CHECKOUT / "sample_plans" / "terrace.job.json")
    return made


def test_reading_is_stopped_at_once_and_leaves_everything_as_it_was(beside, qtbot, told, large) -> None:
    job, recent = beside.document.job, beside.settings.value.recent
    beside.files.open(large)
    process = beside.files._reading
    with qtbot.waitSignal(process.progress, timeout=30_000):
        pass
    pid = process._process.pid
    begun = time.monotonic()
    with qtbot.waitSignal(beside.files.stopped, timeout=60_000):
        beside.files._progress.canceled.emit()
    assert time.monotonic() - begun < AT_ONCE_S
    assert not beside.files.busy
    assert not os.path.exists(f"/proc/{pid}")
    assert beside.document.job is job
    assert beside.settings.value.recent == recent
    assert told.sentences == []


def test_progress_says_what_is_done_and_for_how_long(beside, qtbot, large) -> None:
    beside.files.open(large)
    dialog = beside.files._progress
    qtbot.waitUntil(lambda: "large.dxf" in dialog.labelText() and " s" in dialog.labelText(), timeout=30_000)
    beside.files.stop()


def test_window_answers_while_a_drawing_is_read(beside, qtbot, large) -> None:
    beside.files.open(large)
    longest, until = 0.0, time.monotonic() + 1.5
    while time.monotonic() < until:
        begun = time.thread_time()
        qtbot.wait(1)
        longest = max(longest, time.thread_time() - begun)
    beside.files.stop()
    assert longest < BUSY_S
