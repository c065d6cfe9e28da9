"""What stands where in the window: steps at the left, the plan and the strip, pages at the right, the foot."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QSplitter, QVBoxLayout, QWidget

from takeoff.ui.document import Document
from takeoff.ui.panels.card import CardPanel
from takeoff.ui.panels.side_column import Sides
from takeoff.ui.panels.steps import StepsPanel
from takeoff.ui.panels.tool_row import ToolRow
from takeoff.ui.panels.top_and_foot import TopBar, TotalsPanel
from takeoff.ui.panels.wall_strip import WallStrip
from takeoff.ui.themes import Theme

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
