"""Rooms proposed anew from the drawing that is shown, with its layers for what the user says."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from takeoff.errors import Finding, OutputError, TakeoffError
from takeoff.files.paths import state_folder
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.services.opened import layers
from takeoff.services.opened.room_proposals import LOST, Proposed, apart_from_rooms, merged, propose_with
from takeoff.ui.window.drawings.known_drawings import KnownDrawings
from takeoff.ui.window.workspace import Workspace
from takeoff.views import drawing_asks

_AT_ONCE = 6000
"""Drawings with fewer lines are proposed anew here and now, in tenths of a second."""


class RoomsAnew(QObject):
    """Puts each proposal into the user's job, as one edit, and follows undo to the one before."""

    shown = Signal()
    """Another proposal of the drawing that is shown is in the job, or none came of it."""
    said = Signal(str, bool)
    """What was lost of the user's work, "" for nothing, and whether it can be undone."""

    def __init__(self, space: Workspace, known: KnownDrawings) -> None:
        super().__init__(space)
        self._space, self._document, self._known = space, space.document, known
        self._document.changed.connect(self._changed)

    def roles(self) -> dict[str, str]:
        """What was said of layers of the drawing that is shown."""
        ref = self._document.ref
        return dict(ref.layer_roles) if ref is not None else {}

    def sort(self, roles: dict[str, str]) -> None:
        """Propose the rooms of the drawing anew, with the layers for what is said."""
        drawing = self._document.drawing
        if drawing is None or drawing_asks.is_model(drawing):
            return
        said = tuple(roles.items())
        if self._known.here.proposed is None:
            # A job from its file does not say what was proposed: that is found again first.
            old = tuple(self.roles().items())
            self._run(old, lambda found: self._found_before(found, said))
        else:
            self._run(said, self._found)

    def _run(self, said: layers.Said, then: Callable[[Proposed], None]) -> None:
        drawing, ref = self._document.drawing, self._document.ref
        if drawing is None or ref is None:
            return
        if len(drawing.lines) <= _AT_ONCE:
            try:
                then(propose_with(drawing, said, ref.id))
            except TakeoffError as error:
                self._space.say(str(error))
        else:
            self._space.long_work.do(tr("Finding the rooms again"), propose_with, (drawing, said, ref.id), then)

    def _found_before(self, found: Proposed, said: layers.Said) -> None:
        self._known.of(found.of).proposed = found
        self._run(said, self._found)

    def _found(self, now: Proposed) -> None:
        """Put the user's job and the new proposal together, as one edit."""
        known = self._known.of(now.of)
        before = known.proposed
        if before is None:
            return
        told: list[tuple[Finding, ...]] = []

        def edit(job: Job) -> Job:
            job, findings = merged(before, job, now)
            told.append(findings)
            return job

        about = apart_from_rooms(self._document.read_findings, before)
        if not self._document.apply(tr("Set what layers are for"), edit):
            self.shown.emit()
            return
        findings = (*about, *(told[-1] if told else ()))
        known.before[now.roles] = now, findings
        self._show(now, findings)
        self._remember(now)
        lost = [f"{f.text} {f.evidence}".strip() for f in findings if f.code in LOST]
        self.said.emit(" ".join(lost), True)

    def _show(self, now: Proposed, findings: tuple[Finding, ...]) -> None:
        """This is what is proposed: its lines, with each layer shown as it was, and what was found."""
        self._known.of(now.of).proposed = now
        self._document.read_again(now.of, now.drawing, findings)
        self._space.files.keeping.read_again()
        plan = self._space.plan
        shows = {
            layer.name: plan.linework.shows.get(k)
            for k, layer in enumerate(now.drawing.layers)
            if k in plan.linework.shows
        }
        plan.show_drawing()
        if now.drawing is not self._document.drawing:
            return  # of another storey than the one that is shown
        kept = {k: shows[layer.name] for k, layer in enumerate(now.drawing.layers) if layer.name in shows}
        plan.linework.show_layers({k: show for k, show in kept.items() if show is not None})
        self.shown.emit()

    def _remember(self, now: Proposed) -> None:
        try:
            layers.remember(state_folder(), now.drawing, now.roles)
        except OutputError as error:
            self._space.say(str(error))

    def _changed(self, before: object, after: object) -> None:
        """An edit, undo or redo: where it took other roles along, page and findings follow."""
        del before, after
        for ref in self._document.job.drawings:
            known = self._known.get(ref.id)
            if known is None:
                continue
            known.moved(ref.laid)
            proposed = known.before.get(ref.layer_roles)
            if proposed is not None and known.proposed is not None and proposed[0] is not known.proposed:
                self.said.emit("", False)
                self._show(*proposed)
