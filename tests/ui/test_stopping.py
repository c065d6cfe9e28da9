"""A large drawing opens beside the window, tells how far it is, and is stopped at once without a trace."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

CHECKOUT = Path(__file__).parents[2]
LINES = 40_000
TURNS = 50
"""So often at least the window gets its turn while a drawing is read beside it, however slow the computer is."""


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
    process = beside.space.long_work._process
    with qtbot.waitSignal(process.progress, timeout=30_000):
        pass
    pid, ended = process._process.pid, []
    process.done.connect(ended.append)
    with qtbot.waitSignal(beside.space.long_work.stopped, timeout=60_000):
        beside.space.long_work._progress.canceled.emit()
    assert ended == []  # it was not read to its end first
    assert not beside.space.long_work.busy
    assert not os.path.exists(f"/proc/{pid}")
    assert beside.document.job is job
    assert beside.settings.value.recent == recent
    assert told.sentences == []


def test_progress_says_what_is_done_and_for_how_long(beside, qtbot, large) -> None:
    beside.files.open(large)
    dialog = beside.space.long_work._progress
    qtbot.waitUntil(lambda: "large.dxf" in dialog.labelText() and " s" in dialog.labelText(), timeout=30_000)
    beside.space.long_work.stop()


def test_window_answers_while_a_drawing_is_read(beside, qtbot, large) -> None:
    beside.files.open(large)
    turns = 0
    while beside.space.long_work.busy and turns < TURNS:
        qtbot.wait(1)
        turns += 1
    beside.space.long_work.stop()
    assert turns == TURNS
