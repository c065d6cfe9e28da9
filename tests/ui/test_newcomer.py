"""A newcomer gets from a drawing to the client's scope as PDF in at most eight actions."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent

from takeoff.ui.panels.first_steps import EmptyPlan

SAMPLES = Path(__file__).parents[2] / "sample_plans"
MOST = 8


class Newcomer:
    """Counts what is done: a click, a choice in a box, something typed, a key, a drop are one each."""

    def __init__(self) -> None:
        self.done: list[str] = []

    def does(self, words: str, act: Callable[[], object]) -> None:
        self.done.append(words)
        act()


def written(folder: Path) -> Path:
    return folder / "scope.pdf"


def test_from_an_empty_window_with_the_height_put_right(window, told, qtbot, tmp_path) -> None:
    user = Newcomer()
    left = Qt.MouseButton.LeftButton
    empty = window.findChild(EmptyPlan)

    def chooses_the_drawing() -> None:
        told.paths.append(SAMPLES / "terrace_ground.dxf")

    # the box of files opens on the click; what is chosen in it is an action of its own
    user.does("chooses the drawing in the box", chooses_the_drawing)
    user.does("presses “Open a drawing or a job…”", lambda: qtbot.mouseClick(empty.buttons[0], left))
    assert len(window.document.job.storeys[0].rooms) == 5
    user.does("presses “To settle”", lambda: qtbot.mouseClick(window.steps.button("settle"), left))
    row = next(r for r in window.sides.page("settle").widgets() if r.row.text.startswith("Height"))

    def types_the_height() -> None:
        row.field.selectAll()
        qtbot.keyClicks(row.field, "2.45")

    user.does("types the height that he measured", types_the_height)
    user.does("presses Enter", lambda: qtbot.keyClick(row.field, Qt.Key.Key_Return))
    assert window.document.job.storeys[0].height_mm == 2450.0
    user.does("presses “Sheets”", lambda: qtbot.mouseClick(window.top.button, left))
    user.does("chooses a folder in the box", lambda: told.paths.append(tmp_path / "sheets"))
    user.does("presses “Export…”", lambda: qtbot.mouseClick(window.sides.page("sheets").write_button, left))
    qtbot.waitUntil(lambda: bool(told.sentences), timeout=30_000)
    assert written(tmp_path / "sheets").read_bytes().startswith(b"%PDF")
    assert len(user.done) <= MOST, user.done


@pytest.mark.parametrize("name", ["flat_feet.dxf", "loft.dxf"])
def test_from_a_drawing_dropped_on_the_window(window, told, qtbot, tmp_path, name: str) -> None:
    user = Newcomer()
    left = Qt.MouseButton.LeftButton
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(SAMPLES / name))])
    drop = QDropEvent(QPointF(400, 300), Qt.DropAction.CopyAction, data, left, Qt.KeyboardModifier.NoModifier)
    user.does("drops the drawing on the window", lambda: window.dropEvent(drop))
    user.does("presses “Sheets”", lambda: qtbot.mouseClick(window.top.button, left))
    user.does("chooses a folder in the box", lambda: told.paths.append(tmp_path / "sheets"))
    user.does("presses “Export…”", lambda: qtbot.mouseClick(window.sides.page("sheets").write_button, left))
    qtbot.waitUntil(lambda: bool(told.sentences), timeout=30_000)
    assert written(tmp_path / "sheets").read_bytes().startswith(b"%PDF")
    assert len(user.done) <= MOST // 2
