"""The main window and what stands where in it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QShowEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QMainWindow, QSplitter, QVBoxLayout, QWidget
from shiboken6 import isValid

from takeoff.errors import Finding
from takeoff.ui import messages, themes
from takeoff.ui.actions import Actions
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.canvas.tool import Pointer, Tool
from takeoff.ui.document import Choice, Document, Ref
from takeoff.ui.panels.card import CardPanel, ref_of
from takeoff.ui.panels.finder import Finder, Found, find
from takeoff.ui.panels.side_column import Sides
from takeoff.ui.panels.step_pages import OrderPage, RoomsPage
from takeoff.ui.panels.steps import StepsPanel
from takeoff.ui.panels.tool_row import ToolRow
from takeoff.ui.panels.top_and_foot import TopBar, TotalsPanel
from takeoff.ui.panels.wall_strip import WallStrip
from takeoff.ui.settings import Settings, ThemeName
from takeoff.ui.tasks import Beside
from takeoff.ui.tools.choose import Choose
from takeoff.ui.window import rows
from takeoff.ui.window.files import Files
from takeoff.ui.window.parts import add_parts
from takeoff.ui.window.recent import RecentMenu

MENUS = ("File", "Edit", "Draw", "Openings", "Coat", "Heights", "Site", "View", "Help")
_STRIP_SHARE = 0.22
_NEAR_MM = 1500.0
"""How much round a finding's place is shown."""


class MainWindow(QMainWindow):
    """One window, one job. ``in_order``: nothing runs beside it, for tests that act step by step."""

    theme_changed = Signal(object)
    """The Theme in which everything is shown from now on."""

    def __init__(self, settings: Settings, in_order: bool = False) -> None:
        super().__init__()
        self.settings = settings
        self.theme = themes.load(settings.value.theme)
        self.beside = Beside(self)
        self.document = Document(self) if in_order else Document(self, self.beside)
        self.plan = Plan(self.document, self.theme, self)
        self.acts = Actions(self.document, self)
        self.files = Files(self, self.document, settings, in_order)
        self.choose = Choose(self.plan)
        self.steps = StepsPanel(self.document)
        self.top = TopBar(self.document)
        self.totals = TotalsPanel(self.document)
        self.strip = WallStrip(self.document, self.theme)
        self.tool_row = ToolRow()
        self.sides = Sides()
        # what parts say: the page that comes up for a kind of chosen thing (else the card), pages that
        # stay when such a thing is chosen, and how what is chosen of a kind is deleted
        self.page_of_kind: dict[str, str] = {}
        self.stays: set[tuple[str, str]] = set()
        self.deletes: dict[str, Callable[[Choice], object]] = {}
        self._register_pages()
        self._arrange()
        self.acts.add(rows.all_rows(self))
        add_parts(self)
        self.acts.fill(self.menuBar(), MENUS)
        self.recent = RecentMenu(self.files, self.settings)
        self.acts.menu("File").insertMenu(self.acts.q("open-sample"), self.recent)
        self.finder = Finder(self.top.field, self._find)
        self._connect()
        self.setAcceptDrops(True)
        self.set_theme(settings.value.theme)
        self.plan.view.take(self.choose)
        self.retitle()
        self.plan.view.setFocus()

    # -- arrangement

    def _arrange(self) -> None:
        self.middle = QSplitter(Qt.Orientation.Vertical)
        self.middle.setHandleWidth(1)
        self.middle.setChildrenCollapsible(False)
        self.middle.addWidget(self.plan.view)
        self.middle.addWidget(self.strip)
        self.middle.setStretchFactor(0, 4)
        self.middle.setStretchFactor(1, 1)
        across = QHBoxLayout()
        across.setSpacing(0)
        across.addWidget(self.steps)
        self.column = column = QVBoxLayout()
        column.setSpacing(0)
        column.addWidget(self.tool_row)
        column.addWidget(self.middle, 1)
        across.addLayout(column, 1)
        across.addWidget(self.sides)
        down = QVBoxLayout()
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(0)
        down.addWidget(self.top)
        down.addLayout(across, 1)
        down.addWidget(self.totals)
        centre = QWidget()
        centre.setLayout(down)
        self.setCentralWidget(centre)

    def _register_pages(self) -> None:
        """A page for each step, and the card. Others register theirs in the same way."""
        self.sides.register("card", self._card_page)
        self.sides.register("rooms", self._rooms_page)
        self.sides.register("order", lambda: OrderPage(self.document))
        self.sides.show_page("card")

    def _card_page(self) -> QWidget:
        self.card = CardPanel(self.document)
        self.card.finding_clicked.connect(self.go_to)
        return self.card

    def _rooms_page(self) -> QWidget:
        page = RoomsPage(self.document)
        page.picked.connect(self.choose_ref)
        return page

    def _connect(self) -> None:
        self.steps.chosen.connect(self.show_step)
        self.document.chosen_changed.connect(self._chosen)
        self.document.refused.connect(self.totals.say)
        self.document.opened.connect(self.retitle)
        self.document.saved_changed.connect(self.retitle)
        self.files.holding.changed.connect(self.retitle)
        self.files.holding.said.connect(self.totals.say)
        self.plan.view.escaped.connect(self.back_to_choosing)
        self.plan.view.pointed.connect(self._pointed)
        self.finder.taken.connect(self.take_found)
        self.top.sheets.connect(self._sheets)

    # -- what a user does

    def show_step(self, step_id: str) -> None:
        """Bring up the page of a step; a step without a page shows the card."""
        self.steps.show_step(step_id)
        self.sides.show_page(step_id if self.sides.has(step_id) else "card")

    def choose_ref(self, ref: Ref | None) -> None:
        """Choose from a table: the page stays, the plan shows it."""
        if ref is not None:
            page = self.sides.current
            self.document.choose((ref,))
            self.sides.show_page(page)

    def can_delete(self) -> bool:
        """Whether something is chosen that can be deleted."""
        return any(ref.kind in self.deletes for ref in self.document.choice)

    def delete_chosen(self) -> None:
        """Delete what is chosen, kind by kind."""
        choice = self.document.choice
        for kind, delete in self.deletes.items():
            refs = tuple(ref for ref in choice if ref.kind == kind)
            if refs:
                delete(refs)

    def rename_room(self) -> None:
        """Type another name for the room that is chosen."""
        self.card.choose_room()
        self.sides.show_page("card")
        self.card.names.begin()

    def take_found(self, found: Found) -> None:
        """Do the action that was found, or choose and show the thing."""
        if found.action:
            self.acts.do(found.action)
        elif found.ref is not None:
            self.document.choose((found.ref,))
            self.plan.view.setFocus()

    def go_to(self, finding: Finding) -> None:
        """Choose what a finding speaks of and show its place."""
        ref = ref_of(finding)
        where = finding.where
        if where.storey:
            self.document.show_storey(where.storey)
        page = self.sides.current
        if ref is not None:
            self.document.choose((ref,))
            self.sides.show_page(page)
            self.plan.zoom_to_chosen()
        elif where.x_mm is not None and where.y_mm is not None:
            x, y = where.x_mm, where.y_mm
            self.plan.view.show_area(x - _NEAR_MM, y - _NEAR_MM, x + _NEAR_MM, y + _NEAR_MM)

    def take(self, tool: Tool) -> None:
        """Take up a tool; Escape that it does not want comes back to choosing."""
        self.totals.say(tool.name)
        self.plan.view.take(tool)
        self.plan.view.setFocus()
        self.acts.refresh()

    def back_to_choosing(self) -> None:
        """Lay down whatever tool there is."""
        if self.plan.view.tool is not self.choose:
            self.plan.view.take(self.choose)
            self.totals.say("")
            self.acts.refresh()

    def set_theme(self, name: ThemeName) -> None:
        """Show everything in the theme of that name, and remember it."""
        self.theme = themes.load(name)
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.setPalette(themes.qt_palette(self.theme))
        self.setStyleSheet(themes.style_sheet(self.theme))
        self.plan.set_theme(self.theme)
        self.strip.set_theme(self.theme)
        self.theme_changed.emit(self.theme)
        if self.settings.value.theme != name:
            self.settings.change(theme=name)

    # -- Qt's events

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """The strip takes its share of the height; afterwards the user moves the line."""
        super().showEvent(event)
        if not event.spontaneous():
            tall = int(self.height() * _STRIP_SHARE)
            between = [0] * (self.middle.count() - 2)
            self.middle.setSizes([self.height() - tall, *between, tall])

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Files are welcome."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's name
        """Open the first file that was dropped."""
        paths = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        event.acceptProposedAction()
        if paths:
            self.files.open_dropped(paths[0])

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Ask about work that is not saved, remember the size."""
        if not self.files.may_leave():
            event.ignore()
            return
        self.files.stop()
        self.files.keeping.close()
        self.files.holding.close()
        self.beside.leave()
        frame = self.window()
        self.settings.change(width=frame.width(), height=frame.height(), maximised=frame.isMaximized())
        event.accept()

    # -- listeners

    def _sheets(self) -> None:
        self.acts.do("sheets")

    def _find(self, words: str) -> tuple[Found, ...]:
        return find(words, self.document, self.acts)

    def _chosen(self, before: object, after: object) -> None:
        del before
        if isinstance(after, tuple) and after and (self.sides.current, after[-1].kind) not in self.stays:
            self.sides.show_page(self.page_of_kind.get(after[-1].kind, "card"))

    def _pointed(self, pointer: Pointer) -> None:
        if self.plan.view.tool is self.choose:
            x, y = (v / 1000.0 for v in pointer.at)
            self.totals.say(f"x {x:.3f} m, y {y:.3f} m")

    def retitle(self) -> None:
        """Say the job's name in the frame's title, and whether it is saved."""
        frame = self.window()
        only = " (to read only)" if self.files.holding.read_only else ""
        frame.setWindowTitle(f"{self.document.job.name or 'Unnamed job'}{only}[*] – Takeoff")
        if isValid(self.document.stack):
            frame.setWindowModified(not self.document.stack.isClean())

    def tell(self, sentence: str) -> None:
        """Say a sentence that must be read."""
        messages.current().tell(self, sentence)
