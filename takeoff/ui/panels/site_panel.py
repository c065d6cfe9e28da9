"""A room keyed from site readings, in the place of the plan: its tables, and the outline as it comes about.

Enter goes from cell to cell in the order of the paper form, and past what is not needed any more.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, QTimer, Signal, SignalInstance
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QToolButton, QWidget

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.ui.panels.page_parts import label, scroll_frame, set_text, stacked
from takeoff.ui.panels.site_grid import Cell, SiteGrid
from takeoff.ui.panels.site_head import SiteHead
from takeoff.ui.panels.site_sketch import SiteSketch
from takeoff.ui.themes import Theme
from takeoff.views.site_order import following, stepped
from takeoff.views.site_said import HINTS, put_words
from takeoff.views.site_sheet import Read, Sheet, SideCells, insert_side, kind_word, read, remove_side, replace, settled

QUIET_MS = 150
"""Quiet time after a key before the outline is worked out anew."""

_TABLES_PX = 560


class SitePanel(QWidget):
    """Holds one sheet. ``read_changed`` carries what the cells give now."""

    read_changed = Signal(object)
    put = Signal(object)
    """The Sheet is to go into the job; another one follows where the second button was pressed."""
    put_and_next = Signal(object)
    closed = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setAccessibleName(tr("Room survey"))
        self._sheet = settled(Sheet())
        self._read = read(self._sheet)
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(QUIET_MS)
        self._quiet.timeout.connect(self.refresh)
        self.title = label(tr("Room survey"), "title")
        self.head = SiteHead()
        self.grid, self.sketch = SiteGrid(), SiteSketch(theme)
        self.hint = label("", "grey", wrap=True)
        self.put_button, self.next_button = QPushButton(), QPushButton(tr("Add it, then the next room"))
        self._arrange()
        self._connect()
        self.show_sheet(self._sheet)

    # -- what others ask

    @property
    def sheet(self) -> Sheet:
        """What is keyed."""
        return self._sheet

    @property
    def read(self) -> Read:
        """What it gives."""
        return self._read

    def show_sheet(self, sheet: Sheet) -> None:
        """Key another room, or go on with one."""
        # a cell that loses the focus says what stands in it: before another sheet is here
        for cell in (*self.grid.cells.values(), *self.head.cells.values()):
            cell.clearFocus()
        self._sheet = settled(sheet)
        self.head.show_sheet(self._sheet)
        self.grid.show_sheet(self._sheet)
        again = tr("Survey of {room}", room=sheet.name) if sheet.name else tr("Survey of the room")
        set_text(self.title, again if sheet.room else tr("Room survey"))
        self.put_button.setText(put_words(sheet))
        self.next_button.setVisible(not sheet.room)
        self.refresh()

    def start(self) -> None:
        """Begin at the first cell that is empty."""
        cells = [*self.head.cells.values(), *(self.grid.cells[key] for key in self.grid.order)]
        (next((cell for cell in cells[:3] if not cell.text()), self.head.name)).setFocus()

    def set_theme(self, theme: Theme) -> None:
        """Paint in these colours."""
        self.sketch.set_theme(theme)

    # -- making

    def _arrange(self) -> None:
        self._scroll, inside = scroll_frame((18, 6, 12, 8), 6)
        inside.addWidget(self.grid)
        inside.addStretch(1)
        self._scroll.setMinimumWidth(_TABLES_PX)
        across = QHBoxLayout()
        across.setSpacing(0)
        across.addWidget(self._scroll, 5)
        across.addWidget(self.sketch, 4)
        down = stacked(self, (0, 8, 0, 0), 2)
        down.addLayout(self._top())
        down.addWidget(self.head)
        down.addLayout(across, 1)
        down.addLayout(self._foot())

    def _top(self) -> QHBoxLayout:
        close = QToolButton()
        close.setText(tr("Close"))
        close.setProperty("part", "quiet")
        close.setToolTip(tr("Back to the plan; entries are kept (Esc)"))
        close.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        close.clicked.connect(self.closed)
        row = QHBoxLayout()
        row.setContentsMargins(18, 0, 12, 0)
        row.addWidget(self.title, 1)
        row.addWidget(close)
        return row

    def _foot(self) -> QHBoxLayout:
        self.put_button.setProperty("part", "main")
        self.put_button.setToolTip(tr("Ctrl+Enter"))
        self.next_button.setToolTip(tr("Ctrl+Shift+Enter in any cell goes on with a new room too"))
        self.hint.setMinimumHeight(36)
        row = QHBoxLayout()
        row.setContentsMargins(18, 6, 18, 10)
        row.setSpacing(10)
        row.addWidget(self.hint, 1)
        row.addWidget(self.next_button)
        row.addWidget(self.put_button)
        return row

    def _connect(self) -> None:
        self.grid.made.connect(self._connect_cell)
        self.grid.row_wanted.connect(self._change_rows)
        for cell in self.head.cells.values():
            self._connect_cell(cell)
        self.head.picked.connect(self._finish)
        self.put_button.clicked.connect(self._put)
        self.next_button.clicked.connect(self._put_and_next)

    def _connect_cell(self, cell: Cell) -> None:
        cell.textEdited.connect(self._typed)
        cell.editingFinished.connect(self._finish)
        cell.entered.connect(self._go_on)
        cell.entered_all.connect(self._put)
        cell.entered_next.connect(self._put_and_next)
        cell.stepped.connect(self._step)
        cell.row_wanted.connect(self._change_rows)
        cell.left.connect(self.closed)
        cell.focused.connect(self._show_hint)

    # -- keys

    def event(self, event: QEvent) -> bool:
        """Plain letters are no tools of the plan while a room is keyed."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            with_ctrl = event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier
            if not with_ctrl and event.text().isprintable() and event.text():
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter presses the button that has the focus, Escape goes back to the plan."""
        focus = self.focusWidget()
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and isinstance(focus, QPushButton):
            focus.click()
        elif event.key() == Qt.Key.Key_Escape:
            self.closed.emit()

    def _go_on(self, key: str) -> None:
        """To the next cell that is wanted, or to the button."""
        self._finish()
        written = {key for key in self.grid.order if self.grid.text(key)}
        following_key = following(self.grid.order, key, self._sheet, written, self._read.outline.closed)
        if following_key is None:
            self.put_button.setFocus()
        else:
            self._focus(following_key)

    def _step(self, key: str, by: int) -> None:
        to = stepped(self.grid.order, key, by)
        if to is not None:
            self._focus(to)

    def _focus(self, key: str) -> None:
        cell = self._cell(key)
        cell.setFocus(Qt.FocusReason.TabFocusReason)
        self._scroll.ensureWidgetVisible(cell, 20, 40)

    def _cell(self, key: str) -> Cell:
        return self.head.cells.get(key) or self.grid.cells[key]

    def _show_hint(self, key: str) -> None:
        part, _, rest = key.partition(":")
        set_text(self.hint, tr(HINTS[part]) if part in HINTS else "")
        number = rest.partition(":")[0]
        on_side = part not in ("name", "middle", "corners", "diagonal")
        self.sketch.show_side(int(number) if on_side else -1)

    # -- what is keyed

    def _typed(self) -> None:
        self._take()
        self._quiet.start()

    def _take(self) -> None:
        """The sheet as the cells are now; rows stay until a cell is finished."""
        self._sheet = self.grid.sheet(self.head.sheet(self._sheet))

    def _finish(self) -> None:
        """A cell is finished: kinds are written out, rows come and go."""
        self._take()
        self._sheet = settled(_kinds_written(self._sheet))
        self.grid.show_sheet(self._sheet)
        sender = self.sender()
        if isinstance(sender, Cell) and sender.key.startswith("kind"):
            k, n = (int(part) for part in sender.key.split(":")[1:])
            if len(self._sheet.sides[k].openings) > n:
                sender.setText(self._sheet.sides[k].openings[n].kind)
        self.refresh()

    def refresh(self) -> None:
        """Work the outline out and show it."""
        self._quiet.stop()
        self._read = read(self._sheet)
        faults = {fault.cell: fault.text for fault in self._read.faults}
        for cell in (*(self.grid.cells[key] for key in self.grid.order), self.head.middle):
            # a cell is not called wrong while it is being typed
            wrong = faults.get(cell.key, "")
            cell.show_fault("" if cell.hasFocus() and cell.isModified() else wrong)
        self.sketch.show_read(self._read)
        self.put_button.setEnabled(self._read.is_room)
        self.next_button.setEnabled(self._read.is_room)
        self.read_changed.emit(self._read)

    def _change_rows(self, key: str, by: int) -> None:
        part, _, number = key.partition(":")
        if part not in ("length", "along", "turn", "height"):
            return
        self._take()
        try:
            change = insert_side if by > 0 else remove_side
            changed = change(self._sheet, int(number))
        except InputError as error:
            set_text(self.hint, str(error))
            return
        self.show_sheet(changed)
        self._focus(f"{part}:{min(int(number), len(self._sheet.sides) - 1)}")

    def _put(self) -> None:
        self._tell(self.put)

    def _put_and_next(self) -> None:
        self._tell(self.put_and_next)

    def _tell(self, taken: SignalInstance) -> None:
        """Tell that the room is to be taken, or say what is missing for it."""
        self._finish()
        if self._read.is_room:
            taken.emit(self._sheet)
        else:
            self._show_what_is_missing()

    def _show_what_is_missing(self) -> None:
        if self._read.faults:
            self._focus(self._read.faults[0].cell)
            set_text(self.hint, self._read.faults[0].text)
        else:
            errors = [f.text for f in self._read.outline.findings if f.severity == "error"]
            set_text(self.hint, self._read.outline.missing or (errors[0] if errors else ""))


def _kinds_written(sheet: Sheet) -> Sheet:
    """ "d" becomes "door"; what is no kind stays as typed, to be corrected."""

    def written(side: SideCells) -> SideCells:
        openings = (replace(o, kind=kind_word(o.kind) if o.kind else "") for o in side.openings)
        return replace(side, openings=tuple(openings))

    return replace(sheet, sides=tuple(written(side) for side in sheet.sides))
