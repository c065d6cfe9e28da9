"""Storeys laid over one another: the one below shown under the plan, and two points that set a drawing right."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject

from takeoff.errors import TakeoffError
from takeoff.language import percent, tr
from takeoff.plan.edits.drawing_edits import then_laid
from takeoff.plan.model import Storey
from takeoff.recognise.laid_over import laid_by_points, share_as_laid
from takeoff.services.opened.several_drawings import laid_anew
from takeoff.sheets.sheet_values import Point
from takeoff.ui.actions import Action
from takeoff.ui.canvas.other_storey import OtherStorey
from takeoff.ui.tools.pick_points import PickPoints
from takeoff.ui.window.workspace import Workspace
from takeoff.views.naming import storey_name


def add(space: Workspace) -> None:
    """Give the window what lays storeys over one another."""
    Laying(space)


class Laying(QObject):
    """Two places are clicked on the storey that is shown, then the same two on the storey under it."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("laying")
        self._space, self._document = space, space.document
        self._item = OtherStorey(space.plan.view.scene(), space.theme)
        self.is_shown = False
        self.pick: PickPoints | None = None
        space.theme_changed.connect(self._item.set_theme)
        for signal in (self._document.opened, self._document.changed, self._document.storey_changed):
            signal.connect(self._follow)
        space.acts.add(
            (
                Action(
                    "storey-below",
                    "View",
                    tr("Outlines of the storey below"),
                    self.toggle,
                    ("Shift+B",),
                    self._has_other,
                    lambda: self.is_shown,
                    tr("The rooms of the storey below as dashed outlines, to see how the two lie"),
                    2,
                ),
                Action(
                    "lay-over",
                    "Heights",
                    tr("Lay the drawing over the storey below…"),
                    self.begin,
                    (),
                    self._can_lay,
                    group=5,
                    tip=tr("Click two places on this storey, then the same two on the storey below"),
                ),
            )
        )

    def toggle(self) -> None:
        """Show the storey below, or take it away."""
        self.is_shown = not self.is_shown
        self._follow()
        self._space.acts.refresh()

    def begin(self) -> None:
        """Ask for two places on the storey that is shown."""
        storey = self._document.storey
        if storey is not None:
            words = tr("Click two places on {storey} that the storey below has too", storey=storey_name(storey))
            self._pick_two(words, partial(self._shown_here, str(storey.id)))

    def _shown_here(self, storey_id: str, here: tuple[Point, ...]) -> None:
        other = self._other()
        if other is None:
            return
        # the tool in hand is at work still: the next is taken up when it has come back
        self._document.show_storey(str(other.id))
        words = tr("Click the same two places on {storey}, in the same order", storey=storey_name(other))
        self._pick_two(words, partial(self._shown_there, storey_id, here))

    def _shown_there(self, storey_id: str, here: tuple[Point, ...], there: tuple[Point, ...]) -> None:
        self._space.back_to_choosing()
        storey = next((s for s in self._document.job.storeys if s.id == storey_id), None)
        ref = next((r for r in self._document.job.drawings if storey is not None and r.id == storey.drawing), None)
        self._document.show_storey(storey_id)
        if storey is None or ref is None:
            return
        try:
            moved = laid_by_points((here[0], here[1]), (there[0], there[1]))
        except TakeoffError as error:
            self._space.say(str(error))
            return
        laid = then_laid(ref.laid, moved)
        if self._document.apply(tr("Lay the drawing over"), lambda job: laid_anew(job, ref.id, laid)):
            self._say_share(storey_id)

    def _say_share(self, storey_id: str) -> None:
        storeys = self._document.job.storeys
        mine = [s for s in storeys if s.id == storey_id]
        rest = [s for s in storeys if mine and s.drawing != mine[0].drawing]
        self._space.say(
            tr("{share} of its walls lie over walls now", share=percent(round(100.0 * share_as_laid(rest, mine))))
        )

    def _pick_two(self, words: str, done: object) -> None:
        self.pick = PickPoints(self._space.plan, words, 2, done, self._space.say)  # type: ignore[arg-type]
        self._space.take(self.pick)

    # -- what lies below

    def _other(self) -> Storey | None:
        """The storey under the one that is shown that is of another drawing, else the next above it."""
        storey, storeys = self._document.storey, self._document.job.storeys
        if storey is None:
            return None
        at = [s.id for s in storeys].index(storey.id)
        near = [*reversed(storeys[:at]), *storeys[at + 1 :]]
        return next((s for s in near if s.drawing != storey.drawing), None)

    def _below(self) -> Storey | None:
        storey, storeys = self._document.storey, self._document.job.storeys
        at = [s.id for s in storeys].index(storey.id) if storey is not None else 0
        return storeys[at - 1] if at else None

    def _has_other(self) -> bool:
        return len(self._document.job.storeys) > 1

    def _can_lay(self) -> bool:
        storey = self._document.storey
        return storey is not None and storey.drawing is not None and self._other() is not None

    def _follow(self, before: object = None, after: object = None) -> None:
        del before, after
        self._item.show(self._below() if self.is_shown else None, self._space.plan.view.origin)
