"""Thousands of random acts of a user: nothing fails, and what is shown is what the job says.

``TAKEOFF_MONKEY=5000`` makes it long, ``TAKEOFF_MONKEY_SEED=7`` does one run again.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from monkey import Answers, Monkey, shortest_tail
from monkey_looks import Failure
from PySide6.QtWidgets import QApplication

from takeoff.plan.model import Job
from takeoff.ui import messages
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

pytestmark = pytest.mark.usefixtures("own_folder")

SAMPLES = Path(__file__).parents[2] / "sample_plans"
STARTS: tuple[str, ...] = ("terrace.job.json", "terrace_ground.dxf", "loft.dxf", "")
"""Files that a run starts from; "" is an empty job."""

STEPS = int(os.environ.get("TAKEOFF_MONKEY", "200"))
SEED = int(os.environ.get("TAKEOFF_MONKEY_SEED", "1"))
EACH = 25
"""So many steps between two comparisons with a plan made anew."""


@pytest.fixture
def windows(qtbot, tmp_path: Path):
    """Makes windows, and takes the question box's place in them."""
    before = messages.current()
    made: list[MainWindow] = []

    def make(name: str = "window") -> MainWindow:
        window = MainWindow(Settings(tmp_path / name / "window.json"), in_order=True)
        window.resize(1366, 768)
        window.show()
        window.activateWindow()
        QApplication.processEvents()
        made.append(window)
        return window

    yield make
    for window in made:
        # nothing is asked any more: what is left is thrown away on purpose
        window.document.stack.setClean()
        window.close()
        window.deleteLater()
    messages.use(before)
    QApplication.processEvents()


@pytest.mark.parametrize("start", range(len(STARTS)))
def test_any_acts_in_any_order_leave_everything_true(start: int, windows, tmp_path: Path) -> None:
    seed = SEED * 10 + start
    print(f"seed {SEED}, start {STARTS[start] or 'empty'}")
    window = windows()
    monkey = Monkey(window, seed)
    messages.use(Answers(monkey.rng, tmp_path, [SAMPLES / name for name in STARTS if name]))
    if STARTS[start]:
        window.files.open(SAMPLES / STARTS[start])
    try:
        for _ in range(STEPS // len(STARTS) // EACH):
            monkey.run(EACH)
            monkey.looks.compare_with_fresh_plan()
        undone_and_done_again(monkey)
    except Failure as failure:
        tail = shortest_tail(lambda: Monkey(windows("again"), seed), monkey.done)
        head = f"shortest failing tail ({len(tail)}):" if tail else "no tail fails by itself; the last acts:"
        told = "\n".join(f"  {event}" for event in tail or [event for _, event in monkey.done[-EACH:]])
        pytest.fail(f"TAKEOFF_MONKEY_SEED={SEED}, start {start}, step {len(monkey.done)}: {failure}\n{head}\n{told}")
    assert monkey.looks.changes > STEPS // len(STARTS) // 50 or STEPS < 400


def undone_and_done_again(monkey: Monkey) -> None:
    """All the way back and forth: the same jobs."""
    document = monkey.window.document
    stack = document.stack
    passed: list[Job] = []
    while stack.canUndo():
        passed.append(document.job)
        stack.undo()
    monkey.looks.look()
    while passed:
        stack.redo()
        if document.job != passed.pop():
            raise Failure("undone and done again the job is another one")
    monkey.looks.look()
