"""A picture under the plan: shown, straightened by four clicks or scaled by two, then traced."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, QTimer

from takeoff.errors import TakeoffError
from takeoff.language import mark, tr
from takeoff.plan.edits.paper_edits import place_picture
from takeoff.plan.model import PlacedPicture
from takeoff.services.opened import pictures
from takeoff.services.opened.pictures import Backdrop
from takeoff.sheets.sheet_values import Point
from takeoff.storage.content import Attachment
from takeoff.ui.canvas.backdrop import BackdropItem
from takeoff.ui.panels.drawing_picture import PictureSection
from takeoff.ui.tools.pick_points import PickPoints
from takeoff.ui.window.workspace import Workspace

_WORDS = {
    "rectangle": (mark("Click the four corners of a rectangle whose sides you know"), 4),
    "length": (mark("Click both ends of a length that you know"), 2),
}


class Tracing(QObject):
    """Keeps the picture on the canvas as the job says that it lies."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self._space = space
        self._document = space.document
        self.backdrop = BackdropItem(space.plan.view.scene(), lambda: space.theme.is_dark)
        self._section: PictureSection | None = None
        self._pick: PickPoints | None = None
        self._wanted: PlacedPicture | None = None
        self._lost = ""
        self._document.opened.connect(self._start_anew)
        self._document.changed.connect(self._changed)
        space.files.taken.connect(self._changed)

    def take_section(self, section: PictureSection) -> None:
        """The page is there: its signals come here."""
        self._section = section
        section.pick.connect(self.pick)
        section.straighten.connect(self.straighten)
        section.scale.connect(self.scale)
        section.trace.connect(self.trace)
        section.show_changed.connect(self._show)
        section.refused.connect(self._space.say)
        self._fill()

    @property
    def placed(self) -> PlacedPicture | None:
        """The job's picture as it lies; None for a job without one."""
        ref = self._document.ref
        return ref.picture if ref is not None else None

    # -- what a user does

    def pick(self, kind: str) -> None:
        """Let corners or ends be clicked on the picture."""
        words, count = _WORDS[kind]
        if self._section is not None:
            self._section.show_picked("rectangle" if kind == "rectangle" else "length", 0)
        done, say = partial(self._picked, kind), self._space.say
        self._pick = PickPoints(self._space.plan, tr(words), count, done, say, snaps=False)
        self._space.take(self._pick)

    def _picked(self, kind: str, points: tuple[Point, ...]) -> None:
        if self._section is not None:
            self._section.show_picked("rectangle" if kind == "rectangle" else "length", len(points))
        self._space.say(
            tr("Now type its width and height at the right")
            if kind == "rectangle"
            else tr("Now type its length at the right")
        )

    def straighten(self, width_mm: float, height_mm: float) -> None:
        """The rectangle's sides were typed."""
        pick, placed = self._pick, self.placed
        if pick is not None and placed is not None and len(pick.points) == 4:
            self._place(
                tr("Straighten the picture"), lambda: pictures.straightened_by(placed, pick.points, width_mm, height_mm)
            )

    def scale(self, length_mm: float) -> None:
        """The known length was typed."""
        pick, placed = self._pick, self.placed
        if pick is not None and placed is not None and len(pick.points) == 2:
            one, other = pick.points
            self._place(tr("Scale the picture"), lambda: pictures.scaled_by(placed, one, other, length_mm))

    def _place(self, name: str, work: Callable[[], PlacedPicture]) -> None:
        try:
            placed = work()
        except TakeoffError as error:
            self._space.say(str(error))
            return
        if self._document.apply(name, lambda job: place_picture(job, placed)):
            self._pick = None
            self._space.back_to_choosing()
            if self._section is not None:
                self._section.show_picked("rectangle", 0)
                self._section.show_picked("length", 0)
            if self._document.job.has_rooms:
                self._space.say(tr("The picture lies otherwise now; rooms stay where they were drawn"))

    def trace(self) -> None:
        """Take up the tool that draws a room."""
        self._space.acts.do("draw-room")

    # -- the canvas follows

    def _start_anew(self) -> None:
        self.backdrop.clear()
        self._space.plan.under = None
        self._wanted, self._lost = None, ""
        QTimer.singleShot(0, self, self._follow)

    def _changed(self, before: object = None, after: object = None) -> None:
        del before, after
        self._follow()

    def _follow(self) -> None:
        """Show the picture as the job says that it lies, if it is shown otherwise."""
        placed = self.placed
        if placed is None or placed == self._wanted:
            self._fill()
            return
        kept = self._kept(placed)
        if kept is None:
            self._lost = tr("The picture is not in this job: put it beside the job’s file and open that again.")
            self._fill()
            return
        self._wanted, self._lost = placed, ""
        self._fill()
        name = self._document.ref.name if self._document.ref is not None else tr("The picture")
        self._space.run(partial(_made, kept.data, placed, name), partial(self._come, placed))

    def _kept(self, placed: PlacedPicture) -> Attachment | None:
        held = self._space.files.keeping.content().pictures
        found = next((a for a in held if a.sha256 == placed.sha256), None)
        path, ref = self._document.path, self._document.ref
        if found is None and path is not None and ref is not None:
            found = pictures.find_picture(path.parent, ref)
        return found

    def _come(self, placed: PlacedPicture, made: Backdrop | str) -> None:
        if placed != self._wanted:
            return
        if isinstance(made, str):
            self._lost = made
        else:
            plan = self._space.plan
            self.backdrop.put(made, plan.view.origin)
            plan.under = made.box
            if not self._document.job.has_rooms:
                plan.fit()
        self._fill()

    def _fill(self) -> None:
        if self._section is not None:
            self._section.show_picture(self.placed, self.backdrop.box is not None, self._lost)

    def _show(self, show: str) -> None:
        if show in ("on", "dimmed", "off"):
            self.backdrop.set_show(show)  # type: ignore[arg-type]


def _made(data: bytes, placed: PlacedPicture, name: str) -> Backdrop | str:
    """Beside the window: the picture as it lies, or why it cannot be shown."""
    try:
        return pictures.backdrop(data, placed, name)
    except TakeoffError as error:
        return str(error)
