"""Every action with its shortcut, and what mouse and keys do besides; searchable."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QColor, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHeaderView,
    QLineEdit,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from takeoff.ui.actions import Action, Actions
from takeoff.ui.panels.page_parts import label, set_text

GESTURES: tuple[tuple[str, str], ...] = (
    ("Choose what is under the mouse", "Click"),
    ("Add to what is chosen, or take out of it", "Shift or Ctrl with a click or a box"),
    ("Choose all that lies in a box", "Drag from a free place"),
    ("The menu of what is under the mouse", "Right click, or the menu key for what is chosen"),
    ("Choose many rows of a table", "Shift or Ctrl with a click; Enter to set them together"),
    ("Zoom to the cursor", "Wheel"),
    ("Zoom to what is under the mouse", "Double click"),
    ("Move the plan about", "Middle button, or Space with a drag"),
    ("Fit the plan", "Double click of the middle button"),
    ("Draw without being drawn to lines", "Ctrl with the mouse"),
    ("Type a length while drawing", "Digits; Tab to the next number; Enter"),
    ("Take back what is typed, then what is begun, then lay the tool down", "Escape"),
    ("Undo the last corner while drawing", "Backspace"),
    ("Keep copied rooms in the hand", "Shift with the click"),
    ("Open a menu", "Alt with its underlined letter"),
    ("Go from field to field", "Tab, and Shift+Tab back"),
    ("Page by page through the sheets", "PgUp and PgDn on the preview"),
    ("Turn photos over", "Left and Right"),
)
"""What is done with mouse and keys and stands in no menu: (what, how)."""

_ID, _WIDE, _TALL = Qt.ItemDataRole.UserRole, 640, 560


class ShortcutList(QDialog):
    """Opens over the window, closes when something was done."""

    def __init__(self, parent: QWidget, acts: Actions) -> None:
        super().__init__(parent)
        self._acts = acts
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Actions and shortcuts")
        self.resize(_WIDE, _TALL)
        self.field, self.list, self.note = QLineEdit(), QTreeWidget(), label("", "grey")
        self.field.setPlaceholderText("What do you want to do?")
        self.field.setAccessibleName("Find an action")
        self.field.installEventFilter(self)
        self.list.setAccessibleName("Actions and their shortcuts")
        self.list.setRootIsDecorated(False)
        self.list.setUniformRowHeights(True)
        self.list.setHeaderLabels(["What", "Menu", "Keys"])
        self.list.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.list.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        for column in (1, 2):
            self.list.header().setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        self.list.header().setStretchLastSection(False)
        self.field.textChanged.connect(self.refresh)
        self.field.returnPressed.connect(self._do)
        self.list.itemActivated.connect(self._do)
        layout = QVBoxLayout(self)
        layout.addWidget(self.field)
        layout.addWidget(self.list)
        layout.addWidget(self.note)
        self.refresh("")

    def refresh(self, words: str) -> None:
        """List what the words find: actions first, then what mouse and keys do."""
        self.list.clear()
        wanted = words.casefold().split()
        for row in self._acts.find(words):
            self._add_action(row)
        for what, how in GESTURES:
            if all(word in f"{what} {how}".casefold() for word in wanted):
                item = QTreeWidgetItem(self.list, [what, "Mouse and keys", how])
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsSelectable)
        first = self.list.topLevelItem(0)
        set_text(self.note, "Enter does what is marked." if first else "Nothing of that name can be done.")
        if first is not None and first.data(0, _ID):
            self.list.setCurrentItem(first)

    def _add_action(self, row: Action) -> None:
        made = self._acts.q(row.id)
        native = QKeySequence.SequenceFormat.NativeText
        keys = ", ".join(QKeySequence(key).toString(native) for key in row.keys)
        item = QTreeWidgetItem(self.list, [row.text.rstrip("…"), row.menu, keys])
        item.setData(0, _ID, row.id)
        item.setToolTip(0, row.tip or row.text)
        if not made.isEnabled():
            for column in range(3):
                item.setForeground(column, QColor(self.palette().placeholderText().color()))
            item.setToolTip(0, f"{row.tip or row.text} (not possible now)")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """The arrows move in the list while the field is typed into."""
        if (
            isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)
        ):
            self.list.keyPressEvent(event)
            return True
        return super().eventFilter(watched, event)

    def _do(self) -> None:
        item = self.list.currentItem()
        action = item.data(0, _ID) if item is not None else None
        if not action:
            return
        if not self._acts.q(action).isEnabled():
            set_text(self.note, "This cannot be done now: choose what it is for first.")
            return
        self.close()
        self._acts.do(action)
