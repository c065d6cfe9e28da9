"""Which walls stand, and what each layer is for: asked and listed on the Drawing page, and shown on the plan."""

from __future__ import annotations

from PySide6.QtCore import QObject

from takeoff.drawing.model import Drawing
from takeoff.recognise.walls.layer_roles import LayerGuess
from takeoff.services.opened import layers
from takeoff.sheets.sheet_values import Point
from takeoff.ui.panels.drawing_page import LayersSection, WallsSection
from takeoff.ui.window.drawings.known_drawings import KnownDrawings
from takeoff.ui.window.drawings.rooms_anew import RoomsAnew
from takeoff.ui.window.workspace import Workspace
from takeoff.views import drawing_asks

_NEAR_MM = 2500.0
"""How much round a wall in question is shown."""


class LayerQuestions(QObject):
    """Keeps its two sections of the Drawing page; each answer proposes the rooms anew."""

    def __init__(self, space: Workspace, known: KnownDrawings, anew: RoomsAnew) -> None:
        super().__init__(space)
        self._space, self._document = space, space.document
        self._known, self._anew = known, anew
        self._sections: tuple[WallsSection, LayersSection] | None = None
        self._shown: (
            tuple[Drawing, tuple[LayerGuess, ...], tuple[layers.LayerRow, ...], tuple[layers.WallQuestion, ...]] | None
        ) = None

    def take_sections(self, walls: WallsSection, rows: LayersSection) -> None:
        """Their part of the page was made."""
        self._sections = walls, rows
        walls.answered.connect(self.say_of_walls)
        walls.shown_at.connect(self._show_place)
        rows.role_chosen.connect(self.say_of_layer)
        rows.show_changed.connect(self._show_layer)
        rows.anew.connect(self.guess_anew)

    # -- what is asked

    def show(self) -> None:
        """Show the questions on walls and the table of layers as they are; nothing of a picture."""
        if self._sections is None:
            return
        walls, listed = self._sections
        drawing = self._document.drawing
        if drawing is None or drawing.picture is not None:
            walls.show_questions(())
            listed.show_rows((), {}, {}, False)
            return
        rows, asked = self._seen(drawing)
        walls.show_questions(() if drawing_asks.is_model(drawing) else asked)
        numbers = {layer.name: k for k, layer in enumerate(drawing.layers)}
        listed.show_rows(
            rows,
            numbers,
            self._space.plan.linework.shows,
            bool(self.remembered()),
            sortable=not drawing_asks.is_model(drawing),
        )

    def walls_in_doubt(self) -> bool:
        """Whether there are walls of which it has to be said that they stand."""
        drawing = self._document.drawing
        if drawing is None or drawing.picture is not None or drawing_asks.is_model(drawing):
            return False
        return bool(self._seen(drawing)[1])

    def remembered(self) -> str:
        """What was taken as it was said of an earlier drawing, in words; "" where nothing was."""
        if all(f.code != "layers-remembered" for f in self._document.read_findings):
            return ""
        return layers.remembered_words(tuple(self._anew.roles().items()))

    def _seen(self, drawing: Drawing) -> tuple[tuple[layers.LayerRow, ...], tuple[layers.WallQuestion, ...]]:
        """The layer table and the questions on walls; worked out once for a drawing and its guesses."""
        guesses = self._guesses(drawing)
        if self._shown is None or self._shown[0] is not drawing or self._shown[1] != guesses:
            rows, asked = layers.seen(drawing, guesses)
            self._shown = (drawing, guesses, rows, asked)
        return self._shown[2:]

    def _guesses(self, drawing: Drawing) -> tuple[LayerGuess, ...]:
        proposed = self._known.here.proposed
        if proposed is not None and proposed.drawing is drawing:
            return proposed.guesses
        return layers.as_said(drawing, tuple(self._anew.roles().items()))

    # -- what is answered

    def say_of_walls(self, asked: tuple[str, ...], role: str) -> None:
        """Walls drawn in one way stand or come down."""
        self._anew.sort({**self._anew.roles(), **dict.fromkeys(asked, role)})

    def say_of_layer(self, layer: str, role: str) -> None:
        """A layer is for something else than was guessed."""
        self._anew.sort({**self._anew.roles(), layer: role})

    def guess_anew(self) -> None:
        """Nothing is said of layers any more, here or for the next drawing."""
        self._anew.sort({})

    # -- on the plan

    def _show_layer(self, number: int, show: str) -> None:
        if show in ("on", "dimmed", "off"):
            self._space.plan.linework.show_layers({number: show})  # type: ignore[dict-item]

    def _show_place(self, at: Point) -> None:
        x, y = at
        self._space.plan.view.show_area(x - _NEAR_MM, y - _NEAR_MM, x + _NEAR_MM, y + _NEAR_MM)
