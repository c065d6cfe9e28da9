"""The sheets before they are written, in the place of the plan: pages drawn sharp, which of them, how large."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QImage, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QHBoxLayout, QWidget

from takeoff.language import tr
from takeoff.ui.panels.form_fields import small_button
from takeoff.ui.panels.page_parts import label, set_text, stacked
from takeoff.ui.panels.page_row import GAP_PX, PageRow, page_row
from takeoff.ui.themes import Theme

SMALLEST_ZOOM, LARGEST_ZOOM, ZOOM_STEP = 0.25, 5.0, 1.25
LINE_PX = 48

_OWN_KEYS = (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown, Qt.Key.Key_Home, Qt.Key.Key_End, Qt.Key.Key_Up, Qt.Key.Key_Down)
_ZOOM_KEYS = {Qt.Key.Key_Plus: ZOOM_STEP, Qt.Key.Key_Equal: ZOOM_STEP, Qt.Key.Key_Minus: 1.0 / ZOOM_STEP}

PAPER = QColor("#FCFBF8")
"""A page that is not drawn yet; paper is light in the dark theme too."""


class PagesView(QAbstractScrollArea):
    """Asks for the pictures of the pages in view (``wanted``), and shows them when they come (``take``)."""

    wanted = Signal(int, int)
    """(page from 0, width in device pixels)"""
    page_changed = Signal(int)
    """The page in the middle of the view, from 0."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._sizes: tuple[tuple[float, float], ...] = ()
        self._pictures: dict[int, QImage] = {}
        self._fresh: dict[int, int] = {}
        self._asked: dict[int, int] = {}
        self._zoom: float | None = None
        self._page = 0
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Preview of the sheets"))
        self.verticalScrollBar().valueChanged.connect(self._scrolled)

    # -- what is shown

    @property
    def page(self) -> int:
        """The page in the middle of the view, from 0."""
        return self._page

    @property
    def count(self) -> int:
        """How many pages there are."""
        return len(self._sizes)

    def show_pages(self, sizes_pt: Sequence[tuple[float, float]]) -> None:
        """Show pages of these sizes; what was drawn before stands until the new pictures come."""
        self._sizes = tuple(sizes_pt)
        self._fresh.clear()
        self._asked.clear()
        self._pictures = {k: image for k, image in self._pictures.items() if k < len(self._sizes)}
        self._lay_out()
        self._tell_page()

    def take(self, page: int, picture: QImage) -> None:
        """A page that was asked for."""
        if page < len(self._sizes):
            self._pictures[page] = picture
            self._fresh[page] = picture.width()
            self.viewport().update()

    def is_sharp(self, page: int) -> bool:
        """Whether a page is drawn for the very size in which it is shown."""
        return page in self._fresh and abs(self._fresh[page] - self._device_px(page)) <= 1

    def picture(self, page: int) -> QImage | None:
        """What is shown of a page; None before it was drawn."""
        return self._pictures.get(page)

    def set_theme(self, theme: Theme) -> None:
        """Change the ground under the pages."""
        self._theme = theme
        self.viewport().update()

    # -- what the user does

    def go_to(self, page: int) -> None:
        """Bring the top of a page into view."""
        if self._sizes:
            rect = self._row().rect(min(max(page, 0), len(self._sizes) - 1))
            self.verticalScrollBar().setValue(int(rect.top() - GAP_PX / 2))

    def zoom(self, factor: float) -> None:
        """Larger or smaller, the middle of the view staying where it is."""
        self._change_zoom(min(max(self._row().zoom * factor, SMALLEST_ZOOM), LARGEST_ZOOM))

    def fit(self) -> None:
        """As wide as the view."""
        self._change_zoom(None)

    def _change_zoom(self, zoom: float | None) -> None:
        bar = self.verticalScrollBar()
        whole = max(self._row().height, 1.0)
        middle = (bar.value() + self.viewport().height() / 2.0) / whole
        self._zoom = zoom
        self._lay_out()
        bar.setValue(int(middle * self._row().height - self.viewport().height() / 2.0))

    # -- where pages are

    def _row(self) -> PageRow:
        return page_row(self._sizes, self.viewport().width(), self._zoom)

    def _device_px(self, page: int) -> int:
        return round(self._row().rect(page).width() * self.devicePixelRatioF())

    def _lay_out(self) -> None:
        down, across = self.verticalScrollBar(), self.horizontalScrollBar()
        port, row = self.viewport(), self._row()
        down.setPageStep(port.height())
        down.setSingleStep(LINE_PX)
        down.setRange(0, max(0, int(row.height - port.height())))
        across.setPageStep(port.width())
        across.setRange(0, max(0, int(row.width - port.width())))
        port.update()

    def _scrolled(self, value: int) -> None:
        del value
        self._tell_page()
        self.viewport().update()

    def _tell_page(self) -> None:
        self._page = self._row().page_at(self.verticalScrollBar().value() + self.viewport().height() / 2.0)
        self.setAccessibleDescription(tr("Page {page} of {pages}", page=self._page + 1, pages=len(self._sizes)))
        self.page_changed.emit(self._page)

    # -- Qt's events

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """The pages in view; those that are not drawn at this size are asked for."""
        del event
        painter = QPainter(self.viewport())
        painter.fillRect(self.viewport().rect(), self._theme.colour("side"))
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        offset = QPointF(self.horizontalScrollBar().value(), self.verticalScrollBar().value())
        seen, row = QRectF(self.viewport().rect()), self._row()
        for page in range(len(self._sizes)):
            rect = row.rect(page).translated(-offset)
            if not rect.intersects(seen):
                continue
            picture = self._pictures.get(page)
            if picture is None:
                painter.fillRect(rect, PAPER)
            else:
                painter.drawImage(rect, picture)
            painter.setPen(QPen(self._theme.colour("hair"), 1.0))
            painter.drawRect(rect.adjusted(-0.5, -0.5, 0.5, 0.5))
            self._ask(page)
        painter.end()

    def _ask(self, page: int) -> None:
        width = self._device_px(page)
        if not self.is_sharp(page) and self._asked.get(page) != width:
            self._asked[page] = width
            self.wanted.emit(page, width)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """A fitted page stays fitted."""
        super().resizeEvent(event)
        self._lay_out()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Scroll; with Ctrl zoom."""
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoom(ZOOM_STEP ** (event.angleDelta().y() / 120.0))
            event.accept()
        else:
            super().wheelEvent(event)

    def event(self, event: QEvent) -> bool:
        """Keys of the view are no shortcuts of the plan while it has the focus."""
        if (
            isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.ShortcutOverride
            and (event.key() in _OWN_KEYS or self._zooms(event))
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Page by page, to the ends, larger and smaller."""
        key = event.key()
        if self._zooms(event):
            self.zoom(_ZOOM_KEYS[Qt.Key(key)])
        elif key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp):
            self.go_to(self._page + (1 if key == Qt.Key.Key_PageDown else -1))
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            bar = self.verticalScrollBar()
            bar.setValue(0 if key == Qt.Key.Key_Home else bar.maximum())
        else:
            super().keyPressEvent(event)

    def _zooms(self, event: QKeyEvent) -> bool:
        return event.key() in _ZOOM_KEYS and bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)


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
            (tr("Previous"), tr("Previous page (PgUp)"), self._before),
            (tr("Next"), tr("Next page (PgDn)"), self._after),
            ("−", tr("Smaller (Ctrl+−)"), self._smaller),
            ("+", tr("Larger (Ctrl++)"), self._larger),
            (tr("Fit"), tr("As wide as the window"), self.view.fit),
        ):
            button = small_button(word, tip)
            button.clicked.connect(do)
            row.addWidget(button)
        down = stacked(self, spacing=0)
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
        count = self.view.count
        set_text(self.where, tr("page {page} of {pages}", page=page + 1, pages=count) if count else "")

    def _before(self) -> None:
        self.view.go_to(self.view.page - 1)

    def _after(self) -> None:
        self.view.go_to(self.view.page + 1)

    def _smaller(self) -> None:
        self.view.zoom(1.0 / ZOOM_STEP)

    def _larger(self) -> None:
        self.view.zoom(ZOOM_STEP)
