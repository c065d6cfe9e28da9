"""Actions as a table. Menus, tool bars, shortcuts and the searchable list are all made from it.

To add one: a row in a table of ``Action`` values, given to ``Actions.add``. ``enabled`` is asked again
whenever the document says that something changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import msgspec
from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QMenuBar, QWidget
from shiboken6 import isValid

from takeoff.language import tr
from takeoff.ui.document import Document


def always() -> bool:
    """An action that can always be done."""
    return True


class Action(msgspec.Struct, frozen=True):
    """``text`` is a verb in the trade's words, said already; ``menu`` is where it stands, by its name in English;
    ``keys`` portable Qt text.

    ``checked`` makes it an action with a tick; it is asked like ``enabled``. ``names`` says what exactly it would
    do, which then stands behind its text: "Undo: Place a window".
    """

    id: str
    menu: str
    text: str
    do: Callable[[], object]
    keys: tuple[str, ...] = ()
    enabled: Callable[[], bool] = always
    checked: Callable[[], bool] | None = None
    tip: str = ""
    group: int = 0
    names: Callable[[], str] | None = None


class Actions(QObject):
    """The window's actions by id."""

    def __init__(self, document: Document, window: QWidget) -> None:
        super().__init__(window)
        self._document, self._window = document, window
        self._rows: dict[str, Action] = {}
        self._made: dict[str, QAction] = {}
        self._menus: dict[str, QMenu] = {}
        document.opened.connect(self.refresh)
        document.changed.connect(self._listen)
        document.chosen_changed.connect(self._listen)
        document.saved_changed.connect(self.refresh)
        document.stack.indexChanged.connect(self.refresh)

    def add(self, rows: Iterable[Action]) -> None:
        """Make these actions. Raises ValueError for an id or a shortcut that is taken."""
        added = tuple(rows)
        for row in added:
            if row.id in self._rows:
                raise ValueError(f"two actions are called {row.id}")
            taken = {keys for other in self._rows.values() for keys in other.keys}
            if taken & set(row.keys):
                raise ValueError(f"two actions have the shortcut {taken & set(row.keys)}")
            self._rows[row.id] = row
            self._made[row.id] = self._make(row)
        self._ask(added)

    def rows(self) -> tuple[Action, ...]:
        """Every action in the order in which they were added."""
        return tuple(self._rows.values())

    def q(self, action_id: str) -> QAction:
        """Qt's side of an action, for menus and buttons. Raises KeyError for an unknown id."""
        return self._made[action_id]

    def do(self, action_id: str) -> None:
        """Do an action now, if it can be done."""
        self._made[action_id].trigger()

    def find(self, words: str) -> tuple[Action, ...]:
        """Actions whose text, menu or shortcut holds every word; all of them for no words."""
        wanted = words.casefold().split()
        return tuple(
            row
            for row in self._rows.values()
            if all(word in f"{row.text} {tr(row.menu)} {row.tip} {' '.join(row.keys)}".casefold() for word in wanted)
        )

    def fill(self, bar: QMenuBar, order: Iterable[str]) -> None:
        """One menu for each name in ``order`` that has actions, with these in groups."""
        for name in order:
            if not any(row.menu == name for row in self._rows.values()):
                continue
            self._menus[name] = bar.addMenu(_underlined(tr(name), self._menus.values()))
            self.fill_menu(self._menus[name], name)

    def menu(self, name: str) -> QMenu:
        """A menu of the bar. Raises KeyError for one that is not there."""
        return self._menus[name]

    def fill_menu(self, menu: QMenu, name: str) -> None:
        """The actions of one menu, groups parted by lines."""
        last: int | None = None
        for row in sorted((r for r in self._rows.values() if r.menu == name), key=lambda r: r.group):
            if last is not None and row.group != last:
                menu.addSeparator()
            menu.addAction(self._made[row.id])
            last = row.group

    def refresh(self) -> None:
        """Ask every action whether it can be done now."""
        if not isValid(self._document.stack):
            # a stack that is being taken down with its window empties itself, and says so
            return
        self._ask(self._rows.values())

    def _ask(self, rows: Iterable[Action]) -> None:
        for row in rows:
            made = self._made[row.id]
            made.setEnabled(row.enabled())
            if row.checked is not None:
                made.setChecked(row.checked())
            if row.names is not None:
                said = row.names()
                made.setText(tr("{action}: {said}", action=row.text, said=said) if said else row.text)

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

    def _make(self, row: Action) -> QAction:
        made = QAction(row.text, self)
        made.setObjectName(row.id)
        made.setShortcuts([QKeySequence(keys) for keys in row.keys])
        made.setToolTip(row.tip or row.text)
        if row.checked is not None:
            made.setCheckable(True)
        made.triggered.connect(_Doer(row, made, self).run)
        self._window.addAction(made)
        return made


def _underlined(name: str, menus: Iterable[QMenu]) -> str:
    """A menu's title with the first letter underlined that no other menu has, so that Alt and it open the
    menu: "&File", "He&lp" beside "&Heights"."""
    taken = {menu.title().partition("&")[2][:1].casefold() for menu in menus}
    at = next((k for k, letter in enumerate(name) if letter.casefold() not in taken), None)
    return name if at is None else f"{name[:at]}&{name[at:]}"


class _Doer(QObject):
    """Does one action: a bound method of an owned QObject, which Qt keeps and lets go of rightly."""

    def __init__(self, row: Action, made: QAction, owner: Actions) -> None:
        super().__init__(made)
        self._row, self._owner = row, owner

    def run(self) -> None:
        """Do it, then ask every action again."""
        self._row.do()
        self._owner.refresh()
