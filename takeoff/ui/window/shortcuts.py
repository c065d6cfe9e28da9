"""Every action with its shortcut, searchable; Enter or a double click does it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QDialog, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from takeoff.ui.actions import Actions


class ShortcutList(QDialog):
    """Opens over the window, closes when something was done."""

    def __init__(self, parent: QWidget, acts: Actions) -> None:
        super().__init__(parent)
        self._acts = acts
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Actions and shortcuts")
        self.resize(520, 520)
        self.field, self.list = QLineEdit(), QListWidget()
        self.field.setPlaceholderText("What do you want to do?")
        self.field.setAccessibleName("Find an action")
        self.list.setAccessibleName("Actions")
        self.field.textChanged.connect(self.refresh)
        self.field.returnPressed.connect(self._do)
        self.list.itemActivated.connect(self._do)
        layout = QVBoxLayout(self)
        layout.addWidget(self.field)
        layout.addWidget(self.list)
        self.refresh("")

    def refresh(self, words: str) -> None:
        """List the actions that the words find."""
        self.list.clear()
        for row in self._acts.find(words):
            made = self._acts.q(row.id)
            native = QKeySequence.SequenceFormat.NativeText
            keys = ", ".join(QKeySequence(key).toString(native) for key in row.keys)
            item = QListWidgetItem(f"{row.menu}: {row.text.rstrip('…')}" + (f"    {keys}" if keys else ""))
            item.setData(Qt.ItemDataRole.UserRole, row.id)
            if not made.isEnabled():
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEnabled)
            self.list.addItem(item)
        if self.list.count():
            self.list.setCurrentRow(0)

    def _do(self) -> None:
        item = self.list.currentItem()
        if item is not None:
            action = item.data(Qt.ItemDataRole.UserRole)
            self.close()
            self._acts.do(action)
