"""What stands where in the window: steps at the left, the plan and the strip, pages at the right, the foot."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QSplitter, QStackedWidget, QVBoxLayout, QWidget

from takeoff.language import tr
from takeoff.ui.document import Document
from takeoff.ui.panels.around_plan import StepsPanel, TopBar, TotalsPanel
from takeoff.ui.panels.card import CardPanel
from takeoff.ui.panels.page_parts import stacked
from takeoff.ui.panels.tool_row import ToolRow
from takeoff.ui.panels.wall_strip import WallStrip
from takeoff.ui.themes import Theme

Page = Callable[[], QWidget]

PAGES_PX, WIDEST_PX = 318, 640
"""Width of the pages at the right, at first and the least, and how wide they may be drawn."""

HANDLE_PX = 3


class Sides(QWidget):
    """Pages by id ("card", "drawing", "rooms" …), each made when it is first shown."""

    shown = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "right")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setMinimumWidth(PAGES_PX)
        self.setMaximumWidth(WIDEST_PX)
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
                    area.setAccessibleName(tr("Page"))
            self._stack.addWidget(made)
        return self._made[page_id]


_STRIP_SHARE = 0.2
_LOW_PX = 600
"""In a window lower than this the strip is away at first: the plan needs the height."""


def _scrolling(steps: QWidget) -> QScrollArea:
    """The steps, scrolled where a low window does not show them all."""
    scroll = QScrollArea()
    scroll.setAccessibleName(tr("Steps of the job"))
    scroll.setWidget(steps)
    scroll.setWidgetResizable(True)
    scroll.setFixedWidth(steps.width())
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return scroll


class Frame(QWidget):
    """The panels of a window, but for ``top``, which stands beside the menus.

    ``middle``: plan above strip; ``column``: what stands between steps and pages."""

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
        self.middle.setHandleWidth(HANDLE_PX)
        self.middle.addWidget(plan_view)
        self.middle.addWidget(self.strip)
        self.middle.setCollapsible(0, False)
        # the plan takes what a window grows by: what the user gave the others they keep
        self.middle.setStretchFactor(0, 1)
        self.middle.setStretchFactor(1, 0)
        between = QWidget()
        self.column = stacked(between, spacing=0)
        self.column.addWidget(self.tool_row)
        self.column.addWidget(self.middle, 1)
        self.across = QSplitter(Qt.Orientation.Horizontal)
        self.across.setHandleWidth(HANDLE_PX)
        self.across.setChildrenCollapsible(False)
        self.across.addWidget(between)
        self.across.addWidget(self.pages)
        self.across.setStretchFactor(0, 1)
        self.across.setStretchFactor(1, 0)
        across = QHBoxLayout()
        across.setSpacing(0)
        across.addWidget(_scrolling(self.steps))
        across.addWidget(self.across, 1)
        self._shared = False
        self.moved = False
        """Whether the user has moved a line between panels."""
        for splitter in (self.across, self.middle):
            splitter.splitterMoved.connect(self._has_moved)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(0)
        down.addLayout(across, 1)
        down.addWidget(self.totals)

    def share(self, height_px: int, strip_px: int = -1, pages_px: int = 0) -> None:
        """Strip and pages as the user left them, else their share of the window; only the first time, since
        afterwards the user moves the lines."""
        if self._shared:
            return
        self._shared = True
        tall = strip_px if strip_px >= 0 else 0 if height_px < _LOW_PX else int(height_px * _STRIP_SHARE)
        between = [0] * (self.middle.count() - 2)
        self.middle.setSizes([height_px - tall, *between, tall])
        wide = self.across.width()
        pages = max(pages_px, PAGES_PX)
        self.across.setSizes([max(wide - pages, 1), pages])

    def _has_moved(self) -> None:
        self.moved = True

    @property
    def shares(self) -> tuple[int, int]:
        """(height of the strip, width of the pages) as they are now, px."""
        return self.middle.sizes()[-1], self.across.sizes()[-1]

    def show_instead(self, panel: QWidget, shows: bool) -> None:
        """A panel of the column in the place of plan and strip, or these again."""
        panel.setVisible(shows)
        self.middle.setVisible(not shows)
        self.tool_row.setVisible(not shows)
