"""What is known of the drawings of the job besides their lines, while the window is open."""

from __future__ import annotations

from takeoff.errors import Finding
from takeoff.plan.model import DrawingId, Laid
from takeoff.services.opened.layers import Said
from takeoff.services.opened.opening import Opened
from takeoff.services.opened.room_proposals import Proposed
from takeoff.ui.document import Document


class KnownDrawing:
    """What is known of one drawing of the job besides its lines: how it was opened, which a job from its
    file does not know (then only its layers can be said otherwise); its rooms as they were proposed, now
    and with other roles of its layers."""

    def __init__(
        self, opened: Opened | None = None, proposed: Proposed | None = None, laid: Laid | None = None
    ) -> None:
        self.opened, self.proposed, self.laid = opened, proposed, laid
        self.before: dict[Said, tuple[Proposed, tuple[Finding, ...]]] = {}

    def moved(self, laid: Laid) -> None:
        """It lies so now: what was proposed is found again where it lies, when it is asked for."""
        if self.laid not in (None, laid):
            self.proposed, self.laid = None, laid
            self.before.clear()


class KnownDrawings:
    """One for each drawing of the job that was opened, added or sorted."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._known: dict[DrawingId, KnownDrawing] = {}

    @property
    def here(self) -> KnownDrawing:
        """Of the drawing under the storey that is shown; nothing is known where there is none."""
        ref = self._document.ref
        return self.of(ref.id) if ref is not None else KnownDrawing()

    def of(self, drawing: DrawingId) -> KnownDrawing:
        """Of a drawing; a blank one, which is kept, where nothing is known yet."""
        return self._known.setdefault(drawing, KnownDrawing())

    def get(self, drawing: DrawingId) -> KnownDrawing | None:
        """Of a drawing; None where nothing is known."""
        return self._known.get(drawing)

    def keep(self, drawing: DrawingId, known: KnownDrawing) -> None:
        """This is known of it from now on."""
        self._known[drawing] = known

    def clear(self) -> None:
        """Another job is open."""
        self._known.clear()
