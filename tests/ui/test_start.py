"""Starting loads nothing that the first window does not need."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from takeoff.plan import edits
from takeoff.ui.app import Shell, Start
from takeoff.ui.settings import Settings

SAMPLES = Path(__file__).parents[2] / "sample_plans"

AT_FIRST = ("numpy", "shapely", "takeoff.measure", "takeoff.ui.document")
HEAVY = ("ezdxf", "scipy", "reportlab", "xlsxwriter", "ifcopenshell", "pypdfium2", "PIL")

START = f"""
import sys
from pathlib import Path
from takeoff.ui.app import Start, application
from takeoff.ui.settings import Settings
from takeoff.ui.app import Shell
app = application()
start = Start(Shell(Settings(Path("none.json"))), None)
start.shell.show()
app.processEvents()
print([name for name in {AT_FIRST + HEAVY!r} if name in sys.modules])
start.shell.furnish()
app.processEvents()
print([name for name in {HEAVY!r} if name in sys.modules])
"""


def test_frame_stands_before_anything_of_a_job_is_loaded(tmp_path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", START], capture_output=True, text=True, timeout=300, check=False, cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == ["[]", "[]"]


def test_first_start_opens_the_sample_and_the_next_the_last_file(qtbot, qapp, told, tmp_path) -> None:
    settings = Settings(tmp_path / "window.json")
    first = Start(Shell(settings), None)
    qtbot.addWidget(first.shell)
    first.shell.show()
    first.furnish()
    assert first.shell.main.document.job.name == "Terrace house, invented example"
    assert first.shell.windowTitle() == "Terrace house, invented example[*] – Takeoff"
    first.shell.main.files.open(SAMPLES / "terrace.job.json")
    assert first.shell.close()
    first.end()
    again = Start(Shell(Settings(tmp_path / "window.json")), None)
    qtbot.addWidget(again.shell)
    again.furnish()
    assert again.shell.main.document.path == (SAMPLES / "terrace.job.json").resolve()
    again.end()


def test_frame_stays_open_when_the_user_goes_on_working(qtbot, qapp, told, tmp_path) -> None:
    start = Start(Shell(Settings(tmp_path / "window.json")), SAMPLES / "terrace.job.json")
    qtbot.addWidget(start.shell, before_close_func=lambda _: told.answers.append("discard"))
    start.shell.show()
    start.furnish()
    start.shell.main.document.apply("Rename", lambda job: edits.rename_room(job, "G1", "Passage"))
    assert start.shell.isWindowModified()
    told.answers = ["stay"]
    assert not start.shell.close()
    assert start.shell.isVisible()
    start.end()
