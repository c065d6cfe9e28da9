"""A drawing more in the job: read beside the window, its storeys laid over those that are there, as one edit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QTimer

from takeoff.errors import InputError, TakeoffError
from takeoff.files.paths import state_folder
from takeoff.language import mark, tr
from takeoff.plan.job_drawings import drawing_called
from takeoff.plan.model import DrawingId, Job
from takeoff.services.opened.opening import Answers, Opened, kind_of, open_for_window
from takeoff.services.opened.several_drawings import OF_LAYING, Added, read_otherwise, with_drawing_of
from takeoff.storage import layer_profiles
from takeoff.ui import messages
from takeoff.ui.window.drawings.known_drawings import KnownDrawing
from takeoff.ui.window.workspace import Workspace

DRAWING_KINDS = mark("Drawings (*.dxf *.ifc *.ifczip *.pdf);;All files (*)")


class AddingDrawings(QObject):
    """``keep`` takes what is known of the drawing that has come; ``put_back`` shows the page as it was where
    nothing came of it."""

    def __init__(
        self, space: Workspace, keep: Callable[[DrawingId, KnownDrawing], None], put_back: Callable[[], None]
    ) -> None:
        super().__init__(space)
        self._space, self._document = space, space.document
        self._keep, self._put_back = keep, put_back
        self._waiting: list[Path] = []
        self._begun = False
        files = space.files
        files.dropped_together.connect(self.open_together)
        files.taken.connect(self._taken)
        files.failed.connect(self._go_on)
        space.long_work.stopped.connect(self._waiting.clear)

    # -- several at once

    def open_together(self, paths: Sequence[Path]) -> None:
        """Open the first, and add the others to it one after another; one that cannot be read is told and left out."""
        self._waiting[:] = paths
        self._begun = False
        self._go_on()

    def _taken(self, opened: Opened) -> None:
        del opened
        if self._waiting and not self._begun:
            self._begun = True
            QTimer.singleShot(0, self, self._go_on)

    def _go_on(self) -> None:
        """The next that waits."""
        if not self._waiting:
            return
        path = self._waiting.pop(0)
        if self._begun:
            self.add(path)
            return
        before = self._document.job
        self._space.files.open(path)
        if not self._space.long_work.busy and self._document.job is before and not self._begun:
            self._waiting.clear()  # the user keeps the job that is open

    # -- one

    def ask(self) -> None:
        """Ask for a drawing and add its storeys to the job."""
        path = messages.current().file_to_open(self._space.window, tr("Add a drawing as a storey"), tr(DRAWING_KINDS))
        if path is not None:
            self.add(path)

    def add(self, path: Path, page: int | None = None) -> None:
        """Read a drawing, or a page of a PDF, and lay its storeys over those of the job."""
        known, _ = layer_profiles.load(state_folder())
        try:
            if kind_of(path) in ("job", "picture"):
                raise InputError(
                    tr("{file} is not a drawing with lines: add a DXF, an IFC or a page of a PDF.", file=path.name)
                )
        except TakeoffError as error:
            self._space.tell(str(error))
            self._go_on()
            return
        answers = Answers(page=page, profiles=known)
        self._space.long_work.do(tr("Reading {file}", file=path.name), open_for_window, (path, answers), self._come)

    def take_anew(self, of: DrawingId, opened: Opened) -> None:
        """A drawing among others was read in another unit or at another scale."""
        self._put(tr("Read {file} otherwise", file=opened.path.name), opened, partial(_read_otherwise, of, opened))

    def _come(self, opened: Opened) -> None:
        self._put(tr("Add {file}", file=opened.path.name), opened, lambda job: with_drawing_of(job, opened))
        self._go_on()

    def _put(self, name: str, opened: Opened, edit: Callable[[Job], Added]) -> None:
        try:
            added = edit(self._document.job)
        except TakeoffError as error:
            self._space.tell(str(error))
            return
        if not self._document.apply(name, lambda job: added.job):
            self._put_back()
            return
        ref = drawing_called(added.job, added.of)
        known = KnownDrawing(opened, added.proposed, ref.laid if ref is not None else None)
        before = self._document.read_findings
        findings = (*before, *(f for f in added.findings if f not in before))
        if added.proposed is not None:
            known.before[added.proposed.roles] = added.proposed, findings
        if added.drawing is not None:
            self._document.read_again(added.of, added.drawing, findings)
        self._space.files.keeping.read_again()
        self._space.plan.show_drawing()
        first = next(storey for storey in self._document.job.storeys if storey.drawing == added.of)
        self._document.show_storey(str(first.id))
        self._space.say(next((f.text for f in added.findings if f.code in OF_LAYING), ""))
        self._keep(added.of, known)


def _read_otherwise(of: DrawingId, opened: Opened, job: Job) -> Added:
    return read_otherwise(job, of, opened)
