"""Opening, saving and writing sheets, with questions and long work in their places."""

from __future__ import annotations

import datetime
from pathlib import Path

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QProgressDialog, QWidget

from takeoff.errors import TakeoffError
from takeoff.files.atomic import write_bytes
from takeoff.services.contents import kind_of
from takeoff.services.measuring import Opened, job_json, open_file
from takeoff.services.opening import open_for_window, sample_job
from takeoff.storage import jobfile
from takeoff.storage.content import Content
from takeoff.ui import messages
from takeoff.ui.document import Document
from takeoff.ui.settings import Settings
from takeoff.ui.tasks import Process
from takeoff.ui.window.keeping import Keeping

OPEN_KINDS = "Drawings and jobs (*.takeoff *.dxf *.ifc *.pdf *.json);;All files (*)"
SAVE_KINDS = "Jobs (*.takeoff);;Jobs as JSON (*.json)"

_SHOW_AFTER_MS = 400
"""Work shorter than this shows no progress."""


class Files(QObject):
    """What a user does with files. ``in_order``: drawings are read here and now, for tests."""

    def __init__(self, window: QWidget, document: Document, settings: Settings, in_order: bool) -> None:
        super().__init__(window)
        self._window, self._document, self._settings = window, document, settings
        self._in_order = in_order
        self.keeping = Keeping(window, document, settings.path.parent / "recovery")
        self._reading: Process | None = None
        self._progress: QProgressDialog | None = None

    @property
    def busy(self) -> bool:
        """Whether a drawing is being read."""
        return self._reading is not None

    def start_with(self, path: Path | None) -> None:
        """What a start opens: work that a crash left, if it is taken back, else the given file, the last
        one, or the sample job."""
        if self.keeping.offer_back():
            return
        if path is not None:
            self.open(path)
        else:
            last = next((Path(name) for name in self._settings.value.recent if Path(name).is_file()), None)
            if last is None:
                self.open_sample()
            else:
                self.open(last)

    def rescue(self) -> Path | None:
        """The recovery copy of the job, when the program itself has failed; the next start offers it."""
        if self._document.stack.isClean():
            return None
        return self.keeping.flush() or self._settings.path.parent / "recovery"

    # -- opening

    def ask_and_open(self) -> None:
        """Ask for a file and open it."""
        path = messages.current().file_to_open(self._window, "Open a drawing or a job", OPEN_KINDS)
        if path is not None:
            self.open(path)

    def open_dropped(self, name: str) -> None:
        """Open a file that was dropped on the window."""
        self.open(Path(name))

    def open_sample(self) -> None:
        """Open the sample job."""
        path = sample_job()
        if path is None:
            self._tell("The sample job is missing from this installation: install the program again.")
        elif self.may_leave():
            self._open_here(path, remember=False)

    def open(self, path: Path) -> None:
        """Open a job at once, a drawing beside the window. What is wrong is said in one sentence."""
        if self._reading is not None or not self.may_leave():
            return
        try:
            kind = kind_of(path)
        except TakeoffError as error:
            self._tell(str(error))
            return
        if kind == "job" or self._in_order:
            self._open_here(path)
        else:
            self._open_beside(path)

    def _open_here(self, path: Path, remember: bool = True) -> None:
        try:
            opened = open_file(path)
            self._take(opened, remember)
        except TakeoffError as error:
            self._tell(str(error))

    def _open_beside(self, path: Path) -> None:
        self._progress = QProgressDialog(f"Reading {path.name}", "Stop", 0, 100, self._window)
        self._progress.setWindowModality(Qt.WindowModality.WindowModal)
        self._progress.setMinimumDuration(_SHOW_AFTER_MS)
        self._progress.setAutoClose(False)
        self._progress.setAutoReset(False)
        self._reading = Process(open_for_window, (path, None), self)
        self._reading.progress.connect(self._show_progress)
        self._reading.done.connect(self._read)
        self._reading.failed.connect(self._failed)
        self._reading.cancelled.connect(self._end_reading)
        self._progress.canceled.connect(self._reading.cancel)

    def _show_progress(self, part: float, text: str) -> None:
        if self._progress is not None:
            self._progress.setLabelText(text[:1].upper() + text[1:])
            self._progress.setValue(min(99, int(part * 100)))

    def _read(self, opened: Opened) -> None:
        self._end_reading()
        try:
            self._take(opened, remember=True)
        except TakeoffError as error:
            self._tell(str(error))

    def _failed(self, sentence: str) -> None:
        self._end_reading()
        self._tell(sentence)

    def _end_reading(self) -> None:
        if self._progress is not None:
            self._progress.close()
            self._progress.deleteLater()
            self._progress = None
        if self._reading is not None:
            self._reading.deleteLater()
            self._reading = None

    def _take(self, opened: Opened, remember: bool) -> None:
        path = opened.path if opened.kind == "job" and remember else None
        self._document.open(opened.job, opened.drawing, opened.findings, path)
        self.keeping.begin(opened.stored or Content(opened.job, opened.drawing, opened.findings))
        if remember:
            self._settings.opened(opened.path)

    def stop(self) -> None:
        """Stop reading, without a word."""
        if self._reading is not None:
            self._reading.cancel()

    # -- saving

    def may_leave(self) -> bool:
        """Whether the job may be left: it is saved, or the user says so."""
        if self._document.stack.isClean():
            return True
        answer = messages.current().ask(
            self._window, f"Save the changes to {self._document.job.name or 'this job'}?",
            (("save", "Save"), ("discard", "Do not save"), ("stay", "Go on working")))
        return self.save() if answer == "save" else answer == "discard"

    def save(self) -> bool:
        """Save to the job's file, or ask for one. Whether it was saved."""
        return self._write(self._document.path) if self._document.path else self.save_as()

    def save_as(self) -> bool:
        """Ask where to, and save. Whether it was saved."""
        name = f"{self._document.job.name or 'job'}{jobfile.EXTENSION}"
        path = messages.current().file_to_save(self._window, "Save the job", SAVE_KINDS, name)
        return self._write(path) if path is not None else False

    def _write(self, path: Path) -> bool:
        try:
            if path.suffix == ".json":
                write_bytes(path, job_json(self._document.job))
            else:
                jobfile.save(path, self.keeping.content())
        except TakeoffError as error:
            self._tell(str(error))
            return False
        self._document.saved(path)
        self._settings.opened(path)
        return True

    # -- sheets

    def write_sheets(self) -> None:
        """Ask for a folder and write everything into it."""
        folder = messages.current().folder(self._window, "Write the sheets into")
        if folder is None:
            return
        from takeoff.services.board import measured_of
        from takeoff.services.writing import document, write_everything

        try:
            measured = measured_of(self._document.state, self._document.findings, self._source())
            sheets = document(measured, datetime.date.today().isoformat())
            written = write_everything(measured, sheets, folder)
        except TakeoffError as error:
            self._tell(str(error))
            return
        self._tell(f"Written into “{folder}”: {', '.join(path.name for path in written[:2])} and "
                   f"{len(written) - 2} more.")

    def _source(self) -> str:
        drawing = self._document.job.drawing
        return drawing.name if drawing else self._document.job.name

    def _tell(self, sentence: str) -> None:
        messages.current().tell(self._window, sentence)
