"""A first start in a real window on a virtual screen: the tour, a drawing, a figure, the scope as PDF.

On displays of usual and of fractional scale. What is seen is kept in the test's folder as pictures.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from virtual_screen import needs_a_screen, on_screen, written_script

SAMPLES = Path(__file__).parents[2] / "sample_plans"

USER = """
import sys
from pathlib import Path
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from takeoff.ui import messages
from takeoff.ui.app import Start, application
from takeoff.ui.settings import Settings
from takeoff.ui.app import Shell
from takeoff.ui.window.tour_part import Tour

drawing, folder = Path(sys.argv[1]), Path(sys.argv[2])
said, acts = [], []

class User:
    def tell(self, parent, sentence, details=""): said.append(sentence)
    def ask(self, parent, sentence, answers): return "discard"
    def file_to_open(self, parent, title, kinds):
        acts.append("chooses the drawing")
        return drawing
    def folder(self, parent, title):
        acts.append("chooses the folder")
        return folder / "sheets"

messages.use(User())
app = application()
start = Start(Shell(Settings(folder / "window.json")), None)
start.shell.show()
start.soon()

def keep(name):
    app.processEvents()
    picture = start.shell.grab()
    picture.save(str(folder / name))
    print("picture", name, picture.width(), picture.height(), picture.devicePixelRatio())

def tour():
    main = start.shell.main
    return main.findChild(Tour) if main is not None else None

def wait(until, then):
    if until():
        then()
    else:
        QTimer.singleShot(50, lambda: wait(until, then))

def first():
    print("job", start.shell.main.document.job.name)
    keep("tour.png")
    acts.append("skips the tour")
    QTest.keyClick(tour().bubble, Qt.Key.Key_Escape)
    acts.append("opens")
    QTest.keyClick(start.shell.main.plan.view, Qt.Key.Key_O, Qt.KeyboardModifier.ControlModifier)
    wait(lambda: read(start.shell.main), second)

def read(main):
    job = main.document.job
    return not main.space.long_work.busy and job.drawings and job.drawings[0].name == drawing.name and (
        main.document.considered is not None)

def second():
    main = start.shell.main
    words = next(p.words for p in main.plan.items.pieces.values() if p.words and "Kitchen" in p.words.name)
    view = main.plan.view
    acts.append("clicks the kitchen")
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=view.spot(words.at))
    walls = next(row for row in main.card.rows if row.key == "wall_net_m2")
    walls.toggle()
    print("lit", len(main.plan.lit), len(main.strip.faces.lit))
    keep("plan.png")
    acts.append("presses Sheets")
    QTest.mouseClick(main.top.button, Qt.MouseButton.LeftButton)
    acts.append("presses Export")
    QTest.mouseClick(main.sides.page("sheets").write_button, Qt.MouseButton.LeftButton)
    wait(lambda: said, third)

def third():
    keep("sheets.png")
    print("told", said)
    print("acts", len(acts), acts)
    start.shell.close()

wait(lambda: tour() is not None and tour().is_on, first)
QTimer.singleShot(100_000, app.quit)
app.exec()
start.end()
print("platform", app.platformName())
"""


@needs_a_screen
@pytest.mark.parametrize("scale", ["1", "1.5"])
def test_first_start_to_scope_on_a_real_screen(tmp_path: Path, scale: str) -> None:
    script = written_script(tmp_path, USER)
    done = on_screen(script, SAMPLES / "terrace_ground.dxf", tmp_path, QT_SCALE_FACTOR=scale)
    assert done.returncode == 0, done.stderr
    assert "job Terrace house, invented example" in done.stdout
    assert "platform xcb" in done.stdout
    said = dict(line.split(" ", 1) for line in done.stdout.splitlines() if " " in line)
    faces = int(said["lit"].split()[1])
    assert faces == 4
    assert int(said["acts"].split()[0]) <= 8
    assert said["picture"].endswith(scale if "." in scale else f"{scale}.0")
    assert (tmp_path / "sheets" / "scope.pdf").read_bytes().startswith(b"%PDF")
    for name in ("tour.png", "plan.png", "sheets.png"):
        assert (tmp_path / name).stat().st_size > 10_000
