"""Every question and every notice of the window. Tests put their own ``Messages`` in with ``use``.

Answers are keys, never positions; closing a question gives its last answer, so put the harmless
one last.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtWidgets import QFileDialog, QMessageBox, QPushButton, QWidget

from takeoff.language import tr

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter


class Messages(Protocol):
    """What can be asked. ``answers``: (key, words) pairs."""

    def tell(self, parent: QWidget | None, sentence: str, details: str = "") -> None: ...

    def ask(self, parent: QWidget | None, sentence: str, answers: Sequence[tuple[str, str]]) -> str: ...

    def file_to_open(self, parent: QWidget | None, title: str, kinds: str) -> Path | None: ...

    def files_to_open(self, parent: QWidget | None, title: str, kinds: str) -> tuple[Path, ...]: ...

    def file_to_save(self, parent: QWidget | None, title: str, kinds: str, name: str) -> Path | None: ...

    def folder(self, parent: QWidget | None, title: str) -> Path | None: ...

    def printer(self, parent: QWidget | None, printer: QPrinter) -> bool: ...


class Boxes:
    """Asks in Qt's own boxes."""

    def tell(self, parent: QWidget | None, sentence: str, details: str = "") -> None:
        """Say one sentence and wait until it was read."""
        box = QMessageBox(QMessageBox.Icon.NoIcon, "Takeoff", sentence, parent=parent)
        box.setDetailedText(details)
        box.exec()

    def ask(self, parent: QWidget | None, sentence: str, answers: Sequence[tuple[str, str]]) -> str:
        """The key of the chosen answer; of the last one when the box was closed."""
        box = QMessageBox(QMessageBox.Icon.NoIcon, "Takeoff", sentence, parent=parent)
        buttons: dict[str, QPushButton] = {}
        for number, (key, words) in enumerate(answers):
            last = number == len(answers) - 1
            role = QMessageBox.ButtonRole.RejectRole if last else QMessageBox.ButtonRole.AcceptRole
            buttons[key] = box.addButton(words, role)
        box.setEscapeButton(buttons[answers[-1][0]])
        box.exec()
        clicked = box.clickedButton()
        return next((key for key, button in buttons.items() if button is clicked), answers[-1][0])

    def file_to_open(self, parent: QWidget | None, title: str, kinds: str) -> Path | None:
        """The chosen file; None when the user thought better of it."""
        name, _ = QFileDialog.getOpenFileName(parent, title, "", kinds)
        return Path(name) if name else None

    def files_to_open(self, parent: QWidget | None, title: str, kinds: str) -> tuple[Path, ...]:
        """The chosen files; none when the user thought better of it."""
        names, _ = QFileDialog.getOpenFileNames(parent, title, "", kinds)
        return tuple(Path(name) for name in names)

    def file_to_save(self, parent: QWidget | None, title: str, kinds: str, name: str) -> Path | None:
        """Where to write; None when the user thought better of it."""
        chosen, _ = QFileDialog.getSaveFileName(parent, title, name, kinds)
        return Path(chosen) if chosen else None

    def folder(self, parent: QWidget | None, title: str) -> Path | None:
        """The chosen folder; None when the user thought better of it."""
        name = QFileDialog.getExistingDirectory(parent, title)
        return Path(name) if name else None

    def printer(self, parent: QWidget | None, printer: QPrinter) -> bool:
        """Whether to print, with the printer and its pages chosen in Qt's own box."""
        from PySide6.QtPrintSupport import QPrintDialog

        dialog = QPrintDialog(printer, parent)
        return dialog.exec() == QPrintDialog.DialogCode.Accepted


def in_words(answers: Sequence[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Answers of a table, whose words are messages, as the user reads them."""
    return tuple((key, tr(words)) for key, words in answers)


_current: Messages = Boxes()


def use(messages: Messages) -> Messages:
    """Ask through these from now on; returns those that were used before."""
    global _current
    before, _current = _current, messages
    return before


def current() -> Messages:
    """Through what the window asks now."""
    return _current
