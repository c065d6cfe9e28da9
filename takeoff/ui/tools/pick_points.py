"""Picking points on drawing or picture: ends of a known length, corners of a rectangle."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt

from takeoff.language import tr
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.canvas.tool import IdleTool, Pointer
from takeoff.ui.tools.aiming import REACH, Aim
from takeoff.ui.tools.tool_preview import Preview

_CROSS_PX = 7.0


class PickPoints(IdleTool):
    """Takes so many clicks and gives them to ``done``; Backspace takes the last one back.

    ``snaps``: points are drawn to the lines of the drawing, as they are while drawing a room; ``corners``: to these
    places instead.
    """

    cursor = Qt.CursorShape.CrossCursor

    def __init__(
        self,
        plan: Plan,
        name: str,
        count: int,
        done: Callable[[tuple[Point, ...]], None],
        say: Callable[[str], None],
        snaps: bool = True,
        corners: Sequence[Point] = (),
    ) -> None:
        self.name = name
        self._plan, self._count, self._done, self._say = plan, count, done, say
        self._aim = Aim(plan) if snaps and not corners else None
        self._corners = corners
        self._preview = Preview(plan)
        self._pointer: Pointer | None = None
        self.points: tuple[Point, ...] = ()

    def start(self) -> None:
        """Begin without a point."""
        self.points, self._pointer = (), None
        self._plan.view.zoomed.connect(self._zoomed)
        self._tell()

    def stop(self) -> None:
        """Take the marks away."""
        self._plan.view.zoomed.disconnect(self._zoomed)
        self._preview.clear()

    def press(self, pointer: Pointer) -> None:
        """A point more; the last one hands them on. A click on the point before it counts for nothing."""
        at = self._where(pointer)
        if len(self.points) < self._count and not any(
            math.dist(at, known) < 0.5 * pointer.reach_mm for known in self.points
        ):
            self.points = (*self.points, at)
            self._draw()
            self._tell()
            if len(self.points) == self._count:
                self._done(self.points)

    def move(self, pointer: Pointer) -> None:
        """Show where a click would be."""
        self._pointer = pointer
        self._draw()

    def key(self, key: int, text: str, shift: bool, control: bool) -> bool:
        """Backspace takes the last point back; Escape all of them, and then gives the tool up."""
        if key == Qt.Key.Key_Backspace and self.points:
            self.points = self.points[:-1]
        elif key == Qt.Key.Key_Escape and self.points and len(self.points) < self._count:
            self.points = ()
        else:
            return False
        self._draw()
        self._tell()
        return True

    def _where(self, pointer: Pointer) -> Point:
        near = [corner for corner in self._corners if math.dist(corner, pointer.at) < pointer.reach_mm * REACH]
        if near and not pointer.control:
            return min(near, key=lambda corner: math.dist(corner, pointer.at))
        snap = self._aim.at(pointer) if self._aim is not None else None
        return (snap.x, snap.y) if snap is not None else pointer.at

    def _tell(self) -> None:
        left = self._count - len(self.points)
        self._say(
            tr("{task}: {count} more", task=tr(self.name), count=left)
            if left and self.points
            else self.name
            if left
            else ""
        )

    def _zoomed(self, scale: float) -> None:
        del scale
        self._draw()

    def _draw(self) -> None:
        self._preview.clear()
        shown = list(self.points)
        if self._pointer is not None and len(shown) < self._count:
            shown.append(self._where(self._pointer))
        closed = self._count > 2 and len(shown) == self._count
        if len(shown) > 1:
            self._preview.course([(*p, 0.0) for p in shown], closed=closed, dash_mm=(1.2, 0.8))
        arm = _CROSS_PX / self._plan.view.px_per_mm
        for x, y in shown:
            self._preview.line((x - arm, y), (x + arm, y))
            self._preview.line((x, y - arm), (x, y + arm))
