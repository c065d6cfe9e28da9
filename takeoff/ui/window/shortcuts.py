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

from takeoff.language import mark, tr
from takeoff.ui.actions import Action, Actions
from takeoff.ui.panels.page_parts import label, set_text

GESTURES: tuple[tuple[str, str], ...] = (
    (mark("Select what is under the mouse"), mark("Click")),
    (mark("Add to the selection, or take out of it"), mark("Shift or Ctrl with a click or a box")),
    (mark("Select everything in a box"), mark("Drag from a free place")),
    (mark("The menu of what is under the mouse"), mark("Right click, or the menu key for the selection")),
    (mark("Select many rows of a table"), mark("Shift or Ctrl with a click; Enter to set them all at once")),
    (mark("Zoom to the cursor"), mark("Wheel")),
    (mark("Zoom to what is under the mouse"), mark("Double click")),
    (mark("Move the plan about"), mark("Middle button, or Space with a drag")),
    (mark("Draw without snapping to lines"), mark("Ctrl with the mouse")),
    (mark("Type a length while drawing"), mark("Digits; Tab to the next number; Enter")),
    (mark("Cancel typing, then the current shape, then the tool"), mark("Escape")),
    (mark("Undo the last corner while drawing"), mark("Backspace")),
    (mark("Place copied rooms again and again"), mark("Shift with the click")),
    (mark("Open a menu"), mark("Alt with its underlined letter")),
    (mark("Go from field to field"), mark("Tab, and Shift+Tab back")),
    (mark("Page by page through the sheets"), mark("PgUp and PgDn on the preview")),
    (mark("Turn photos over"), mark("Left and Right")),
)
"""What is done with mouse and keys and stands in no menu: (what, how)."""

_ID, _WIDE, _TALL = Qt.ItemDataRole.UserRole, 640, 560


class ShortcutList(QDialog):
    """Opens over the window, closes when something was done."""

    def __init__(self, parent: QWidget, acts: Actions) -> None:
        super().__init__(parent)
        self._acts = acts
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("Actions and shortcuts"))
        self.resize(_WIDE, _TALL)
        self.field, self.list, self.note = QLineEdit(), QTreeWidget(), label("", "grey")
        self.field.setPlaceholderText(tr("Action, menu or key"))
        self.field.setAccessibleName(tr("Find an action"))
        self.field.installEventFilter(self)
        self.list.setAccessibleName(tr("Actions and their shortcuts"))
        self.list.setRootIsDecorated(False)
        self.list.setUniformRowHeights(True)
        self.list.setHeaderLabels([tr("What"), tr("Menu"), tr("Keys")])
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
        for what, how in ((tr(what), tr(how)) for what, how in GESTURES):
            if all(word in f"{what} {how}".casefold() for word in wanted):
                item = QTreeWidgetItem(self.list, [what, tr("Mouse and keys"), how])
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsSelectable)
        first = self.list.topLevelItem(0)
        set_text(self.note, tr("Press Enter to run it.") if first else tr("No such action."))
        if first is not None and first.data(0, _ID):
            self.list.setCurrentItem(first)

    def _add_action(self, row: Action) -> None:
        made = self._acts.q(row.id)
        native = QKeySequence.SequenceFormat.NativeText
        keys = ", ".join(QKeySequence(key).toString(native) for key in row.keys)
        item = QTreeWidgetItem(self.list, [row.text.rstrip("…"), tr(row.menu), keys])
        item.setData(0, _ID, row.id)
        item.setToolTip(0, row.tip or row.text)
        if not made.isEnabled():
            for column in range(3):
                item.setForeground(column, QColor(self.palette().placeholderText().color()))
            item.setToolTip(0, tr("{action} (not possible now)", action=row.tip or row.text))

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
            set_text(self.note, tr("This is not possible now. Select something first."))
            return
        self.close()
        self._acts.do(action)
