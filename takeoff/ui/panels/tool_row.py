"""Above the plan: the tools, one word each, the one in hand marked. What does not fit is under "More"."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLayout, QMenu, QSizePolicy, QToolButton, QWidget

from takeoff.language import tr

HEIGHT_PX = 35


class ToolRow(QWidget):
    """Buttons of actions in groups. What stands last goes under "More" first where the window is narrow:
    tools that are seldom wanted stand there."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "tools")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setAccessibleName(tr("Tools"))
        self.setFixedHeight(HEIGHT_PX)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setMinimumWidth(1)
        self.buttons: dict[str, QToolButton] = {}
        self._usual: list[QWidget] = []
        self._seldom: list[QWidget] = []
        self.more = _button(tr("More"))
        self.more.setCheckable(True)
        self.more.setToolTip(tr("More tools"))
        self.more.setAccessibleName(tr("More tools"))
        self.more.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self._menu = QMenu(self.more)
        self.more.setMenu(self._menu)
        self._layout = QHBoxLayout(self)
        self._layout.setContentsMargins(10, 0, 10, 0)
        self._layout.setSpacing(2)
        self._layout.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        self._layout.addWidget(self.more)
        self._layout.addStretch(1)
        self.hide()

    def add(self, *actions: QAction, words: tuple[str, ...], seldom: bool = False) -> None:
        """A group of tools more: an action each, and the word on its button."""
        group = self._seldom if seldom else self._usual
        made: list[QWidget] = [_upright()] if self._usual else []
        for action, word in zip(actions, words, strict=True):
            action.setIconText(word)
            button = _button(word)
            button.setDefaultAction(action)
            keys = action.shortcut().toString()
            button.setToolTip(f"{action.toolTip()} ({keys})" if keys else action.toolTip())
            button.setAccessibleName(action.text())
            action.toggled.connect(self._mark_more)
            self.buttons[action.objectName()] = button
            made.append(button)
        for widget in made:
            group.append(widget)
            at = len(self._usual) + len(self._seldom) if seldom else len(self._usual)
            self._layout.insertWidget(at - 1, widget)
        for before, after in pairwise(self._widgets):
            QWidget.setTabOrder(before, after)
        self.show()
        self.fit()

    @property
    def _widgets(self) -> list[QWidget]:
        """All buttons and the lines between groups, as they stand."""
        return [*self._usual, *self._seldom]

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Show as many tools as there is room for."""
        super().resizeEvent(event)
        self.fit()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Other letters or paddings take other widths."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.StyleChange, QEvent.Type.FontChange):
            self.fit()

    def fit(self) -> None:
        """Show as many tools as there is room for; the others are under "More"."""
        margins, gap = self._layout.contentsMargins(), self._layout.spacing()
        room = self.width() - margins.left() - margins.right()
        widgets = self._widgets
        for widget in (*widgets, self.more):
            # a button that was never shown does not know its padding yet
            widget.ensurePolished()
        widths = [max(widget.sizeHint().width(), widget.minimumWidth()) + gap for widget in widgets]
        if sum(widths) > room:
            room -= self.more.sizeHint().width() + gap
        used, fits = 0, True
        self._menu.clear()
        for widget, width in zip(widgets, widths, strict=True):
            used += width
            fits = fits and used <= room
            widget.setVisible(fits)
            if not fits and isinstance(widget, QToolButton):
                self._menu.addAction(widget.defaultAction())
            elif not fits and not self._menu.isEmpty():
                self._menu.addSeparator()
        self.more.setVisible(not self._menu.isEmpty())
        self._mark_more()

    def _mark_more(self, on: bool = False) -> None:
        del on
        self.more.setChecked(any(action.isChecked() for action in self._menu.actions()))


def _button(word: str) -> QToolButton:
    button = QToolButton()
    button.setProperty("part", "tool")
    button.setText(word)
    button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
    button.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
    button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    return button


def _upright() -> QFrame:
    line = QFrame()
    line.setProperty("part", "upright")
    line.setFixedSize(9, 18)
    return line
