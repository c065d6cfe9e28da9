"""Keys and mouse as Qt takes them: posted to a widget, and waited for."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QKeyCombination, QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence, QMouseEvent
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QLineEdit, QPlainTextEdit, QWidget
from shiboken6 import isValid

LEFT, MIDDLE, RIGHT = Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton, Qt.MouseButton.RightButton
NONE, SHIFT, CONTROL = (
    Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.ControlModifier,
)

PRESS, RELEASE = QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease
DOUBLE, MOVE = QEvent.Type.MouseButtonDblClick, QEvent.Type.MouseMove
NO_BUTTON = Qt.MouseButton.NoButton


def type_letter(widget: QWidget, letter: str) -> None:
    """One letter."""
    key = ord(letter.upper()) if letter.isascii() else 0
    press_key(widget, key, NONE, letter)


def press_key(widget: QWidget, key: int, held: Qt.KeyboardModifier, text: str = "") -> None:
    """A key as Qt takes it: who has the keys may want it, else it may be a shortcut, else it is typed.

    WORKAROUND: posted and not sent. PySide6 6.11 on Python 3.11 ends the process when an override that
    Python calls through Qt fails in C code (an index out of range); called from Qt's own loop the
    failure comes to ``sys.excepthook`` as in the program.
    """
    text = text or (chr(key).lower() if 32 < key < 127 and held != CONTROL else "")
    wanted = QKeyEvent(QEvent.Type.ShortcutOverride, key, held, text)
    wanted.ignore()
    QApplication.sendEvent(widget, wanted)
    if not wanted.isAccepted() and not isinstance(widget, QLineEdit | QAbstractSpinBox | QPlainTextEdit):
        sequence = QKeySequence(QKeyCombination(held, Qt.Key(key))) if key else QKeySequence()
        for action in widget.window().findChildren(QAction):
            if key and sequence in action.shortcuts() and action.isEnabled():
                QTimer.singleShot(0, action.trigger)
                settle()
                return
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        QApplication.postEvent(widget, QKeyEvent(kind, key, held, text))
    settle()


def mouse(
    widget: QWidget, kind: QEvent.Type, spot: QPoint, button: Qt.MouseButton, held: Qt.KeyboardModifier = NONE
) -> None:
    """Press, release, double click or move at a spot of a widget."""
    at = QPointF(spot)
    moves, releases = kind == QEvent.Type.MouseMove, kind == QEvent.Type.MouseButtonRelease
    down = NO_BUTTON if releases else button
    which = NO_BUTTON if moves else button
    event = QMouseEvent(kind, at, widget.mapToGlobal(at), which, down, held)
    QApplication.postEvent(widget, event)
    settle()


def click(widget: QWidget, spot: QPoint, button: Qt.MouseButton = LEFT, held: Qt.KeyboardModifier = NONE) -> None:
    mouse(widget, PRESS, spot, button, held)
    if isValid(widget):
        mouse(widget, RELEASE, spot, button, held)


def settle() -> None:
    QApplication.processEvents()
