"""What stands where in the window: steps at the left, the plan and the strip, pages at the right, the foot."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QSplitter, QStackedWidget, QVBoxLayout, QWidget

from takeoff.ui.document import Document
from takeoff.ui.panels.around_plan import StepsPanel, TopBar, TotalsPanel
from takeoff.ui.panels.card import CardPanel
from takeoff.ui.panels.tool_row import ToolRow
from takeoff.ui.panels.wall_strip import WallStrip
from takeoff.ui.themes import Theme

Page = Callable[[], QWidget]

PAGES_PX = 290


class Sides(QWidget):
    """Pages by id ("card", "drawing", "rooms" …), each made when it is first shown."""

    shown = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "right")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedWidth(PAGES_PX)
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


_STRIP_SHARE = 0.22


class Frame(QWidget):
    """The panels of a window. ``middle``: plan above strip; ``column``: what stands between steps and pages."""

    def __init__(self, document: Document, theme: Theme, plan_view: QWidget) -> None:
        super().__init__()
        self.steps = StepsPanel(document)
        self.top = TopBar(document)
        self.totals = TotalsPanel(document)
        self.strip = WallStrip(document, theme)
        self.tool_row = ToolRow()
        self.pages = Sides()
        self.card = CardPanel(document)
        self.pages.register("card", lambda: self.card)
        self.pages.show_page("card")
        self.middle = QSplitter(Qt.Orientation.Vertical)
        self.middle.setHandleWidth(1)
        self.middle.setChildrenCollapsible(False)
        self.middle.addWidget(plan_view)
        self.middle.addWidget(self.strip)
        self.middle.setStretchFactor(0, 4)
        self.middle.setStretchFactor(1, 1)
        across = QHBoxLayout()
        across.setSpacing(0)
        across.addWidget(self.steps)
        self.column = QVBoxLayout()
        self.column.setSpacing(0)
        self.column.addWidget(self.tool_row)
        self.column.addWidget(self.middle, 1)
        across.addLayout(self.column, 1)
        across.addWidget(self.pages)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(0)
        down.addWidget(self.top)
        down.addLayout(across, 1)
        down.addWidget(self.totals)

    def share(self, height_px: int) -> None:
        """The strip takes its share of the height; afterwards the user moves the line."""
        tall = int(height_px * _STRIP_SHARE)
        between = [0] * (self.middle.count() - 2)
        self.middle.setSizes([height_px - tall, *between, tall])

    def show_instead(self, panel: QWidget, shows: bool) -> None:
        """A panel of the column in the place of plan and strip, or these again."""
        panel.setVisible(shows)
        self.middle.setVisible(not shows)
        self.tool_row.setVisible(not shows)
