"""The tour of a first start, and what an empty window says to do next."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.first_steps import EmptyPlan, TourBubble
from takeoff.ui.window.workspace import Workspace
from takeoff.views.job_steps import STOPS


class Tour(QObject):
    """Goes from stop to stop; knows which widget each stop speaks of."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self._space = space
        self._at = -1
        self.bubble = TourBubble(space.window)
        self.bubble.next.connect(self.next)
        self.bubble.back.connect(self.back)
        self.bubble.ended.connect(self.end)
        space.window.installEventFilter(self)

    @property
    def is_on(self) -> bool:
        """Whether a stop is shown."""
        return self._at >= 0

    def start(self) -> None:
        """From the first stop, with something chosen so that there is something to see."""
        document = self._space.document
        self._space.back_to_choosing()
        self._space.pages.show_page("card")
        if not document.choice and document.storey is not None and document.storey.rooms:
            document.choose((Ref("room", str(document.storey.rooms[-1].id)),))
        self._go(0)

    def next(self) -> None:
        """The next stop; after the last one the tour ends."""
        if self._at + 1 < len(STOPS):
            self._go(self._at + 1)
        else:
            self.end()

    def back(self) -> None:
        """The stop before."""
        self._go(max(self._at - 1, 0))

    def end(self) -> None:
        """End here; the next start does not begin it by itself."""
        self._at = -1
        self.bubble.end()
        self._space.plan.view.setFocus()
        if not self._space.settings.value.tour_seen:
            self._space.settings.change(tour_seen=True)

    def _go(self, number: int) -> None:
        self._at = number
        stop = STOPS[number]
        self.bubble.show_stop(stop, number + 1, len(STOPS), self._widget(stop.place))

    def _widget(self, place: str) -> QWidget:
        space = self._space
        if place == "card" or not space.frame.middle.isVisible():
            # the sheets may stand where the plan was
            space.pages.show_page("card")
        places: dict[str, QWidget] = {
            "steps": space.frame.steps,
            "plan": space.plan.view,
            "card": space.pages,
            "strip": space.frame.strip,
            "tools": space.frame.tool_row,
            "settle": space.frame.steps.button("settle"),
            "totals": space.frame.totals,
            "sheets": space.frame.top.button,
        }
        return places[place]

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """The bubble stays beside its widget when the window changes its size."""
        if event.type() == QEvent.Type.Resize and self.is_on:
            self.bubble.place_at(self._widget(STOPS[self._at].place))
        return super().eventFilter(watched, event)


def add(space: Workspace) -> None:
    """The tour under Help, and the words on an empty plan."""
    tour = Tour(space)
    empty = EmptyPlan(space.document, space.plan.view, lambda: space.plan.view.tool is space.choose)
    empty.wanted.connect(space.acts.do)
    space.plan.view.tool_changed.connect(empty.refresh)
    space.acts.add(
        (Action("tour", "Help", tr("Take the tour"), tour.start, (), tip=tr("Eight stops through the window")),)
    )
