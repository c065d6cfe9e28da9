"""Sheets on a printer, page by page beside the window, at the very scale that stands on them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QMarginsF, QObject, QRectF, QSizeF, Signal
from PySide6.QtGui import QImage, QPageLayout, QPageSize, QPainter

from takeoff.language import percent, tr, tr_count
from takeoff.services.written.preview import POINTS_PER_INCH, PagePicture, Sheets, page_picture

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

FINEST_DPI = 300
"""Plans are lines of a tenth of a mm and more: finer takes time and ink and shows nothing more."""

Beside = Callable[[Callable[[], Any], Callable[[Any], None]], None]


def image_of(picture: PagePicture) -> QImage:
    """A page's picture as Qt has it, with pixels of its own."""
    width, height = picture.width_px, picture.height_px
    return QImage(picture.rgb, width, height, 3 * width, QImage.Format.Format_RGB888).copy()


def set_up(printer: QPrinter, sheets: Sheets) -> None:
    """The sheets' own paper, without margins: they have their own, and nothing is scaled."""
    wide, high = sheets.sizes_pt[0]
    lies = wide > high
    size = QPageSize(
        QSizeF(min(wide, high), max(wide, high)), QPageSize.Unit.Point, "", QPageSize.SizeMatchPolicy.FuzzyMatch
    )
    way = QPageLayout.Orientation.Landscape if lies else QPageLayout.Orientation.Portrait
    printer.setPageLayout(QPageLayout(size, way, QMarginsF(0, 0, 0, 0)))
    printer.setFullPage(True)
    printer.setFromTo(1, len(sheets.sizes_pt))


class Printing(QObject):
    """One run of the sheets through a printer. ``done`` tells how many pages, or why it failed."""

    progress = Signal(str)
    done = Signal(str)

    def __init__(self, printer: QPrinter, sheets: Sheets, beside: Beside, parent: QObject) -> None:
        super().__init__(parent)
        self._printer, self._sheets, self._beside = printer, sheets, beside
        last = printer.toPage() or len(sheets.sizes_pt)
        self._pages = list(range(max(printer.fromPage(), 1) - 1, min(last, len(sheets.sizes_pt))))
        self._next = 0
        self.is_whole = False
        """Whether all pages were printed as large as they are."""
        self._painter = QPainter()
        self._smaller = 1.0

    def start(self) -> None:
        """Begin; each page is drawn beside the window while the one before goes to the printer."""
        if not self._pages or not self._painter.begin(self._printer):
            self.done.emit(tr("The printer did not start: check that it is switched on, and select it again."))
            return
        self._draw()

    def _draw(self) -> None:
        number = self._pages[self._next]
        self.progress.emit(tr("Printing page {number} of {count}", number=number + 1, count=len(self._sheets.sizes_pt)))
        wide, _ = self._sheets.sizes_pt[number]
        dpi = min(self._printer.resolution(), FINEST_DPI)
        width = round(wide / POINTS_PER_INCH * dpi)
        self._beside(partial(page_picture, self._sheets.pdf, number, width), self._put)

    def _put(self, picture: PagePicture) -> None:
        self._painter.drawImage(self._place(picture.number), image_of(picture))
        self._next += 1
        if self._next < len(self._pages):
            if self._printer.newPage():
                self._draw()
                return
            self._painter.end()
            self.done.emit(
                tr_count(
                    "The printer stopped after {count} page: check it and print the rest.",
                    "The printer stopped after {count} pages: check it and print the rest.",
                    self._next,
                )
            )
            return
        self._painter.end()
        self.done.emit(self._words())

    def _place(self, number: int) -> QRectF:
        """Where a page lies on the paper, in the printer's px: as it is, or smaller to fit."""
        per_pt = self._printer.resolution() / POINTS_PER_INCH
        wide, high = (side * per_pt for side in self._sheets.sizes_pt[number])
        paper = self._printer.paperRect(self._printer.Unit.DevicePixel)
        fit = min(1.0, (paper.width() + per_pt) / wide, (paper.height() + per_pt) / high)
        self._smaller = min(self._smaller, fit)
        wide, high = wide * fit, high * fit
        return QRectF((paper.width() - wide) / 2.0, (paper.height() - high) / 2.0, wide, high)

    def _words(self) -> str:
        self.is_whole = self._smaller >= 0.995
        if self.is_whole:
            return tr_count("{count} page printed at full size.", "{count} pages printed at full size.", self._next)
        return tr_count(
            "{count} page printed at {share} of its size: the paper is smaller, so the scale does not hold.",
            "{count} pages printed at {share} of their size: the paper is smaller, so the scale does not hold.",
            self._next,
            share=percent(round(100.0 * self._smaller)),
        )
