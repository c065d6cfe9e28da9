"""The chosen room in three dimensions: the picture with its heading and the sides to see it from."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from takeoff.geometry.seen import View
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.fields import small_button
from takeoff.ui.panels.room_picture import FROM_ABOVE, FROM_BELOW, RoomPicture
from takeoff.ui.panels.words import Elided
from takeoff.ui.themes import Theme
from takeoff.views.board import State
from takeoff.views.cards import place_of
from takeoff.views.room_look import room_look


class RoomLook(QWidget):
    """The picture with its heading; follows the chosen room."""

    def __init__(self, document: Document, theme: Theme) -> None:
        super().__init__()
        self._document = document
        self._shown: State | None = None
        self.setProperty("part", "strip")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.heading = Elided()
        self.picture = RoomPicture(theme)
        self.above = small_button("Above", "Look into the room from above: its floor and walls")
        self.below = small_button("Below", "Look into the room from below: its ceiling and walls")
        self.close_button = small_button("×", "Take the look at the room away")
        self._build()
        self.picture.clicked.connect(self._clicked)
        document.opened.connect(self.refresh)
        document.changed.connect(self._changed)
        document.chosen_changed.connect(self._listen)

    def _build(self) -> None:
        head = QHBoxLayout()
        head.setContentsMargins(14, 6, 10, 2)
        head.setSpacing(5)
        head.addWidget(self.heading, 1)
        for button, view in ((self.above, FROM_ABOVE), (self.below, FROM_BELOW)):
            head.addWidget(button)
            button.clicked.connect(self._show_above if view is FROM_ABOVE else self._show_below)
        head.addWidget(self.close_button)
        down = QVBoxLayout(self)
        down.setContentsMargins(1, 0, 0, 0)
        down.setSpacing(0)
        down.addLayout(head)
        down.addWidget(self.picture, 1)
        tabs: list[QWidget] = [self.above, self.below, self.close_button, self.picture]
        for before, after in pairwise(tabs):
            QWidget.setTabOrder(before, after)

    def set_theme(self, theme: Theme) -> None:
        """Paint in other colours."""
        self.picture.set_theme(theme)

    def refresh(self) -> None:
        """Show the room of what was chosen last; while hidden nothing is worked out."""
        if not self.isVisible():
            self._shown = None
            return
        choice, state = self._document.choice, self._document.state
        room = choice[-1].room_id if choice else ""
        look = self.picture.look
        if look is None or look.room != room or self._shown is None or _differs(self._shown, state, room):
            look = room_look(state, room) if room else None
            self._shown = state
        self.heading.say(look.title if look is not None else "No room chosen")
        self.picture.show_look(look, choice)

    def showEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """What was chosen or changed while it was hidden."""
        del event
        self.refresh()

    def _show_above(self) -> None:
        self.picture.turn_to(View(self.picture.view.round_deg, FROM_ABOVE.up_deg))

    def _show_below(self) -> None:
        self.picture.turn_to(View(self.picture.view.round_deg, FROM_BELOW.up_deg))

    def _clicked(self, ref: object) -> None:
        if isinstance(ref, Ref):
            self._document.choose((ref,))

    def _changed(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()


def _differs(before: State, after: State, room: str) -> bool:
    """Whether a room may look otherwise: its storey is another, or kinds of wall and bead are."""
    one, other = place_of(before.job, room), place_of(after.job, room)
    return (
        one is None
        or other is None
        or one[0] is not other[0]
        or before.job.wall_types is not after.job.wall_types
        or before.room(room) is not after.room(room)
    )
