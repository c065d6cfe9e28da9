"""A small screen: what the plan has of it, panels that cut nothing off, lines that stay where they were drawn to."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QRect, QSize, Qt, QTimer
from PySide6.QtGui import QColor, QFontMetrics
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QMessageBox, QPushButton, QScrollArea, QTableView, QWidget

from takeoff.plan import edits
from takeoff.plan.model import StoreyId
from takeoff.ui.app import TITLE_BAR_PX, first_size
from takeoff.ui.document import Ref
from takeoff.ui.messages import Boxes
from takeoff.ui.panels.figures_table import FiguresPanel
from takeoff.ui.settings import Settings
from takeoff.ui.themes import SMALL_PX, font
from takeoff.ui.window.main_window import MainWindow
from takeoff.views.table_lines import order_lines

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.mark.parametrize(
    ("screen", "fills"), [((1366, 768), True), ((911, 512), True), ((1920, 1080), False), ((1280, 720), True)]
)
def test_the_first_window_fits_with_its_title_bar(screen: tuple[int, int], fills: bool) -> None:
    size, full = first_size(QSize(*screen), QSize(1366, 768))
    assert full is fills
    assert size.width() <= screen[0]
    assert size.height() + TITLE_BAR_PX <= screen[1]


@pytest.mark.parametrize(("screen", "title_px"), [((1366, 768), 30), ((911, 512), 30), ((1280, 720), 30)])
def test_the_plan_has_three_fifths_of_the_screen(qtbot, told, tmp_path: Path, screen, title_px: int) -> None:
    """1366 × 768 as it is and at scale 1.5, and 1920 × 1080 at scale 1.5."""
    made = MainWindow(Settings(tmp_path / "window.json"), in_order=True)
    qtbot.addWidget(made)
    made.resize(screen[0], screen[1] - title_px)
    made.show()
    qtbot.waitExposed(made)
    made.files.open(SAMPLES / "terrace.job.json")
    QApplication.processEvents()
    assert made.height() == screen[1] - title_px
    assert made.plan.view.height() >= 0.6 * screen[1]


def test_no_panel_is_cut_off_at_the_right(sample: MainWindow) -> None:
    storey = sample.document.storey
    assert storey is not None
    sample.document.choose((Ref("room", str(storey.rooms[0].id)),))
    cut = []
    for name in sample.sides.pages():
        sample.sides.show_page(name)
        QApplication.processEvents()
        page = sample.sides.page(name)
        for area in page.findChildren(QScrollArea):
            if area.isVisible() and area.widget().minimumSizeHint().width() > area.viewport().width():
                cut.append(name)
        cut += [name for t in page.findChildren(QTableView) if t.isVisible() and t.horizontalScrollBar().maximum()]
        assert page.width() <= sample.sides.width()
        assert page.mapTo(sample, page.rect().topRight()).x() <= sample.width()
    assert cut == []


def money(text: str) -> float:
    return float(text.replace(",", ""))


def test_the_order_says_item_need_packs_and_cost_side_by_side(sample: MainWindow) -> None:
    QTest.mouseClick(sample.steps.button("order"), Qt.MouseButton.LeftButton)
    table = sample.sides.page("order").table
    QApplication.processEvents()
    assert table.horizontalScrollBar().maximum() == 0
    cells = {row.cells[0].split("\n")[0]: row.cells for row in table.rows.rows}
    item, need, cost = cells["Demo lime foam coat"]
    assert item.split("\n")[1].replace("\u00a0", " ") == "4 × 13 L + 17 × 22 L"
    assert need.endswith(" L")
    assert money(cost) > 0
    lines = order_lines(sample.document.considered)
    assert money(lines[-1].cells[2]) == pytest.approx(sum(money(line.cells[2]) for line in lines[:-1]))
    for row in range(table.rows.rowCount()):
        for column in range(1, 3):
            index = table.rows.index(row, column)
            assert table.sizeHintForIndex(index).width() <= table.columnWidth(column)
        assert table.sizeHintForIndex(table.rows.index(row, 0)).height() <= table.rowHeight(row)


def test_large_totals_are_said_whole(sample: MainWindow) -> None:
    """The total under more rows than are asked for their widths."""
    storey = sample.document.storey
    assert storey is not None
    name = StoreyId(storey.id)
    sample.document.apply("", lambda job: edits.set_storey_times(job, name, 480))
    QTest.mouseClick(sample.steps.button("rooms"), Qt.MouseButton.LeftButton)
    table = sample.sides.page("rooms").table
    table.horizontalHeader().setResizeContentsPrecision(1)
    QApplication.processEvents()
    last = table.rows.rowCount() - 1
    assert table.rows.rows[last].strong
    for column in range(1, 4):
        wanted = table.fontMetrics().horizontalAdvance(table.rows.rows[last].cells[column])
        assert table.sizeHintForColumn(column) >= wanted


def test_figures_of_a_large_job_are_said_whole_in_their_table(sample: MainWindow) -> None:
    for storey in sample.document.job.storeys:
        name = StoreyId(storey.id)
        sample.document.apply("", lambda job, name=name: edits.set_storey_times(job, name, 4000))
    sample.acts.do("figures")
    QApplication.processEvents()
    panel = sample.findChild(FiguresPanel)
    for table in (panel.table, panel.totals):
        letters = QFontMetrics(font(SMALL_PX, "semibold"))
        for row in table.rows.rows:
            for column, cell in enumerate(row.cells[1:], start=1):
                assert letters.horizontalAdvance(cell) + 16 <= table.columnWidth(column), (column, cell)


def test_lines_between_panels_stay_where_the_user_drew_them(sample: MainWindow, tmp_path: Path, qtbot, told) -> None:
    frame = sample.space.frame
    for splitter, by in ((frame.across, (-120, 0)), (frame.middle, (0, -90))):
        handle = splitter.handle(splitter.count() - 1)
        middle = handle.rect().center()
        QTest.mousePress(handle, Qt.MouseButton.LeftButton, pos=middle)
        QTest.mouseMove(handle, middle + type(middle)(*by))
        QTest.mouseRelease(handle, Qt.MouseButton.LeftButton, pos=middle + type(middle)(*by))
    QApplication.processEvents()
    strip, pages = frame.shares
    assert strip > 190
    assert pages > 400
    for name in ("order", "settle", "card"):
        sample.space.show_step(name)
    sample.hide()
    sample.show()
    QApplication.processEvents()
    assert frame.shares == (strip, pages)
    sample.resize(1500, 800)
    QApplication.processEvents()
    assert frame.shares == (strip, pages)
    sample.close()
    again = MainWindow(Settings(sample.settings.path), in_order=True)
    qtbot.addWidget(again)
    again.resize(1500, 800)
    again.show()
    qtbot.waitExposed(again)
    assert again.space.frame.shares == (strip, pages)


START = """
from PySide6.QtCore import QTimer
from takeoff.ui.app import Shell, Start, application
from takeoff.ui.panels.figures_table import FiguresPanel
from takeoff.ui.settings import Settings
from takeoff.ui.themes import SMALL_PX, font
from pathlib import Path
import sys
app = application()
start = Start(Shell(Settings(Path(sys.argv[1]) / "window.json")), None)
start.shell.show()
start.furnish()
def tell():
    main, frame = start.shell.main, start.shell.frameGeometry()
    screen = start.shell.screen().size()
    print("frame", frame.width(), frame.height(), "plan", main.plan.view.height(), "screen", screen.height())
    main.files.keeping.close()
    app.quit()
QTimer.singleShot(1500, tell)
app.exec()
"""


@pytest.mark.skipif(shutil.which("xvfb-run") is None, reason="no virtual screen is installed")
@pytest.mark.parametrize("scale", ["1", "1.5"])
def test_first_start_on_a_small_screen(tmp_path: Path, scale: str) -> None:
    script = tmp_path / "start.py"
    script.write_text("if __name__ == '__main__':\n" + "\n".join(f"    {line}" for line in START.splitlines()))
    environment = {key: value for key, value in os.environ.items() if key != "QT_QPA_PLATFORM"}
    done = subprocess.run(
        ["xvfb-run", "-a", "-s", "-screen 0 1366x768x24", sys.executable, str(script), str(tmp_path)],
        env={**environment, "QT_SCALE_FACTOR": scale},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    words = next(line for line in done.stdout.splitlines() if line.startswith("frame")).split()
    wide, tall, plan, screen = (int(words[k]) for k in (1, 2, 4, 6))
    assert wide <= 1366 / float(scale) + 1
    assert tall <= screen
    assert plan >= 0.6 * (screen - TITLE_BAR_PX)


def luminance(colour: QColor) -> float:
    parts = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in colour.getRgbF()[:3]]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_counts_can_be_read_in_both_themes(sample: MainWindow, theme: str) -> None:
    """Also those of nought, whose buttons can do nothing: 4.5 to 1 against their ground (WCAG 2.1, 1.4.3)."""
    sample.space.set_theme(theme)
    sample.space.show_step("settle")
    QApplication.processEvents()
    chips = [b for b in sample.sides.page("settle").findChildren(QPushButton) if b.property("part") == "chip"]
    chips = [chip for chip in chips if chip.isVisible()]
    assert any(not chip.isEnabled() for chip in chips)
    for chip in chips:
        place = QRect(chip.mapTo(sample, chip.rect().topLeft()), chip.size()).adjusted(8, 4, -8, -4)
        image = sample.grab(place).toImage()
        seen = [luminance(image.pixelColor(x, y)) for x in range(image.width()) for y in range(image.height())]
        assert (max(seen) + 0.05) / (min(seen) + 0.05) >= 4.5, chip.text()


def test_no_icon_of_somebody_else_stands_in_the_window_or_its_boxes(sample: MainWindow) -> None:
    boxes = []

    def look() -> None:
        for box in QApplication.topLevelWidgets():
            if isinstance(box, QMessageBox) and box.isVisible():
                boxes.append([button.icon().isNull() for button in box.buttons()])
                boxes.append([box.icon() == QMessageBox.Icon.NoIcon])
                box.reject()

    QTimer.singleShot(300, look)
    Boxes().tell(sample, "The wall is too short.")
    assert boxes == [[True], [True]]
    for name in sample.sides.pages():
        sample.sides.page(name)
    actions = [action for widget in sample.findChildren(QWidget) for action in widget.actions()]
    assert all(action.icon().isNull() for action in actions)
    # pictures of a drawing's own pages are no icons
    buttons = [b for b in sample.findChildren(QAbstractButton) if b.property("part") not in ("page-button", "photo")]
    # the one of a menu bar that is too short for its menus, which it never is
    assert sample.bar.width() >= sample.bar.sizeHint().width()
    assert [b.objectName() for b in buttons if not b.icon().isNull()] == ["qt_menubar_ext_button"]
