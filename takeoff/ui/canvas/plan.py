"""The plan of the document's storey: listens to the document, updates what differs."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from takeoff.drawing.model import Drawing
from takeoff.plan.model import Storey
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas import chosen
from takeoff.ui.canvas.corner_spots import NEAR_MM, CornerSpots, edge_of
from takeoff.ui.canvas.items import Items
from takeoff.ui.canvas.linework import LineworkLayers
from takeoff.ui.canvas.lit import LitItems
from takeoff.ui.canvas.pieces import Board
from takeoff.ui.canvas.targets import Picking, picking_of
from takeoff.ui.canvas.view import PlanView
from takeoff.ui.document import Choice, Document, Ref
from takeoff.ui.themes import Theme
from takeoff.views.board import State
from takeoff.views.figure_places import Traced

_NEARLY = 0.6
"""Openings and walls are hit from so many clicks' reaches beside them: 4 px."""

_LATER_MS = 400
"""Quiet time after an edit before the walls of a large storey are drawn anew."""


_EMPTY_MM = (-1_500.0, -1_500.0, 8_000.0, 5_500.0)
"""What is shown of an empty plan: a large room fits in."""


class Plan(QObject):
    """Keeps view and document together. Tools get this: it tells what is hit and shows previews."""

    redrawn = Signal()
    """The storey on screen is another one."""

    def __init__(self, document: Document, theme: Theme, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document, self.theme = document, theme
        self.view = PlanView(theme)
        self.items = Items(self.view.scene(), theme)
        self.linework = LineworkLayers(self.view.scene(), theme)
        self._chosen = chosen.ChosenItems(self.view.scene(), theme)
        self.lit = LitItems(self.view.scene(), theme)
        self._board = Board((0.0, 0.0))
        self.under: tuple[float, float, float, float] | None = None
        """What a picture under the plan covers: shown where there is nothing else."""
        self._picking: tuple[Storey, Picking] | None = None
        self._spots = CornerSpots()
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(_LATER_MS)
        self._later.timeout.connect(self.draw_whole)
        document.opened.connect(self.start_anew)
        document.changed.connect(self._changed)
        document.chosen_changed.connect(self._choose)
        document.storey_changed.connect(self._show_storey)
        self.view.zoomed.connect(self.items.fit_labels)
        self.view.zoomed.connect(self._zoomed)
        self.start_anew()

    def start_anew(self) -> None:
        """Show another job: a local origin of its own, everything fitted."""
        origin = self._origin()
        self.view.origin = self.items.origin = self._chosen.origin = self.lit.origin = origin
        self.lit.clear()
        self._board = Board(origin)
        self.items.clear()
        self._drawn: Drawing | None = None
        self.show_drawing()
        # the zoom first: labels are fitted to it once, as they are made
        self.fit()
        self._draw(self.document.state)
        self._choose((), self.document.choice)

    def show_drawing(self) -> None:
        """Show the linework of the drawing under the storey that is shown, if another is shown."""
        drawing = self.document.drawing
        if drawing is not self._drawn or drawing is None:
            self._drawn = drawing
            has_rooms = self.document.job.has_rooms
            self.linework.set_drawing(drawing, self.view.origin, dimmed=has_rooms)

    def fit(self) -> None:
        """Show the whole storey, or the drawing where there is no room; else a place for a first room."""
        self.view.set_box(*(self._box() or _EMPTY_MM))
        self.view.fit()

    def zoom_to_chosen(self) -> None:
        """Show what is chosen; everything when nothing is."""
        storey = self.document.storey
        box = chosen.box_of(storey, self.document.choice) if storey else None
        if box is None:
            self.fit()
        else:
            margin = 0.25 * max(box[2] - box[0], box[3] - box[1])
            self.view.show_area(box[0] - margin, box[1] - margin, box[2] + margin, box[3] + margin)

    def choose_next(self, step: int) -> None:
        """Choose the next room of the storey, or the one before; from the first or last round again."""
        storey = self.document.storey
        if storey is None or not storey.rooms:
            return
        rooms = [str(room.id) for room in storey.rooms]
        here = self.document.choice[-1].room_id if self.document.choice else ""
        at = rooms.index(here) + step if here in rooms else (0 if step > 0 else -1)
        self.document.choose((Ref("room", rooms[at % len(rooms)]),))

    def choose_next_wall(self, step: int) -> None:
        """Choose the next wall of the room that is chosen, or the one before; of the first room where none is."""
        storey = self.document.storey
        if storey is None or not storey.rooms:
            return
        last = self.document.choice[-1] if self.document.choice else None
        room = next((room for room in storey.rooms if last and room.id == last.room_id), storey.rooms[0])
        sides = [str(side.id) for side in room.sides]
        here = sides.index(last.id) + step if last and last.kind == "side" and last.id in sides else min(step, 0)
        if sides:
            self.document.choose((Ref("side", sides[here % len(sides)], str(room.id)),))

    def hit(self, at: Point, reach_mm: float) -> Ref | None:
        """What a click at a plan point means: what a question mark there is of, else what lies there or a few
        pixels beside; None beside everything."""
        return self.asked_at(at) or next(iter(self.hits(at, reach_mm * _NEARLY)), None)

    def asked_at(self, at: Point) -> Ref | None:
        """The room or the opening whose question mark is drawn at a plan point."""
        kind, _, name = self.items.asked_at(at).partition(":")
        storey = self.document.storey
        if kind == "room":
            return Ref("room", name)
        opening = next((o for o in storey.openings if o.id == name), None) if storey and kind == "opening" else None
        return Ref("opening", name, str(opening.room)) if opening is not None else None

    def hits(self, at: Point, reach_mm: float = 0.0) -> tuple[Ref, ...]:
        """Everything at a plan point, or so near to it, the best first."""
        picking = self._targets()
        return picking.at(*at, reach_mm) if picking else ()

    def within(self, one: Point, other: Point) -> tuple[Ref, ...]:
        """What lies wholly in a box."""
        picking = self._targets()
        return picking.within(*one, *other) if picking else ()

    def corners_at(self, at: Point, reach_mm: float, near_mm: float = NEAR_MM) -> tuple[Ref, ...]:
        """The corner at a plan point, over all its height; nothing beside all. ``near_mm``: where corners
        alone are meant, take the whole reach."""
        storey = self.document.storey
        reach = min(reach_mm, near_mm)
        return self._spots.at(self.document.state, storey, at, reach) if storey else ()

    def corners_within(self, one: Point, other: Point) -> tuple[Ref, ...]:
        """The external and internal corners in a box."""
        storey = self.document.storey
        return self._spots.within(self.document.state, storey, one, other) if storey else ()

    def set_theme(self, theme: Theme) -> None:
        """Show everything in other colours."""
        self.theme = theme
        self.view.set_theme(theme)
        self.linework.set_theme(theme)
        self.items.set_theme(theme)
        self._chosen.set_theme(theme)
        self.lit.set_theme(theme, self.document.storey)
        self._choose((), self.document.choice)

    def light(self, traced: Traced) -> None:
        """Light up where a figure comes from, in place of the outline of what is chosen."""
        storey = self.document.storey
        if storey is None or traced.is_empty:
            self.lit.clear()
        else:
            self.lit.show(storey, traced)
        self._choose((), self.document.choice)

    def _targets(self) -> Picking | None:
        storey = self.document.storey
        if storey is None:
            return None
        if self._picking is None or self._picking[0] is not storey:
            self._picking = (storey, picking_of(storey, self._board.openings))
        return self._picking[1]

    def _changed(self, before: State, after: State) -> None:
        del before
        if self.document.drawing is not self._drawn:
            self.show_drawing()
        self._draw(after)
        self._choose((), self.document.choice)

    def _show_storey(self, storey_id: str) -> None:
        del storey_id
        self.show_drawing()
        self._draw(self.document.state)
        self._choose((), self.document.choice)
        self.fit()
        self.redrawn.emit()

    def _draw(self, state: State, whole: bool = False) -> None:
        storey = self.document.storey
        self.items.show(self._board.pieces(state, storey, whole) if storey else {})
        if not self._board.complete:
            self._later.start()

    def draw_whole(self) -> None:
        """Draw what a large storey had left for later."""
        self._later.stop()
        self._draw(self.document.state, whole=True)

    def _choose(self, before: Choice, after: Choice) -> None:
        del before
        storey = self.document.storey
        if storey is None:
            self._chosen.clear()
        else:
            state = self.document.state
            self._chosen.px_per_mm = self.view.px_per_mm
            self._chosen.show(
                storey,
                after,
                lambda ref: edge_of(state, storey, ref),
                outlined=self.lit.traced.is_empty,
                written=self.items.taken_boxes(),
                drawn=self._board.openings,
            )

    def _zoomed(self, px_per_mm: float) -> None:
        """Letters of walls keep their size, and so want other places."""
        del px_per_mm
        if self.document.choice:
            self._choose((), self.document.choice)

    @property
    def letters(self) -> dict[str, Point]:
        """Where the letters of the chosen rooms' walls stand, plan mm, by side."""
        return dict(self._chosen.letters)

    def _origin(self) -> Point:
        box = self._box()
        if box is None:
            return 0.0, 0.0
        # whole metres, so that nothing is lost by shifting back and forth
        return tuple(round(v / 1000.0) * 1000.0 for v in box[:2])  # type: ignore[return-value]

    def _box(self) -> tuple[float, float, float, float] | None:
        storey = self.document.storey
        points = [(s.x_mm, s.y_mm) for r in storey.rooms for s in r.outline] if storey else []
        points += [vertex[:2] for ring in storey.building for vertex in ring] if storey else []
        if not points and self.document.drawing is not None and len(self.document.drawing.lines):
            lines = self.document.drawing.lines
            ends = [a[:, k : k + 2] for a in (lines.segments, lines.arcs) if len(a) for k in (0, 2)]
            low = [float(min(e[:, axis].min() for e in ends)) for axis in (0, 1)]
            high = [float(max(e[:, axis].max() for e in ends)) for axis in (0, 1)]
            return low[0], low[1], high[0], high[1]
        if not points:
            return self.under
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        # walls stand outside of rooms
        return min(xs) - 300.0, min(ys) - 300.0, max(xs) + 300.0, max(ys) + 300.0
