"""What a user does who does anything at all, each act from plain values, so that it can be done again."""

from __future__ import annotations

from typing import Any, NamedTuple

from posted import (
    DOUBLE,
    LEFT,
    MIDDLE,
    MOVE,
    NO_BUTTON,
    NONE,
    PRESS,
    RELEASE,
    RIGHT,
    click,
    mouse,
    press_key,
    settle,
    type_letter,
)
from PySide6.QtCore import QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)
from shiboken6 import isValid

from takeoff.ui.document import Ref
from takeoff.ui.panels.system_page import SystemPage
from takeoff.ui.window.main_window import MainWindow

MOST_DRAWINGS = 3


class Event(NamedTuple):
    """Something the monkey did: enough to do it again."""

    kind: str
    args: tuple[Any, ...]


class Acts:
    """Does them in one window."""

    def __init__(self, window: MainWindow) -> None:
        self.window = window

    def act(self, event: Event) -> None:
        """Do it."""
        getattr(self, f"_act_{event.kind}")(*event.args)

    def _act_undo(self, times: int) -> None:
        for _ in range(times):
            self.window.document.stack.undo()

    def _act_redo(self, times: int) -> None:
        for _ in range(times):
            self.window.document.stack.redo()

    def _act_action(self, name: str) -> None:
        self.window.acts.do(name)

    def _act_mouse(self, way: str, held: int, points: tuple[tuple[float, float], ...]) -> None:
        view = self.window.plan.view
        port, keys = view.viewport(), Qt.KeyboardModifier(held)
        spots = [view.spot(point) for point in points]
        # a mouse stays within the window
        spots = [QPoint(min(max(s.x(), 0), port.width() - 1), min(max(s.y(), 0), port.height() - 1)) for s in spots]
        if way == "click":
            mouse(port, MOVE, spots[0], NO_BUTTON)
            click(port, spots[0], LEFT, keys)
        elif way == "double":
            click(port, spots[0], LEFT, keys)
            # asked for anew: the binding gives up its wrapper of a viewport now and then, though the viewport lives
            mouse(view.viewport(), DOUBLE, spots[0], LEFT, keys)
            mouse(view.viewport(), RELEASE, spots[0], LEFT, keys)
        elif way == "right":
            click(port, spots[0], RIGHT, keys)
        elif way == "move":
            for spot in spots:
                mouse(port, MOVE, spot, NO_BUTTON)
        else:
            button = MIDDLE if way == "pan" else LEFT
            mouse(view.viewport(), PRESS, spots[0], button, keys)
            for spot in spots[1:]:
                mouse(view.viewport(), MOVE, (spots[0] + spot) / 2, button)
                mouse(view.viewport(), MOVE, spot, button)
            mouse(view.viewport(), RELEASE, spots[-1], button, keys)

    def _act_key(self, how: str, key: int, held: int) -> None:
        press_key(self._keys_go_to(), key, Qt.KeyboardModifier(held))

    def _act_type(self, how: str, text: str, enter: bool) -> None:
        for letter in text:
            # each goes where the keys go now: a widget may be gone after the letter before
            type_letter(self._keys_go_to(), letter)
        if enter:
            press_key(self._keys_go_to(), Qt.Key.Key_Return, NONE)

    def _keys_go_to(self) -> QWidget:
        view = self.window.plan.view
        focus = QApplication.focusWidget()
        return focus if focus is not None and self.window.isAncestorOf(focus) else view

    def _act_strip(self, way: str, spots: tuple[tuple[int, int], ...]) -> None:
        faces = self.window.strip.faces
        first, last = (QPoint(*spot) for spot in spots)
        if way == "drag":
            mouse(faces, PRESS, first, LEFT)
            mouse(faces, MOVE, last, LEFT)
            mouse(faces, RELEASE, last, LEFT)
        elif way == "double":
            mouse(faces, DOUBLE, first, LEFT)
        else:
            click(faces, first)

    def _act_widget(self, number: int, called: str, text: str, x: float, y: float) -> None:
        widgets = clickable(self.window)
        same = [w for w in widgets if words_of(w) == called]
        widget = widgets[number] if number < len(widgets) and words_of(widgets[number]) == called else None
        widget = widget or (same[0] if same else None)
        if widget is None:
            return
        if isinstance(widget, QAbstractButton):
            # not widget.click(): see press_key
            QTimer.singleShot(0, widget.click)
            settle()
        elif isinstance(widget, QComboBox):
            index = int(x * widget.count())
            if widget.count():
                widget.setCurrentIndex(index)
                widget.activated.emit(index)
        elif isinstance(widget, QAbstractItemView):
            port = widget.viewport()
            spot = QPoint(int(x * port.width()), int(y * port.height()))
            click(port, spot)
            if y > 0.8 and isValid(port):
                mouse(port, DOUBLE, spot, LEFT)
        else:
            widget.setFocus()
            if isinstance(widget, QLineEdit):
                widget.selectAll()
            for letter in text:
                if isValid(widget):
                    type_letter(widget, letter)
            if isValid(widget):
                press_key(widget, Qt.Key.Key_Escape if y < 0.2 else Qt.Key.Key_Return, NONE)

    def _act_wheel(self, at: tuple[float, float], turn: int) -> None:
        view = self.window.plan.view
        spot = QPointF(view.spot(at))
        view.wheelEvent(
            QWheelEvent(
                spot,
                spot,
                QPoint(),
                QPoint(0, turn),
                Qt.MouseButton.NoButton,
                NONE,
                Qt.ScrollPhase.NoScrollPhase,
                False,
            )
        )

    def _act_choose(self, part: float, step: int) -> None:
        if part < 0.2:
            self.window.document.choose(())
        else:
            self.window.plan.choose_next(step - 2)

    def _act_rename(self, part: float, text: str) -> None:
        document = self.window.document
        rooms = [room for storey in document.job.storeys for room in storey.rooms]
        if rooms:
            document.choose((Ref("room", str(rooms[int(part * len(rooms))].id)),))
            self._do_if_it_can("rename-room")
            self._act_type("type", text, True)

    def _act_kinds(self, keys: tuple[tuple[int, int], ...]) -> None:
        self._do_if_it_can("check-proposals")
        for key, held in keys:
            press_key(self._keys_go_to(), key, Qt.KeyboardModifier(held))

    def _act_walk(self, acts: tuple[tuple[str, int, int], ...]) -> None:
        self._do_if_it_can("first-pass")
        for text, key, held in acts:
            # a step that is done leads on to the next a moment later
            settle()
            self._act_type("type", text, False)
            press_key(self._keys_go_to(), key, Qt.KeyboardModifier(held))

    def _act_add(self) -> None:
        if len(self.window.document.job.drawings) < MOST_DRAWINGS:
            self._do_if_it_can("add-drawing")

    def _act_lay(self, points: tuple[tuple[float, float], ...]) -> None:
        self._do_if_it_can("lay-over")
        for point in points:
            self._act_mouse("click", NONE.value, (point,))

    def _act_system(self, part: float, what: str) -> None:
        self._do_if_it_can("system")
        page = self.window.sides.page("system")
        assert isinstance(page, SystemPage)
        index = int(part * page.choice.count())
        page.choice.setCurrentIndex(index)
        page.choice.activated.emit(index)
        if page.buttons[what].isEnabled():
            QTimer.singleShot(0, page.buttons[what].click)
            settle()

    def _do_if_it_can(self, name: str) -> None:
        if self.window.acts.q(name).isEnabled():
            self.window.acts.do(name)


def clickable(window: MainWindow) -> list[QWidget]:
    """Everything beside the canvas that can be clicked, chosen or typed in now."""
    kinds = (QAbstractButton, QComboBox, QLineEdit, QAbstractSpinBox, QAbstractItemView, QPlainTextEdit)
    found = [
        w
        for w in window.findChildren(QWidget)
        if isinstance(w, kinds) and w.isVisible() and w.isEnabled() and not within_field(w) and not seldom(w)
    ]
    return sorted(found, key=lambda w: (type(w).__name__, words_of(w)))


def words_of(widget: QWidget) -> str:
    text = widget.text() if isinstance(widget, QAbstractButton) else ""
    return f"{type(widget).__name__}:{widget.accessibleName() or widget.objectName() or text}"


def within_field(widget: QWidget) -> bool:
    """A part of another field: the line of a spin box, the arrow of a combo box."""
    parent = widget.parentWidget()
    return isinstance(parent, QComboBox | QAbstractSpinBox | QLineEdit)


def seldom(widget: QWidget) -> bool:
    """The button that writes the sheets is an action of the table too."""
    return isinstance(widget, QAbstractButton) and widget.text() == "Sheets"
