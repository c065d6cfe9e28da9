"""Acts on the plan as a user does: the mouse in plan mm, keys one by one."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent, QTextDocument
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from takeoff.plan.model import Room, Storey
from takeoff.ui.tools.tool_preview import Readout
from takeoff.ui.window.main_window import MainWindow

PLAIN = Qt.KeyboardModifier.NoModifier


def type_into(field, text: str) -> None:
    """Go to a field, type over what stands in it, Enter."""
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def empty_field(field) -> None:
    """Delete what stands in a field, Enter."""
    field.setFocus()
    field.selectAll()
    QTest.keyClick(field, Qt.Key.Key_Delete)
    QTest.keyClick(field, Qt.Key.Key_Return)


def pick(field, key: str) -> None:
    """Choose from a list the entry of this key; one that is not there fails."""
    index = field.findData(key)
    assert index >= 0
    field.setCurrentIndex(index)
    field.activated.emit(index)


def click_plan(window: MainWindow, qtbot, *points: tuple[float, float]) -> None:
    """Point at these places of the plan, mm, and click each."""
    view = window.plan.view
    for point in points:
        qtbot.mouseMove(view.viewport(), view.spot(point))
        qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, PLAIN, view.spot(point))


class Hands:
    """Moves, presses and types in one window."""

    def __init__(self, window: MainWindow) -> None:
        self.window, self.view = window, window.plan.view
        window.activateWindow()
        self.view.setFocus()

    def _spot(self, at: tuple[float, float]) -> QPointF:
        ox, oy = self.view.origin
        return self.view.viewportTransform().map(QPointF(at[0] - ox, at[1] - oy))

    def _send(self, kind: QEvent.Type, at, button, held, keys) -> None:
        spot = self._spot(at)
        everywhere = QPointF(self.view.viewport().mapToGlobal(spot.toPoint()))
        QApplication.sendEvent(self.view.viewport(), QMouseEvent(kind, spot, everywhere, button, held, keys))

    def move(self, *places: tuple[float, float], held=Qt.MouseButton.NoButton, keys=PLAIN) -> None:
        """Move over these places."""
        for at in places:
            self._send(QEvent.Type.MouseMove, at, Qt.MouseButton.NoButton, held, keys)

    def press(self, at: tuple[float, float], keys=PLAIN) -> None:
        left = Qt.MouseButton.LeftButton
        self._send(QEvent.Type.MouseButtonPress, at, left, left, keys)

    def release(self, at: tuple[float, float], keys=PLAIN) -> None:
        self._send(QEvent.Type.MouseButtonRelease, at, Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton, keys)

    def click(self, *places: tuple[float, float], keys=PLAIN) -> None:
        """Move to each of these places and click there."""
        for at in places:
            self.move(at, keys=keys)
            self.press(at, keys)
            self.release(at, keys)

    def double_click(self, at: tuple[float, float]) -> None:
        self.click(at)
        self._send(QEvent.Type.MouseButtonDblClick, at, Qt.MouseButton.LeftButton, Qt.MouseButton.LeftButton, PLAIN)
        self.release(at)

    def drag(self, *places: tuple[float, float], keys=PLAIN) -> None:
        """Press at the first place, go over the others, release at the last."""
        self.move(places[0], keys=keys)
        self.press(places[0], keys)
        self.move(*places[1:], held=Qt.MouseButton.LeftButton, keys=keys)
        self.release(places[-1], keys)

    def type(self, text: str, enter: bool = True) -> None:
        """Type on the plan; then Enter."""
        QTest.keyClicks(self.view, text)
        if enter:
            self.key(Qt.Key.Key_Return)

    def key(self, key: Qt.Key, keys=PLAIN) -> None:
        QTest.keyClick(self.view, key, keys)

    def tool(self, word: str) -> None:
        """Click a tool's button in the row above the plan, or take it from "More"."""
        row = self.window.tool_row
        button = next(b for b in row.buttons.values() if b.text() == word)
        if button.isVisible():
            QTest.mouseClick(button, Qt.MouseButton.LeftButton)
        else:
            assert button.defaultAction() in row.more.menu().actions(), word
            button.defaultAction().trigger()

    @property
    def read(self) -> str:
        """The read-out beside the cursor, without its mark-up; nothing where it is hidden."""
        said = []
        for shown in self.view.findChildren(Readout):
            if shown.isVisible():
                made = QTextDocument()
                made.setHtml(shown.text())
                said.append(made.toPlainText().replace("\u00a0", " "))
        return "\n".join(said)

    @property
    def foot(self) -> str:
        """What the foot says at the right."""
        return self.window.totals.note.text()

    @property
    def storey(self) -> Storey:
        storey = self.window.document.storey
        assert storey is not None
        return storey

    def room_count(self) -> int:
        """How many rooms the whole job has."""
        return sum(len(storey.rooms) for storey in self.window.document.job.storeys)

    @property
    def room(self) -> Room:
        """The last room of the storey that is shown."""
        return self.storey.rooms[-1]


def corners(room: Room) -> list[tuple[float, float]]:
    """A room's corners in mm, to a hundredth."""
    return [(round(s.x_mm, 2), round(s.y_mm, 2)) for s in room.outline]


def sizes(room: Room) -> list[float]:
    """The lengths of a room's straight sides in mm, to a hundredth."""
    ring = corners(room)
    return [
        round(((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5, 2)
        for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)
    ]
