"""Heights in the window: their page, the heights at corners on the plan, a corner's height by click."""

from __future__ import annotations

import math
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.geometry.curves import Point
from takeoff.language import tr
from takeoff.ui.actions import Action
from takeoff.ui.panels.heights_page import HeightsPage
from takeoff.ui.tools.corner_tools import CornerHeight
from takeoff.ui.tools.tool_preview import Preview
from takeoff.ui.window.workspace import Workspace
from takeoff.units.printing import fmt2
from takeoff.views.storey_heights import room_view

_OFF_PX, _WIDE_PX, _TALL_PX = 24.0, 34.0, 18.0
"""So far into the room from its corner a height is written, and what it takes there."""

_LEVEL_MM = 1.0
"""A ceiling whose corners differ by less is level."""


def add(space: Workspace) -> None:
    """Give the window all that is done with heights."""
    Heights(space)


class Heights(QObject):
    """Keeps page, tool and the figures on the plan together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("heights")
        self._space, self._document = space, space.document
        kit = space.kit()
        self.tool = CornerHeight(kit)
        self.figures = Preview(space.plan)
        space.pages.register("heights", partial(HeightsPage, space.document))
        for kind in ("room", "side"):
            space.stays.add(("heights", kind))
        space.acts.add(self._rows())
        space.frame.tool_row.add(space.acts.q("heights"), words=(tr("Heights"),), seldom=True)
        space.pages.shown.connect(self._listen)
        space.theme_changed.connect(self._listen)
        space.plan.view.tool_changed.connect(self._show)
        space.plan.view.zoomed.connect(self._listen)
        document = self._document
        document.opened.connect(self._show)
        document.changed.connect(self._listen_both)
        document.chosen_changed.connect(self._listen_both)
        document.storey_changed.connect(self._listen)

    def _rows(self) -> tuple[Action, ...]:
        space, view = self._space, self._space.plan.view

        return (
            Action(
                "heights",
                "Heights",
                tr("Heights of storey and room"),
                partial(space.show_step, "heights"),
                ("H",),
                tip=tr("Storey, room, corners, slopes, build-ups"),
            ),
            Action(
                "corner-height",
                "Heights",
                tr(self.tool.name),
                self._take,
                ("Shift+H",),
                self._space.has_rooms,
                lambda: view.tool is self.tool,
                tr("Click a corner, type how high the ceiling is there"),
            ),
            Action(
                "slopes",
                "Heights",
                tr("Slopes by eaves and pitch or ridge"),
                self._show_slopes,
                (),
                self._space.has_rooms,
                tip=tr("Eaves height with pitch or ridge, a level piece"),
            ),
            Action(
                "build-ups",
                "Heights",
                tr("Build-ups of floor and ceiling"),
                self._show_build_ups,
                (),
                self._space.has_rooms,
                tip=tr("Screed is added, lining is taken away"),
            ),
        )

    def page(self) -> QWidget:
        """The page of heights, made if it was not yet."""
        return self._space.pages.page("heights")

    def _take(self) -> None:
        self._space.show_step("heights")
        self._space.take(self.tool)

    def _show_slopes(self) -> None:
        self._show_field("slopes")

    def _show_build_ups(self) -> None:
        self._show_field("screed")

    def _show_field(self, which: str) -> None:
        self._space.show_step("heights")
        page = self.page()
        if isinstance(page, HeightsPage):
            page.show_part(which)

    # -- the heights at the corners, on the plan

    def _show(self) -> None:
        """The height of the ceiling at every corner of the chosen room, while the page is there."""
        self.figures.clear()
        document = self._document
        if self._space.pages.current != "heights" or not document.choice:
            return
        storey, room_id = document.storey, document.choice[-1].room_id
        if storey is None or all(room.id != room_id for room in storey.rooms):
            return
        view = room_view(document.state, room_id)
        heights = [corner.height_mm for corner in view.corners] if view is not None else []
        aims = self._space.plan.view.tool is self.tool
        # of a level ceiling the page says it all
        if view is None or (not aims and max(heights, default=0.0) - min(heights, default=0.0) < _LEVEL_MM):
            return
        scale = self._space.plan.view.px_per_mm
        taken: list[Point] = []
        # in a narrow room they stand nearer to its corners
        off_x, off_y = (
            min(_OFF_PX, scale * (max(c.at[k] for c in view.corners) - min(c.at[k] for c in view.corners)) / 4.0)
            for k in (0, 1)
        )
        count = len(view.corners)
        for k, corner in enumerate(view.corners):
            way = _into(view.corners[k - 1].at, corner.at, view.corners[(k + 1) % count].at)
            spot = corner.at[0] * scale + way[0] * off_x, corner.at[1] * scale + way[1] * off_y
            if any(abs(spot[0] - x) < _WIDE_PX and abs(spot[1] - y) < _TALL_PX for x, y in taken):
                continue
            taken.append(spot)
            # the view's y runs down
            self.figures.word(corner.at, fmt2(corner.height_mm / 1000.0), (way[0] * off_x, -way[1] * off_y))

    # -- listeners

    def _listen(self, value: object) -> None:
        del value
        self._show()

    def _listen_both(self, before: object, after: object) -> None:
        del before, after
        self._show()


def _into(before: Point, at: Point, after: Point) -> Point:
    """The way from a corner into the room, along the middle of its angle (rooms lie to the left of their
    sides), longer than one for slanting ways: words are wide."""

    def unit(a: Point, b: Point) -> Point:
        length = math.dist(a, b) or 1.0
        return (b[0] - a[0]) / length, (b[1] - a[1]) / length

    (ax, ay), (bx, by) = unit(before, at), unit(at, after)
    # the normals to the left of both sides
    nx, ny = -ay - by, ax + bx
    largest = max(abs(nx), abs(ny)) or 1.0
    return nx / largest, ny / largest
