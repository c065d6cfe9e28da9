"""The Drawing page: what the drawing of the storey that is shown leaves open, brought up where it has to be said."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject, QTimer

from takeoff.language import number, tr, tr_count
from takeoff.plan.model import DrawingId
from takeoff.services.opened.opening import Opened
from takeoff.services.opened.room_proposals import Proposed
from takeoff.ui.panels.drawing_page import DrawingPage
from takeoff.ui.window.drawings.adding_drawings import AddingDrawings
from takeoff.ui.window.drawings.drawing_pages import DrawingPages
from takeoff.ui.window.drawings.known_drawings import KnownDrawing, KnownDrawings
from takeoff.ui.window.drawings.layer_questions import LayerQuestions
from takeoff.ui.window.drawings.rooms_anew import RoomsAnew
from takeoff.ui.window.drawings.size_question import SizeQuestion
from takeoff.ui.window.workspace import Workspace
from takeoff.views import drawing_asks


class Reading(QObject):
    """Keeps the Drawing page and the drawing of the storey that is shown together; each section has its keeper."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self._space = space
        self._document = space.document
        self._page: DrawingPage | None = None
        self._known = KnownDrawings(space.document)
        self.adding = AddingDrawings(space, self.keep, self.fill)
        self.size = SizeQuestion(space, self._known, self.adding.take_anew)
        self.pages = DrawingPages(space, self._known, self.adding.add)
        self._anew = RoomsAnew(space, self._known)
        self.layers = LayerQuestions(space, self._known, self._anew)
        self._anew.shown.connect(self.fill)
        self._anew.said.connect(self._say)
        self._document.opened.connect(self._start_anew)
        self._document.storey_changed.connect(self._storey_shown)
        space.files.taken.connect(self.take)

    # -- the page

    def make_page(self) -> DrawingPage:
        """The page, made when it is first shown."""
        page = DrawingPage()
        self.size.take_section(page.question)
        self.pages.take_section(page.pages)
        self.layers.take_sections(page.walls, page.layers)
        page.undo.connect(partial(self._space.acts.do, "undo"))
        self._page = page
        self.fill()
        page.say(self.layers.remembered())
        return page

    def fill(self) -> None:
        """Show everything as it is."""
        if self._page is not None:
            self._page.about.setText(self._about())
            self.size.show()
            self.pages.show()
            self.layers.show()

    def _say(self, sentence: str, can_undo: bool = False) -> None:
        if self._page is not None:
            self._page.say(sentence, can_undo)

    def _about(self) -> str:
        drawing, ref = self._document.drawing, self._document.ref
        if drawing is not None and drawing.picture is not None:
            wide, high = drawing.picture.width_px, drawing.picture.height_px
            return tr(
                "{drawing}: a picture of {width} × {height} pixels.",
                drawing=drawing.name,
                width=number(wide),
                height=number(high),
            )
        if drawing is not None:
            return tr_count(
                "{drawing}: {lines} line.",
                "{drawing}: {lines} lines.",
                len(drawing.lines),
                drawing=drawing.name,
                lines=number(len(drawing.lines)),
            )
        if ref is not None:
            return tr("Measured from {drawing}; its lines are not in this job.", drawing=ref.name)
        return tr("No drawing. Open one, or drop one on the window.")

    def doubtful(self) -> bool:
        """Whether the drawing leaves something open that the page asks about."""
        drawing = self._document.drawing
        return drawing is not None and (
            drawing.picture is not None
            or self.layers.walls_in_doubt()
            or drawing_asks.pages_of(drawing) > 1
            or self.size.in_doubt()
        )

    # -- another drawing

    def _start_anew(self) -> None:
        self._known.clear()
        self._say("")
        # What belongs to the file comes right after; a job that was taken back has nothing more to come.
        QTimer.singleShot(0, self, self.fill)

    def take(self, opened: Opened) -> None:
        """A file was opened: ask what it leaves open."""
        job, drawing = opened.job, opened.drawing
        known = KnownDrawing(opened)
        if drawing is not None and opened.kind == "drawing" and opened.guesses:
            roles = job.drawings[0].layer_roles if job.drawings else ()
            known.proposed = Proposed(drawing, job, opened.found, opened.guesses, roles)
            known.before[roles] = known.proposed, opened.findings
        if job.drawings and opened.kind == "drawing":
            self._known.keep(job.drawings[0].id, known)
        self.fill()
        if opened.kind == "drawing" and self.doubtful():
            self._space.show_step("drawing")
        self._say(self.layers.remembered())

    def keep(self, of: DrawingId, known: KnownDrawing) -> None:
        """What is known of a drawing that has come into the job, or was read otherwise; its page asks what it
        leaves open."""
        self._known.keep(of, known)
        if self.doubtful():
            self._space.show_step("drawing")
        self.fill()

    def _storey_shown(self, storey_id: str) -> None:
        del storey_id
        self.fill()
