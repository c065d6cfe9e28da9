"""What the parts of the window work with: the document, the plan, pages, actions, files, and what is said.

A part knows this and never the main window, so that a part can be read, and added to another window,
by itself.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication, QWidget

from takeoff.errors import Finding
from takeoff.language import tr
from takeoff.ui import messages, themes
from takeoff.ui.actions import Actions
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.canvas.tool import Tool
from takeoff.ui.document import Choice, Document, Ref
from takeoff.ui.panels.card import ref_of
from takeoff.ui.panels.form_fields import refused_beside
from takeoff.ui.settings import Settings, ThemeName
from takeoff.ui.tasks import Beside
from takeoff.ui.tools.aiming import Aim
from takeoff.ui.tools.choose import Choose
from takeoff.ui.tools.drawing_tool import DrawingTool, Kit
from takeoff.ui.tools.tool_preview import Readout
from takeoff.ui.window.frame import Frame
from takeoff.ui.window.job_files import Files
from takeoff.ui.window.long_work import LongWork

T = TypeVar("T")

_NEAR_MM = 1500.0
"""How much round a finding's place is shown."""


class Workspace(QObject):
    """One window's. ``window`` is what questions are asked over, and who the actions belong to."""

    menu_wanted = Signal(object, object)
    """(widget, place on screen or None): the menu of what is there is wanted, by the mouse or by the menu key."""
    theme_changed = Signal(object)
    """The Theme in which everything is shown from now on."""

    def __init__(self, window: QWidget, settings: Settings, in_order: bool) -> None:
        super().__init__(window)
        self.window, self.settings = window, settings
        self.theme = themes.load(settings.value.theme)
        self.beside = Beside(self)
        self.document = Document(self) if in_order else Document(self, self.beside)
        self.plan = Plan(self.document, self.theme, self)
        self.acts = Actions(self.document, window)
        self.long_work = LongWork(window, in_order)
        self.files = Files(window, self.document, settings, self.long_work)
        self.choose = Choose(self.plan)
        self.frame = Frame(self.document, self.theme, self.plan.view)
        self.pages = self.frame.pages
        # what parts say: pages that stay when a thing of some kind is chosen (else the card comes up), and
        # how what is chosen of a kind is deleted
        self.stays: set[tuple[str, str]] = set()
        self.deletes: dict[str, Callable[[Choice], object]] = {}
        self.document.refused.connect(self._refused)
        self.document.changed.connect(self._changed)
        self.document.opened.connect(self._opened)
        self.document.chosen_changed.connect(self._heeded)
        self._said = ""
        """Why the last edit was refused, while the foot says so."""

    # -- what a part asks for

    def kit(self) -> Kit:
        """What a drawing tool works with, with a read-out of its own."""
        return Kit(self.plan, Aim(self.plan), Readout(self.plan.view), self.say)

    def say(self, text: str) -> None:
        """A short word in the foot."""
        self.frame.totals.say(text)

    def tell(self, sentence: str) -> None:
        """Say a sentence that must be read."""
        messages.current().tell(self.window, sentence)

    def run(self, work: Callable[[], T], then: Callable[[T], None]) -> None:
        """Do a second's work beside the window, or here and now where everything happens in order."""
        if self.long_work.in_order:
            then(work())
        else:
            self.beside(work, then)

    def has_rooms(self) -> bool:
        """Whether the job has any room."""
        return self.document.job.has_rooms

    def set_theme(self, name: ThemeName) -> None:
        """Show everything in the theme of that name, and remember it."""
        theme = self.theme = themes.load(name)
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.setPalette(themes.qt_palette(theme))
        self.window.setStyleSheet(themes.style_sheet(theme))
        self.plan.set_theme(theme)
        self.frame.strip.set_theme(theme)
        self.theme_changed.emit(theme)
        if self.settings.value.theme != name:
            self.settings.change(theme=name)

    # -- pages

    def show_step(self, step_id: str) -> None:
        """Bring up the page of a step; a step without a page shows the card."""
        self.frame.steps.show_step(step_id)
        self.pages.show_page(step_id if self.pages.has(step_id) else "card")

    def choose_ref(self, ref: Ref | None) -> None:
        """Choose from a table: the page stays, the plan shows it."""
        if ref is not None:
            page = self.pages.current
            self.document.choose((ref,))
            self.pages.show_page(page)

    def go_to(self, finding: Finding) -> None:
        """Choose what a finding speaks of and show its place."""
        ref = ref_of(finding)
        where = finding.where
        if where.storey:
            self.document.show_storey(where.storey)
        if ref is not None:
            self.choose_ref(ref)
            self.plan.zoom_to_chosen()
        elif where.x_mm is not None and where.y_mm is not None:
            x, y = where.x_mm, where.y_mm
            self.plan.view.show_area(x - _NEAR_MM, y - _NEAR_MM, x + _NEAR_MM, y + _NEAR_MM)

    # -- tools

    def take(self, tool: Tool) -> None:
        """Take up a tool; Escape that it does not want comes back to choosing."""
        self.say(tr(tool.name))
        self.plan.view.take(tool)
        self.plan.view.setFocus()
        self.acts.refresh()

    def escaped(self) -> None:
        """Escape that nothing else had a use for, wherever the keys were: the tool in hand has it, else it is laid
        down; the keys are the plan's."""
        view = self.plan.view
        if view.isVisible() and not view.hasFocus():
            view.setFocus()
            view.escape()

    def back_to_choosing(self) -> None:
        """Lay down whatever tool there is."""
        if self.plan.view.tool is not self.choose:
            self.plan.view.take(self.choose)
            self.say("")
            self.acts.refresh()

    @property
    def drawing_tool(self) -> DrawingTool | None:
        """The tool in hand, if it is one that draws."""
        tool = self.plan.view.tool
        return tool if isinstance(tool, DrawingTool) else None

    # -- listeners: the tool in hand is told what happens to the job

    def _heeded(self) -> None:
        """What was refused is no longer spoken of once something else was done or chosen."""
        if self._said and self.frame.totals.note.text() == self._said:
            self.say("")
        self._said = ""

    def _opened(self) -> None:
        """What the foot said was of the job that was open before."""
        self.say("")

    def _refused(self, reason: str) -> None:
        self._said = reason
        self.say(reason)
        refused_beside(reason)
        if self.drawing_tool is not None:
            self.drawing_tool.refuse(reason)

    def _changed(self, before: object, after: object) -> None:
        del before, after
        self._heeded()
        if self.drawing_tool is not None:
            self.drawing_tool.job_changed()
