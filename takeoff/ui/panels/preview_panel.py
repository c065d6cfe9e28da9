"""The sheets before they are written, in the place of the plan: pages, which of them, how large."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from takeoff.ui.panels.fields import small_button
from takeoff.ui.panels.pages_view import ZOOM_STEP, PagesView
from takeoff.ui.panels.words import label, set_text
from takeoff.ui.themes import Theme


class PreviewPanel(QWidget):
    """The pages, and a line over them."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.view = PagesView(theme)
        self.title, self.where = label("", "heading"), label("", "grey")
        self.wrong = label("", "urgent", wrap=True)
        self.wrong.hide()
        row = QHBoxLayout()
        row.setContentsMargins(18, 6, 14, 6)
        row.setSpacing(8)
        row.addWidget(self.title)
        row.addWidget(self.where)
        row.addStretch(1)
        for word, tip, do in (
            ("Previous", "Page before (PgUp)", self._before),
            ("Next", "Next page (PgDn)", self._after),
            ("−", "Smaller (Ctrl+−)", self._smaller),
            ("+", "Larger (Ctrl++)", self._larger),
            ("Fit", "As wide as the window", self.view.fit),
        ):
            button = small_button(word, tip)
            button.clicked.connect(do)
            row.addWidget(button)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(0)
        down.addLayout(row)
        down.addWidget(self.wrong)
        down.addWidget(self.view, 1)
        self.view.page_changed.connect(self._show_page)

    def say(self, title: str, wrong: str = "") -> None:
        """Whose sheets these are, and why there are none."""
        set_text(self.title, title)
        set_text(self.wrong, wrong)
        self.wrong.setVisible(bool(wrong))
        self.wrong.setContentsMargins(18, 0, 18, 8)

    def _show_page(self, page: int) -> None:
        set_text(self.where, f"page {page + 1} of {self.view.count}" if self.view.count else "")

    def _before(self) -> None:
        self.view.go_to(self.view.page - 1)

    def _after(self) -> None:
        self.view.go_to(self.view.page + 1)

    def _smaller(self) -> None:
        self.view.zoom(1.0 / ZOOM_STEP)

    def _larger(self) -> None:
        self.view.zoom(ZOOM_STEP)
