"""What is known of the drawing that is shown before rooms are filled in it: read once, beside the window."""

from __future__ import annotations

from collections.abc import Callable

from takeoff.drawing.model import Drawing
from takeoff.recognise.round_point.known_ground import Ground
from takeoff.services.opened.layers import Said
from takeoff.services.opened.room_proposals import ground_to_fill
from takeoff.ui.tasks import Process
from takeoff.ui.window.workspace import Workspace

_AT_ONCE = 1500
"""Drawings with fewer lines are read here and now, in tenths of a second."""


class GroundKnown:
    """Of the drawing that is shown, with its layers for what they were said to be."""

    def __init__(self, space: Workspace) -> None:
        self._space, self._document = space, space.document
        self._known: tuple[Drawing, Said, Ground] | None = None
        self._reading: tuple[Drawing, Said] | None = None
        self._process: Process | None = None
        self._then: Callable[[Ground], None] | None = None

    def begin(self) -> None:
        """Read it beside the window, where it is not known yet and takes a while."""
        wanted = self._wanted()
        if wanted is None or self._here() is not None or self._space.long_work.in_order:
            return
        if len(wanted[0].lines) > _AT_ONCE and self._reading != wanted:
            self._stop()
            self._reading = wanted
            process = self._process = Process(ground_to_fill, wanted, self._space)
            process.done.connect(self._done)
            process.failed.connect(self._failed)

    def ask(self, then: Callable[[Ground], None]) -> bool:
        """Give it to ``then``, now or once it is read. Whether it was given now."""
        wanted, ground = self._wanted(), self._here()
        if wanted is None:
            return False
        if ground is None and (self._space.long_work.in_order or len(wanted[0].lines) <= _AT_ONCE):
            ground = ground_to_fill(*wanted)
            self._known = (*wanted, ground)
        if ground is not None:
            then(ground)
            return True
        self._then = then
        self.begin()
        return False

    def forget(self) -> None:
        """What was asked for is not wanted any more."""
        self._then = None

    def _wanted(self) -> tuple[Drawing, Said] | None:
        drawing, ref = self._document.drawing, self._document.ref
        return (drawing, ref.layer_roles if ref is not None else ()) if drawing is not None else None

    def _here(self) -> Ground | None:
        wanted, known = self._wanted(), self._known
        if wanted is None or known is None or known[0] is not wanted[0] or known[1] != wanted[1]:
            return None
        return known[2]

    def _done(self, ground: Ground) -> None:
        reading, then = self._reading, self._then
        self._stop()
        if reading is not None:
            self._known = (*reading, ground)
        if then is not None and self._here() is not None:
            then(ground)

    def _failed(self, sentence: str) -> None:
        self._stop()
        self._space.tell(sentence)

    def _stop(self) -> None:
        process, self._process = self._process, None
        self._reading, self._then = None, None
        if process is not None:
            process.blockSignals(True)
            process.cancel()
            process.deleteLater()
