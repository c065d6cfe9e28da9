"""How large a drawing is: its unit or scale asked about, and the drawing read again as it was answered."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import msgspec
from PySide6.QtCore import QObject

from takeoff.errors import TakeoffError
from takeoff.language import tr
from takeoff.plan.model import DrawingId
from takeoff.services.opened.opening import Answers, Opened, answered
from takeoff.sheets.sheet_values import Point
from takeoff.ui.panels.drawing_page import QuestionSection
from takeoff.ui.tools.pick_points import PickPoints
from takeoff.ui.window.drawings.known_drawings import KnownDrawings
from takeoff.ui.window.workspace import Workspace
from takeoff.views import drawing_asks


class SizeQuestion(QObject):
    """Keeps its section of the Drawing page. ``take_anew`` takes a drawing among others that was read otherwise."""

    def __init__(self, space: Workspace, known: KnownDrawings, take_anew: Callable[[DrawingId, Opened], None]) -> None:
        super().__init__(space)
        self._space, self._document = space, space.document
        self._known, self._take_anew = known, take_anew
        self._section: QuestionSection | None = None
        self._pick: PickPoints | None = None
        space.long_work.stopped.connect(self.show)

    def take_section(self, section: QuestionSection) -> None:
        """Its part of the page was made."""
        self._section = section
        section.answered.connect(self.answer)
        section.pick.connect(self.pick_length)
        section.length_typed.connect(self.take_length)
        section.refused.connect(self._space.say)

    def show(self) -> None:
        """Show the question as it stands, with what is taken chosen again."""
        if self._section is not None:
            self._section.show_question(None)
            self._section.show_question(self._question())

    def _question(self) -> drawing_asks.Question | None:
        drawing, opened = self._document.drawing, self._known.here.opened
        if drawing is None or opened is None or opened.raw is None:
            return None
        return drawing_asks.question(drawing, opened.job, self._document.read_findings)

    def in_doubt(self) -> bool:
        """Whether unit or scale have to be said."""
        asked = self._question()
        return asked is not None and asked.doubtful

    def answer(self, key: str) -> None:
        """Read the drawing in that unit, or at that scale."""
        opened, drawing, ref = self._known.here.opened, self._document.drawing, self._document.ref
        several = len(self._document.job.drawings) > 1
        if opened is None or drawing is None or not (several or self._space.files.may_leave()):
            self.show()
            return
        sheet = drawing_asks.is_sheet(drawing)
        said = ref.layer_roles if ref is not None else ()
        answers = Answers(unit=None if sheet else key, scale=key if sheet else None, said=said, lenient=True)
        lean = msgspec.structs.replace(opened, drawings={}, guesses=(), findings=())
        take = self._space.files.take
        then = partial(self._take_anew, ref.id) if several and ref is not None else take
        self._space.long_work.do(tr("Reading {file} again", file=opened.path.name), answered, (lean, answers), then)
        self.show()

    # -- a known length

    def pick_length(self) -> None:
        """Let two ends of a known length be clicked."""
        self._pick = PickPoints(
            self._space.plan, tr("Click both ends of a length that you know"), 2, self._picked, self._space.say
        )
        self._space.take(self._pick)

    def _picked(self, points: tuple[Point, ...]) -> None:
        if self._section is not None:
            self._section.show_picked(math.dist(*points))

    def take_length(self, length_mm: float | None) -> None:
        """The known length was typed: read the drawing so that it is right."""
        drawing, pick = self._document.drawing, self._pick
        if drawing is None or pick is None or len(pick.points) != 2 or length_mm is None:
            return
        try:
            if drawing_asks.is_sheet(drawing):
                key = f"{drawing_asks.scale_by_length(drawing, math.dist(*pick.points), length_mm):.9g}"
            else:
                key = drawing_asks.unit_by_length(drawing, math.dist(*pick.points), length_mm)
        except TakeoffError as error:
            self._space.say(str(error))
            return
        self._space.back_to_choosing()
        self.answer(key)
