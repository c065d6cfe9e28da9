"""The main window: its parts, its menus and what Qt tells it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent, QContextMenuEvent, QDragEnterEvent, QDropEvent, QKeyEvent, QShowEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QMainWindow, QMenuBar, QSizePolicy, QWidget
from shiboken6 import isValid

from takeoff.language import mark, tr
from takeoff.ui import themes
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.panels.finder import Finder, Found, find
from takeoff.ui.panels.step_pages import OrderPage, RoomsPage
from takeoff.ui.settings import Settings
from takeoff.ui.window import (
    coats_part,
    compare_part,
    copying_part,
    days_part,
    drawing_part,
    figures_part,
    findings_part,
    first_pass_part,
    heights_part,
    import_part,
    items_part,
    laying_part,
    likeness_part,
    look_part,
    lots_part,
    menus,
    offer_part,
    openings_part,
    options_part,
    photos_part,
    quick_parts_part,
    sheets_part,
    site_check_part,
    site_part,
    storeys_part,
    system_part,
    tour_part,
    work_part,
)
from takeoff.ui.window.workspace import Workspace
from takeoff.units.printing import shown

MENUS = (
    mark("File"),
    mark("Edit"),
    mark("Draw"),
    mark("Openings"),
    mark("Coat"),
    mark("Heights"),
    mark("Site"),
    mark("Work"),
    mark("View"),
    mark("Help"),
)

PARTS: tuple[Callable[[Workspace], None], ...] = (
    import_part.add,
    drawing_part.add,
    openings_part.add,
    coats_part.add,
    figures_part.add,
    findings_part.add,
    tour_part.add,
    sheets_part.add,
    copying_part.add,
    storeys_part.add,
    laying_part.add,
    system_part.add,
    first_pass_part.add,
    photos_part.add,
    look_part.add,
    heights_part.add,
    quick_parts_part.add,
    site_part.add,
    site_check_part.add,
    items_part.add,
    offer_part.add,
    work_part.add,
    days_part.add,
    lots_part.add,
    options_part.add,
    compare_part.add,
    likeness_part.add,
)
"""In the order in which their actions stand in the menus.

A part is a module with ``add(space)``, which registers pages (``space.pages``), gives action rows
(``space.acts.add``), makes tools and connects what listens. It is called once, after the panels stand
and before the menus are filled, so a part says nothing of menus: its rows name theirs. A part keeps
what it makes on itself as a child of the workspace (a QObject) and never reaches into another part.
"""


class MainWindow(QMainWindow):
    """One window, one job. ``in_order``: nothing runs beside it, for tests that act step by step."""

    def __init__(self, settings: Settings, in_order: bool = False) -> None:
        super().__init__()
        space = self.space = Workspace(self, settings, in_order)
        self.settings, self.document, self.plan = settings, space.document, space.plan
        self.acts, self.files, self.choose, self.beside = space.acts, space.files, space.choose, space.beside
        frame = space.frame
        self.sides, self.card, self.steps, self.top = frame.pages, frame.card, frame.steps, frame.top
        self.totals, self.strip, self.tool_row, self.middle = frame.totals, frame.strip, frame.tool_row, frame.middle
        self._register_pages()
        self.setCentralWidget(frame)
        self.acts.add(menus.all_rows(space))
        for add in PARTS:
            add(space)
        self.bar = self._bar()
        self.acts.fill(self.bar, MENUS)
        self.recent = menus.RecentMenu(self.files, settings, self)
        self.acts.menu("File").insertMenu(self.acts.q("open-sample"), self.recent)
        self.finder = Finder(self.top.field, self._find)
        self._connect()
        self.setAcceptDrops(True)
        space.set_theme(settings.value.theme)
        self.plan.view.take(self.choose)
        self.acts.refresh()
        self.retitle()
        self.plan.view.setFocus()

    @property
    def theme(self) -> themes.Theme:
        """In what everything is shown."""
        return self.space.theme

    def _bar(self) -> QMenuBar:
        """Menus and the job's own bar in one line: what they do not take of the height the plan has."""
        line, bar = QWidget(), QMenuBar()
        line.setProperty("part", "top")
        line.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        bar.setNativeMenuBar(False)
        bar.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        beside = QHBoxLayout(line)
        beside.setContentsMargins(0, 0, 0, 0)
        beside.setSpacing(0)
        beside.addWidget(bar, 0, Qt.AlignmentFlag.AlignVCenter)
        beside.addWidget(self.top, 1)
        self.setMenuWidget(line)
        return bar

    def _register_pages(self) -> None:
        """A page for each step that no part brings. Parts register theirs in the same way."""
        self.sides.register("rooms", self._rooms_page)
        self.sides.register("order", lambda: OrderPage(self.document))

    def _rooms_page(self) -> QWidget:
        page = RoomsPage(self.document)
        page.picked.connect(self.space.choose_ref)
        return page

    def _connect(self) -> None:
        self.steps.chosen.connect(self.space.show_step)
        self.card.finding_clicked.connect(self.space.go_to)
        self.document.chosen_changed.connect(self._chosen)
        self.document.opened.connect(self.retitle)
        self.document.saved_changed.connect(self.retitle)
        self.files.holding.changed.connect(self.retitle)
        self.files.holding.said.connect(self.space.say)
        self.plan.view.escaped.connect(self.space.back_to_choosing)
        self.plan.view.pointed.connect(self._pointed)
        self.finder.taken.connect(self.take_found)
        self.top.sheets.connect(self._sheets)

    # -- what a user does

    def take_found(self, found: Found) -> None:
        """Do the action that was found, or choose and show the thing."""
        if found.action and not self.acts.q(found.action).isEnabled():
            self.space.say(tr("This is not possible now. Select something first."))
        elif found.action:
            self.acts.do(found.action)
        elif found.ref is not None:
            self.document.choose((found.ref,))
            self.plan.view.setFocus()

    # -- Qt's events

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """The strip takes its share of the height; afterwards the user moves the line."""
        super().showEvent(event)
        if not event.spontaneous():
            kept = self.settings.value
            self.space.frame.share(self.height(), kept.strip, kept.pages)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape that no field and no panel wanted."""
        if event.key() == Qt.Key.Key_Escape:
            self.space.escaped()
        else:
            super().keyPressEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802 - Qt's name
        """The menu of what is under the mouse, or of what is chosen, where no field has one of its own."""
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            self.space.menu_wanted.emit(QApplication.focusWidget() or self, None)
        else:
            self.space.menu_wanted.emit(likeness_part.widget_at(self, event.globalPos()), event.globalPos())
        event.accept()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Files are welcome."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's name
        """Open the first drawing or job that was dropped."""
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
        event.acceptProposedAction()
        if paths:
            self.files.open_dropped(paths)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Ask about work that is not saved, remember the size."""
        if not self.files.may_leave():
            event.ignore()
            return
        self.space.long_work.stop()
        self.files.keeping.close()
        self.files.holding.close()
        self.beside.leave()
        frame = self.window()
        self.settings.change(width=frame.width(), height=frame.height(), maximised=frame.isMaximized())
        if self.space.frame.moved:
            strip, pages = self.space.frame.shares
            self.settings.change(strip=strip, pages=pages)
        event.accept()

    # -- listeners

    def _sheets(self) -> None:
        self.acts.do("sheets")

    def _find(self, words: str) -> tuple[Found, ...]:
        return find(words, self.document, self.acts)

    def _chosen(self, before: object, after: object) -> None:
        del before
        if isinstance(after, tuple) and after and (self.sides.current, after[-1].kind) not in self.space.stays:
            self.sides.show_page("card")

    def _pointed(self, pointer: Pointer) -> None:
        if self.plan.view.tool is self.choose:
            x, y = (v / 1000.0 for v in pointer.at)
            self.totals.say(tr("x {x} m, y {y} m", x=shown(x, 3), y=shown(y, 3)))

    def retitle(self) -> None:
        """Say the job's name in the frame's title, and whether it is saved."""
        frame = self.window()
        name = self.document.job.name or tr("Unnamed job")
        if self.files.holding.read_only:
            name = tr("{job} (read-only)", job=name)
        # Qt puts a mark in the place of [*] while there is something to save
        frame.setWindowTitle(f"{name}[*] – Takeoff")
        if isValid(self.document.stack):
            frame.setWindowModified(not self.document.stack.isClean())
