"""The tour of a first start, and what an empty window says to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QWidget

from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.first_steps import EmptyPlan, TourBubble
from takeoff.views.job_steps import STOPS

if TYPE_CHECKING:
    from takeoff.ui.window.main import MainWindow


class Tour(QObject):
    """Goes from stop to stop; knows which widget each stop speaks of."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._at = -1
        self.bubble = TourBubble(window)
        self.bubble.next.connect(self.next)
        self.bubble.back.connect(self.back)
        self.bubble.ended.connect(self.end)
        window.installEventFilter(self)

    @property
    def is_on(self) -> bool:
        """Whether a stop is shown."""
        return self._at >= 0

    def start(self) -> None:
        """From the first stop, with something chosen so that there is something to see."""
        document = self._window.document
        self._window.back_to_choosing()
        self._window.sides.show_page("card")
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
        self._window.plan.view.setFocus()
        if not self._window.settings.value.tour_seen:
            self._window.settings.change(tour_seen=True)

    def _go(self, number: int) -> None:
        self._at = number
        stop = STOPS[number]
        self.bubble.show_stop(stop, number + 1, len(STOPS), self._widget(stop.place))

    def _widget(self, place: str) -> QWidget:
        window = self._window
        if place == "card" or not window.middle.isVisible():
            # the sheets may stand where the plan was
            window.sides.show_page("card")
        places: dict[str, QWidget] = {
            "steps": window.steps,
            "plan": window.plan.view,
            "card": window.sides,
            "strip": window.strip,
            "tools": window.tool_row,
            "settle": window.steps.button("settle"),
            "totals": window.totals,
            "sheets": window.top.button,
        }
        return places[place]

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """The bubble stays beside its widget when the window changes its size."""
        if event.type() == QEvent.Type.Resize and self.is_on:
            self.bubble.place_at(self._widget(STOPS[self._at].place))
        return super().eventFilter(watched, event)


def add(window: MainWindow) -> None:
    """The tour under Help, and the words on an empty plan."""
    tour = Tour(window)
    empty = EmptyPlan(window.document, window.plan.view, lambda: window.plan.view.tool is window.choose)
    empty.wanted.connect(window.acts.do)
    window.plan.view.tool_changed.connect(empty.refresh)
    window.acts.add((Action("tour", "Help", "Take the tour", tour.start, (), tip="Eight stops through the window"),))
