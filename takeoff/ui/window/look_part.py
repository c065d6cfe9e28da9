"""The look at the chosen room in three dimensions, beside the wall strip."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QSplitter

from takeoff.language import tr
from takeoff.ui.actions import Action
from takeoff.ui.panels.room_picture import RoomLook
from takeoff.ui.window.workspace import Workspace

_SHARE_DOWN, _SHARE_ACROSS = 0.45, 0.42
"""Of the middle's height for strip and look, and of its width for the look, when it is brought up."""


def add(space: Workspace) -> None:
    """Give the window the look at a room."""
    Looking(space)


class Looking(QObject):
    """Brings the look up beside the strip, and takes it away again."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("looking")
        self._space = space
        self.panel = RoomLook(space.document, space.theme)
        self._before: list[int] = []
        self.lower = QSplitter(Qt.Orientation.Horizontal)
        self.lower.setHandleWidth(1)
        self.lower.setChildrenCollapsible(False)
        middle = space.frame.middle
        middle.insertWidget(middle.indexOf(space.frame.strip), self.lower)
        self.lower.addWidget(space.frame.strip)
        self.lower.addWidget(self.panel)
        middle.setStretchFactor(middle.indexOf(self.lower), 0)
        self.panel.hide()
        self.panel.close_button.clicked.connect(self.toggle)
        space.theme_changed.connect(self.panel.set_theme)
        space.acts.add(
            (
                Action(
                    "room-look",
                    "View",
                    tr("Room in three dimensions"),
                    self.toggle,
                    ("T",),
                    checked=lambda: self.is_shown,
                    group=2,
                    tip=tr("The selected room with all that is coated, turned by dragging"),
                ),
            )
        )
        space.frame.tool_row.add(space.acts.q("room-look"), words=(tr("3D"),), seldom=True)

    @property
    def is_shown(self) -> bool:
        """Whether it is there."""
        return not self.panel.isHidden()

    def toggle(self) -> None:
        """Bring it up, or take it away and leave the plan as large as it was."""
        middle = self._space.frame.middle
        if self.is_shown:
            self.panel.hide()
            if len(self._before) == middle.count():
                middle.setSizes(self._before)
            self._space.plan.view.setFocus()
        else:
            self._before = middle.sizes()
            self.panel.show()
            self._share()
            self.panel.refresh()
            self.panel.picture.setFocus()
        self._space.acts.refresh()

    def _share(self) -> None:
        sizes = self._space.frame.middle.sizes()
        tall, wide = sum(sizes), sum(self.lower.sizes())
        own = max(int(tall * _SHARE_DOWN), sizes[-1])
        self._space.frame.middle.setSizes([tall - own - sum(sizes[1:-1]), *sizes[1:-1], own])
        beside = int(wide * _SHARE_ACROSS)
        self.lower.setSizes([wide - beside, beside])
