"""The table of figures in the middle of the window, and lighting up where a figure comes from."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QSplitter

from takeoff.language import tr
from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.card import Asked
from takeoff.ui.panels.figures_table import FiguresPanel
from takeoff.ui.window.workspace import Workspace
from takeoff.views.figure_places import Traced, together, trace_dims, trace_figure
from takeoff.views.table_lines import ITEMS, FigureLine

_SHARE_BELOW, _SHARE_BESIDE = 0.4, 0.5
"""Of the middle, when the table is brought up; afterwards the user moves the line."""


class Wanted(msgspec.Struct, frozen=True):
    """What is lit: of one room, of a storey's rooms, or (both "") of the whole job's shown storey."""

    room: str
    storey: str
    key: str
    name: str
    asked: Asked | None = None


class Lighting(QObject):
    """Knows what is lit, keeps it true while the job changes, lets go of it when something else is chosen."""

    def __init__(self, space: Workspace, panel: FiguresPanel) -> None:
        super().__init__(space)
        self._space, self._panel = space, panel
        self._wanted: Wanted | None = None
        self._own_choice = False
        document = space.document
        document.opened.connect(self.clear)
        document.changed.connect(self._follow)
        document.storey_changed.connect(self._storey_shown)
        document.chosen_changed.connect(self._chosen)
        space.plan.view.escaped.connect(self.clear)

    @property
    def wanted(self) -> Wanted | None:
        """What is lit; None for nothing."""
        return self._wanted

    def light_figure(self, line: FigureLine | None, column: int) -> None:
        """Light a figure of the table: of a room, which is chosen with it, of a storey, of the job."""
        item = ITEMS[column]
        if line is None:
            self._want(Wanted("", "", item.key, tr("{item}, total", item=tr(item.name))))
        elif line.kind == "storey":
            self._space.document.show_storey(line.id)
            self._want(Wanted("", line.id, item.key, tr("{item}, {storey}", item=tr(item.name), storey=line.name)))
        else:
            self._choose(line.id)
            said = tr(
                "{item}, {room}: {figure} {unit}",
                item=tr(item.name),
                room=line.name,
                figure=line.figures[column],
                unit=item.unit,
            )
            self._want(Wanted(line.id, "", item.key, said))

    def light_asked(self, asked: object) -> None:
        """Light a figure of the card, or one line of it; None lets go."""
        choice = self._space.document.choice
        if isinstance(asked, Asked) and choice:
            said = tr("{item}: {figure}", item=asked.name, figure=asked.figure)
            self._want(Wanted(choice[-1].room_id, "", asked.key, said, asked))
        else:
            self.clear()

    def clear(self) -> None:
        """Light nothing."""
        self._wanted = None
        self._show(Traced())

    def _want(self, wanted: Wanted) -> None:
        self._wanted = wanted
        self._show(self._trace(wanted))

    def _trace(self, wanted: Wanted) -> Traced:
        document = self._space.document
        if wanted.asked is not None:
            return trace_dims(document.state, wanted.room, wanted.asked.dims)
        if wanted.room:
            return trace_figure(document.state, wanted.room, wanted.key)
        storey = document.storey
        rooms = [str(room.id) for room in storey.rooms] if storey is not None else []
        return together([trace_figure(document.state, room, wanted.key) for room in rooms])

    def _show(self, traced: Traced) -> None:
        space, wanted = self._space, self._wanted
        space.plan.light(traced)
        choice = space.document.choice
        own = bool(choice) and choice[-1].room_id == traced.room
        space.frame.strip.faces.light(traced.faces if own else ())
        space.frame.card.show_lit(wanted.asked if wanted else None)
        self._panel.say(wanted.name if wanted else "")

    def _choose(self, room: str) -> None:
        """Choose the room of a figure while the page at the right stays as it is."""
        document = self._space.document
        if not document.choice or document.choice[-1].room_id != room or len(document.choice) > 1:
            self._own_choice = True
            self._space.choose_ref(Ref("room", room))
            self._own_choice = False

    def _follow(self, before: object, after: object) -> None:
        """An edit may move what is lit; a line of dims that is no more is let go of."""
        del before, after
        wanted = self._wanted
        if wanted is not None and wanted.asked is not None:
            self.clear()
        elif wanted is not None:
            self._want(wanted)

    def _storey_shown(self, storey: str) -> None:
        wanted = self._wanted
        if wanted is None:
            return
        if wanted.room or (wanted.storey and wanted.storey != storey):
            self.clear()
        else:
            self._want(wanted)

    def _chosen(self, before: object, after: object) -> None:
        del before, after
        if not self._own_choice and self._wanted is not None:
            self.clear()


class Middle(QObject):
    """Brings the table up below the plan or beside it, and takes it away again."""

    def __init__(self, space: Workspace, panel: FiguresPanel) -> None:
        super().__init__(space)
        self._space, self._panel = space, panel
        self._below = True
        self._before: list[int] = []
        """Heights of plan and strip before the table came up below, to go back to."""
        self.across = QSplitter(Qt.Orientation.Horizontal)
        self.across.setHandleWidth(1)
        self.across.setChildrenCollapsible(False)
        space.frame.middle.insertWidget(0, self.across)
        self.across.addWidget(space.plan.view)
        space.frame.middle.insertWidget(1, panel)
        space.frame.middle.setStretchFactor(0, 4)
        space.frame.middle.setStretchFactor(1, 0)
        panel.hide()
        panel.moved.connect(self.swap)
        panel.closed.connect(self.toggle)

    @property
    def is_shown(self) -> bool:
        """Whether the table is there."""
        return not self._panel.isHidden()

    def toggle(self) -> None:
        """Bring the table up, or take it away."""
        if not self.is_shown and self._below:
            self._before = self._space.frame.middle.sizes()
        self._panel.setHidden(self.is_shown)
        if self.is_shown:
            self._share()
            self._panel.refresh()
            self._panel.table.setFocus()
        else:
            self._go_back()
            self._space.plan.view.setFocus()
        self._space.acts.refresh()

    def swap(self) -> None:
        """Beside the plan instead of below it, or the other way."""
        self._below = not self._below
        if self._below:
            self._before = self._space.frame.middle.sizes()
            self._space.frame.middle.insertWidget(1, self._panel)
        else:
            self.across.addWidget(self._panel)
            self._go_back()
        self._panel.show_place(self._below)
        self._panel.show()
        self._share()
        self._space.acts.refresh()

    def _go_back(self) -> None:
        """Plan and strip as high as they were."""
        if len(self._before) > 1:
            self._space.frame.middle.setSizes(
                [self._before[0], 0, self._before[-1]]
                if self._space.frame.middle.count() > 2
                else [self._before[0], self._before[-1]]
            )
            self._before = []

    def _share(self) -> None:
        if self._below:
            tall = sum(self._space.frame.middle.sizes())
            strip = min(self._space.frame.strip.height(), self._space.frame.strip.minimumHeight() + 10)
            own = int(tall * _SHARE_BELOW)
            self._space.frame.middle.setSizes([tall - own - strip, own, strip])
        else:
            wide = sum(self.across.sizes())
            own = int(wide * _SHARE_BESIDE)
            self.across.setSizes([wide - own, own])


def add(space: Workspace) -> None:
    """The table, its place, and what a click on a figure does."""
    panel = FiguresPanel(space.document)
    lighting, middle = Lighting(space, panel), Middle(space, panel)
    panel.asked.connect(lighting.light_figure)
    panel.picked.connect(space.choose_ref)
    space.frame.card.figure_asked.connect(lighting.light_asked)
    space.acts.add(
        (
            Action(
                "figures",
                "View",
                tr("Figures"),
                middle.toggle,
                ("Ctrl+T",),
                checked=lambda: middle.is_shown,
                group=2,
                tip=tr("Every room by item, with totals and what to order, below or beside the plan"),
            ),
            Action(
                "figures-place",
                "View",
                tr("Figures below or beside the plan"),
                middle.swap,
                (),
                lambda: middle.is_shown,
                group=2,
            ),
            Action(
                "unlight",
                "View",
                tr("Stop showing where a figure comes from"),
                lighting.clear,
                (),
                lambda: lighting.wanted is not None,
                group=2,
            ),
        )
    )
