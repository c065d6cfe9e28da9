"""The pages of a PDF as small pictures; a click reads another one."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QIcon, QImage, QPixmap
from PySide6.QtWidgets import QGridLayout, QSpinBox, QToolButton, QVBoxLayout, QWidget

from takeoff.services.opening import MOST_SHOWN, Thumbnail
from takeoff.ui.panels.words import empty, label, set_text

_WIDE_PX, _TALL_PX = 118, 118
_ACROSS = 2


class PagesSection(QWidget):
    """Shown for a PDF of several pages only."""

    chosen = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.title, self.note = label("", "heading"), label("", "grey", wrap=True)
        self.buttons: dict[int, QToolButton] = {}
        self._grid = QGridLayout()
        self._grid.setSpacing(6)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.addWidget(self.title)
        down.addWidget(self.note)
        down.addLayout(self._grid)
        self.number = QSpinBox()
        self.number.setPrefix("Page ")
        self.number.setAccessibleName("Another page by its number")
        self.number.setToolTip("Type the number of another page and press Enter")
        self.number.setKeyboardTracking(False)
        self.number.lineEdit().returnPressed.connect(self._typed)
        down.addWidget(self.number)
        self.hide()

    def show_pages(self, page: int, pages: int) -> None:
        """Say which page is read; the small pictures come a little later."""
        self.setVisible(pages > 1)
        self.number.setRange(1, max(1, pages))
        self.number.setValue(page)
        self.number.setVisible(pages > MOST_SHOWN)
        set_text(self.title, f"Page {page} of {pages}")
        set_text(self.note, "Another page? Click it.")
        self.buttons.clear()
        empty(self._grid)

    def show_thumbnails(self, shown: Sequence[Thumbnail], page: int) -> None:
        """Show the pages; the one that is read is marked."""
        self.buttons.clear()
        empty(self._grid)
        for number, thumb in enumerate(shown):
            button = self._button(thumb, thumb.page == page)
            self.buttons[thumb.page] = button
            self._grid.addWidget(button, number // _ACROSS, number % _ACROSS)

    def _button(self, thumb: Thumbnail, read: bool) -> QToolButton:
        image = QImage(thumb.rgb, thumb.width_px, thumb.height_px, 3 * thumb.width_px, QImage.Format.Format_RGB888)
        button = QToolButton()
        button.setProperty("part", "page-button")
        button.setIcon(QIcon(QPixmap.fromImage(image)))
        button.setIconSize(QSize(_WIDE_PX - 8, _TALL_PX - 30))
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
        lines = f"{thumb.lines:,} lines" if thumb.lines else "no lines"
        button.setText(f"{thumb.page}" + (" (this one)" if read else ""))
        button.setToolTip(f"Page {thumb.page}: {lines}")
        button.setAccessibleName(f"Page {thumb.page}, {lines}" + (", read now" if read else ""))
        button.setFixedSize(_WIDE_PX, _TALL_PX)
        button.setCheckable(True)
        button.setChecked(read)
        button.setProperty("page", thumb.page)
        button.clicked.connect(self._clicked)
        return button

    def _typed(self) -> None:
        self.chosen.emit(self.number.value())

    def _clicked(self) -> None:
        button = self.sender()
        page = button.property("page") if button is not None else None
        if isinstance(page, int):
            self.chosen.emit(page)
