"""A real window on a virtual screen, from a drawing to the scope as PDF."""

from __future__ import annotations

from pathlib import Path

from virtual_screen import needs_a_screen, on_screen, written_script

SAMPLES = Path(__file__).parents[2] / "sample_plans"

USER = """
import sys
from pathlib import Path
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from takeoff.ui import messages
from takeoff.ui.app import Start, application
from takeoff.ui.settings import Settings
from takeoff.ui.app import Shell

drawing, folder = Path(sys.argv[1]), Path(sys.argv[2])
said = []

class User:
    def tell(self, parent, sentence, details=""): said.append(sentence)
    def ask(self, parent, sentence, answers): return "discard"
    def file_to_open(self, parent, title, kinds): return drawing
    def folder(self, parent, title): return folder / "sheets"

messages.use(User())
app = application()
start = Start(Shell(Settings(folder / "window.json")), drawing)
start.shell.show()
start.soon()
steps = []

def look():
    main = start.shell.main
    if main is None or main.space.long_work.busy or main.document.considered is None or not main.document.job.storeys:
        return
    timer.stop()
    view = main.plan.view
    words = next(p.words for p in main.plan.items.pieces.values() if p.words and "Kitchen" in p.words.name)
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=view.spot(words.at))
    print("chosen", main.card.title.text(), main.card.total.text())
    app.processEvents()
    start.shell.grab().save(str(folder / "window.png"))
    QTest.mouseClick(main.top.button, Qt.MouseButton.LeftButton)
    QTest.mouseClick(main.sides.page("sheets").write_button, Qt.MouseButton.LeftButton)
    finish()

def finish():
    if not said:
        QTimer.singleShot(50, finish)
        return
    print("told", said)
    start.shell.close()

timer = QTimer()
timer.timeout.connect(look)
timer.start(50)
QTimer.singleShot(50_000, app.quit)
app.exec()
start.end()
print("platform", app.platformName())
"""


@needs_a_screen
def test_drawing_to_scope_on_a_real_screen(tmp_path: Path) -> None:
    script = written_script(tmp_path, USER)
    done = on_screen(script, SAMPLES / "terrace_ground.dxf", tmp_path, size="1366x768")
    assert done.returncode == 0, done.stderr
    assert "chosen Kitchen" in done.stdout
    assert "platform xcb" in done.stdout
    assert (tmp_path / "sheets" / "scope.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "window.png").stat().st_size > 10_000
