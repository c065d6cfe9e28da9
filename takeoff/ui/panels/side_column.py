"""The column at the right: one page for each step, and the card of what is chosen."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QScrollArea, QStackedWidget, QVBoxLayout, QWidget

Page = Callable[[], QWidget]

WIDTH_PX = 290


class Sides(QWidget):
    """Pages by id ("card", "drawing", "rooms" …), each made when it is first shown."""

    shown = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "right")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedWidth(WIDTH_PX)
        self._stack = QStackedWidget()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(1, 0, 0, 0)
        layout.addWidget(self._stack)
        self._pages: dict[str, Page] = {}
        self._made: dict[str, QWidget] = {}
        self.current = ""

    def register(self, page_id: str, page: Page) -> None:
        """Tell how a page is made. Raises ValueError for an id that is taken."""
        if page_id in self._pages:
            raise ValueError(f"two pages are called {page_id}")
        self._pages[page_id] = page

    def pages(self) -> tuple[str, ...]:
        """The ids of all pages."""
        return tuple(self._pages)

    def has(self, page_id: str) -> bool:
        """Whether there is a page of that id."""
        return page_id in self._pages

    def show_page(self, page_id: str) -> None:
        """Bring a page up; made now if it was never shown. Raises KeyError for an unknown id."""
        self._stack.setCurrentWidget(self.page(page_id))
        if self.current != page_id:
            self.current = page_id
            self.shown.emit(page_id)

    def page(self, page_id: str) -> QWidget:
        """The widget of a page, made if it was not yet."""
        if page_id not in self._made:
            made = self._made[page_id] = self._pages[page_id]()
            for area in made.findChildren(QScrollArea):
                # what scrolls takes the keys that scroll it, so it must have a name
                if not area.accessibleName():
                    area.setAccessibleName(f"Page {page_id}")
            self._stack.addWidget(made)
        return self._made[page_id]
