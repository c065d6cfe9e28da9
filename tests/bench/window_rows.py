"""What a large job costs in the window, in seconds of CPU: opened, a room chosen, an edit made, offscreen.

Run it by itself: ``python tests/bench/window_rows.py [rooms]``. It prints each row with the target beside it.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, str(Path(__file__).parent))

from bench_jobs import grid_job, with_other_width
from PySide6.QtWidgets import QApplication

from takeoff.ui.app import application
from takeoff.ui.document import Ref
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

ROOMS = 400
TIMES = 7
"""Each row but the first is taken so many times; the middle one counts."""

TARGETS_S = {"open": 3.0, "choose": 0.05, "edit": 0.15}


def seconds(do: Callable[[], object]) -> float:
    """CPU of this process until everything that follows has been painted."""
    begun = time.process_time()
    do()
    QApplication.processEvents()
    return time.process_time() - begun


def middle(values: list[float]) -> float:
    return sorted(values)[len(values) // 2]


def window_of(folder: Path) -> MainWindow:
    """A window on screen, without a job."""
    application()
    window = MainWindow(Settings(folder / "window.json"), in_order=True)
    window.resize(1366, 768)
    window.show()
    QApplication.processEvents()
    return window


def rows(count: int = ROOMS) -> dict[str, float]:
    """Seconds of CPU by what is done."""
    job = grid_job(count, 0.0)
    with tempfile.TemporaryDirectory() as folder:
        window = window_of(Path(folder))
        document = window.document
        taken = {"open": seconds(lambda: document.open(job))}
        room_ids = [str(room.id) for room in job.storeys[0].rooms]
        taken["choose"] = middle(
            [seconds(lambda k=k: document.choose((Ref("room", room_ids[3 + 5 * k]),))) for k in range(TIMES)]
        )
        taken["edit"] = middle(
            [
                seconds(lambda k=k: document.apply("Wider", lambda job: with_other_width(job, 7, 900.0 + k)))
                for k in range(TIMES)
            ]
        )
        document.stack.setClean()
        window.close()
    return taken


if __name__ == "__main__":
    for name, cpu_s in rows(int(sys.argv[1]) if len(sys.argv) > 1 else ROOMS).items():
        print(f"{name:8} {cpu_s * 1000:8.0f} ms of CPU   target {TARGETS_S[name] * 1000:6.0f} ms")
