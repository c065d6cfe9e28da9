"""Opening, saving and writing sheets, with questions and long work in their places."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import msgspec
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from takeoff.errors import TakeoffError
from takeoff.files.atomic import write_bytes
from takeoff.files.from_outside import within_memory
from takeoff.files.paths import state_folder
from takeoff.language import listed, mark, tr, tr_count
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import job_json
from takeoff.services.opened.opening import Answers, Opened, kind_of, open_file, open_for_window, sample_job
from takeoff.services.written.firm import with_firm
from takeoff.storage import jobfile, layer_profiles
from takeoff.storage.content import Content
from takeoff.ui import messages
from takeoff.ui.document import Document
from takeoff.ui.settings import Settings
from takeoff.ui.window.holding import Claim, Holding
from takeoff.ui.window.long_work import LongWork
from takeoff.ui.window.recovery_copies import Keeping

OPEN_KINDS = mark(
    "Drawings, pictures and jobs (*.takeoff *.dxf *.ifc *.ifczip *.pdf *.png *.jpg *.jpeg *.tif *.tiff *.json);;"
    "All files (*)"
)
DRAWING_ENDINGS = {ending.lstrip("*") for ending in OPEN_KINDS.partition("(")[2].partition(")")[0].split()}
"""The endings of what can be opened."""

DRAWINGS, JOBS = frozenset({".dxf", ".ifc", ".ifczip", ".pdf"}), frozenset({".takeoff", ".json"})
"""The endings of what can stand beside others in one job, and of jobs."""

DAMAGED = "job-file-damaged"
"""The finding of a job file of which a part is lost."""
SAVE_KINDS = mark("Jobs (*.takeoff);;Jobs as JSON (*.json)")


class Files(QObject):
    """What a user does with files. Drawings are read by ``long_work``."""

    taken = Signal(object)
    """The Opened that the window shows now."""
    dropped_together = Signal(object)
    """Paths of drawings that are the storeys of one job, the lowest first; a job may come before them."""
    failed = Signal()
    """What was to be read could not be, and why was told."""

    def __init__(self, window: QWidget, document: Document, settings: Settings, long_work: LongWork) -> None:
        super().__init__(window)
        self._window, self._document, self._settings = window, document, settings
        self._long_work = long_work
        long_work.failed.connect(self.failed)
        self.keeping = Keeping(window, document, settings.path.parent / "recovery")
        self.holding = Holding(window)

    def start_with(self, path: Path | None) -> None:
        """What a start opens: work that a crash left, if it is taken back, else the given file, the last
        one, or the sample job."""
        if self.keeping.offer_back():
            taken = self._document.path
            self.holding.hold(taken, self.holding.claim(taken) if taken is not None else None)
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
        path = messages.current().file_to_open(self._window, tr("Open a drawing or a job"), tr(OPEN_KINDS))
        if path is not None:
            self.open(path)

    def open_dropped(self, paths: Sequence[Path]) -> None:
        """Open what was dropped on the window: several drawings as the storeys of one job, where the user says so,
        else the first; with one sentence about what cannot be opened or does not belong to them."""
        if len(paths) == 1:
            self.open(paths[0])
            return
        known = [path for path in paths if path.suffix.lower() in DRAWING_ENDINGS and path.is_file()]
        unknown = [path for path in paths if path not in known]
        if not known:
            self._tell(
                tr_count(
                    "The {count} file that was dropped is not a drawing or a job: nothing was opened.",
                    "None of the {count} files that were dropped is a drawing or a job: nothing was opened.",
                    len(paths),
                )
            )
            return
        drawings = [path for path in known if path.suffix.lower() in DRAWINGS]
        jobs = [path for path in known if path.suffix.lower() in JOBS]
        together = [*jobs[:1], *in_storey_order(drawings)] if drawings else []
        left = [_no_drawing(unknown)] if unknown else []
        if len(together) < 2:
            others = [path for path in known if path != known[0]]
            left += [tr("Open {files} one at a time.", files=files_listed(others))] if others else []
            opened = tr(
                "Of the {count} files that were dropped, {file} is opened.", count=len(paths), file=known[0].name
            )
            self._tell(" ".join((opened, *left)))
            self.open(known[0])
            return
        others = [path for path in known if path not in together]
        left += [tr("To open by themselves: {files}.", files=files_listed(others))] if others else []
        answers = (
            ("together", tr_count("One job of {count} drawing", "One job of {count} drawings", len(together))),
            ("first", tr("Only {file}", file=together[0].name)),
            ("stay", tr("None of them")),
        )
        asked = tr("Are {files} one building?", files=files_listed(together))
        answer = messages.current().ask(self._window, " ".join((*left, asked)), answers)
        if answer == "together":
            self.dropped_together.emit(tuple(together))
        elif answer == "first":
            self.open(together[0])

    def start_empty(self) -> bool:
        """An empty job, where the open one may be left; whether it is there."""
        if self._long_work.busy or not self.may_leave():
            return False
        job = with_firm(Job())
        self._document.open(job)
        self.keeping.begin(Content(job))
        self.holding.hold(None)
        return True

    def open_sample(self) -> None:
        """Open the sample job."""
        path = sample_job()
        if path is None:
            self._tell(tr("The sample job is missing from this installation: install the program again."))
        elif self.may_leave():
            self._open_here(path, remember=False)

    def open(self, path: Path) -> None:
        """Open a job at once, a drawing beside the window. What is wrong is said in one sentence."""
        if self._long_work.busy or not self.may_leave():
            return
        try:
            kind = kind_of(path)
        except TakeoffError as error:
            self._tell(str(error))
            self.failed.emit()
            return
        if kind == "job":
            self._open_here(path)
        else:
            self.open_with(path, Answers())

    def open_with(self, path: Path, answers: Answers) -> None:
        """Open a drawing with what the user says of it, and with what was remembered of layers."""
        known, lost = layer_profiles.load(state_folder())

        def take(opened: Opened) -> None:
            self.take(msgspec.structs.replace(opened, findings=(*lost, *opened.findings)))

        answers = msgspec.structs.replace(answers, profiles=known)
        self._long_work.do(tr("Reading {file}", file=path.name), open_for_window, (path, answers), take)

    def _open_here(self, path: Path, remember: bool = True) -> None:
        claim = self.holding.claim(path) if remember else Claim()
        if claim is None:
            return
        try:
            with within_memory(path):
                opened = open_file(path)
                self.take(opened, remember, claim)
        except TakeoffError as error:
            self.holding.give_back(claim)
            self._tell(str(error))
            self.failed.emit()
            return
        for finding in opened.findings:
            if finding.code == DAMAGED:
                self._tell(
                    tr(
                        "{finding} It is saved under another name, so that the damaged file stays.",
                        finding=finding.text,
                    )
                )

    def take(self, opened: Opened, remember: bool = True, claim: Claim | None = None) -> None:
        """Show what was opened. Raises TakeoffError where it cannot be measured; the old job stays."""
        damaged = any(finding.code == DAMAGED for finding in opened.findings)
        path = opened.path if opened.kind == "job" and remember and not damaged else None
        self._document.open(opened.job, opened.drawings, opened.findings, path)
        self.keeping.begin(opened.stored or Content(opened.job, opened.drawings, opened.findings))
        self.holding.hold(path, claim)
        if remember:
            self._settings.opened(opened.path)
        self.taken.emit(opened)

    # -- saving

    def may_leave(self) -> bool:
        """Whether the job may be left: it is saved, or the user says so."""
        if self._document.stack.isClean():
            return True
        answer = messages.current().ask(
            self._window,
            tr("Save the changes to “{job}”?", job=self._document.job.name)
            if self._document.job.name
            else tr("Save the changes to this job?"),
            (("save", tr("Save")), ("discard", tr("Don’t save")), ("stay", tr("Cancel"))),
        )
        return self.save() if answer == "save" else answer == "discard"

    def save(self) -> bool:
        """Save to the job's file, or ask for one. Whether it was saved."""
        return self._write_asking(self._document.path) if self._document.path else self.save_as()

    def save_as(self) -> bool:
        """Ask where to, and save. Whether it was saved."""
        name = f"{file_name_of(self._document.job.name)}{jobfile.EXTENSION}"
        path = messages.current().file_to_save(self._window, tr("Save the job"), tr(SAVE_KINDS), name)
        return self._write_asking(path) if path is not None else False

    def _write_asking(self, path: Path) -> bool:
        """Save there, unless it would go over another's work and the user thinks better of it."""
        go = self.holding.may_write(path)
        if go == "as":
            return self.save_as()
        return self._write(path) if go == "write" else False

    def _write(self, path: Path) -> bool:
        if path.suffix == ".json" and self.keeping.content().states:
            said = tr(
                "{file} has no room for what was sent: save the job as {ending}.",
                file=path.name,
                ending=jobfile.EXTENSION,
            )
            self._tell(said)
            return False
        try:
            if path.suffix == ".json":
                write_bytes(path, job_json(self._document.job))
            else:
                jobfile.save(path, self.keeping.content())
        except TakeoffError as error:
            self._tell(tr("{error} The job here is unchanged and not saved.", error=error))
            return False
        self.holding.written(path)
        self._document.saved(path)
        photos = len(self._document.job.photos)
        if photos and path.suffix == ".json":
            self._tell(
                tr_count(
                    "{file} has {count} photo without its picture: JSON has no room for it. Save as {ending} too.",
                    "{file} has {count} photos without pictures: JSON has no room for them. Save as {ending} too.",
                    photos,
                    file=path.name,
                    ending=jobfile.EXTENSION,
                )
            )
        self._settings.opened(path)
        return True

    def _tell(self, sentence: str) -> None:
        messages.current().tell(self._window, sentence)


_MOST_LISTED = 4
_STOREYS = (
    r"basement|cellar|keller|kg|ug|sous[ _-]?sol|sótano|sotano",
    r"ground|erdgeschoss|eg|rez|planta[ _-]?baja",
    r"first|1st|upper|obergeschoss|og|1og",
    r"second|2nd|2og",
    r"third|3rd|3og",
    r"attic|loft|roof|dach\w*|dg|combles",
)
"""What drawings are called, from the lowest storey up."""


def in_storey_order(paths: Sequence[Path]) -> list[Path]:
    """The drawings from the lowest storey up, as far as their names say; else as they come."""

    def rank(path: Path) -> float:
        words = re.split(r"[^\w]|_", path.stem.lower())
        found = [k for k, names in enumerate(_STOREYS) if any(re.fullmatch(names, word) for word in words)]
        return found[0] if found else 1.5

    return sorted(paths, key=rank)


def _no_drawing(paths: Sequence[Path]) -> str:
    """Which of the files that were dropped are none that can be opened."""
    return tr_count("Not a drawing: {files}.", "Not drawings: {files}.", len(paths), files=files_listed(paths))


def files_listed(some: Sequence[Path]) -> str:
    """ "a.dxf, b.dxf and c.dxf": files by their names, the first few of many."""
    names = [path.name for path in some[:_MOST_LISTED]]
    if len(some) > _MOST_LISTED:
        names.append(tr("{count} more", count=len(some) - _MOST_LISTED))
    return listed(names)


_NO_FILE_NAME = re.compile(r'[\\/:*?"<>|\x00-\x1f]+')


def file_name_of(job_name: str) -> str:
    """A job's name as that of its file, without ending: without that of the drawing that it was named after,
    and without what no file may be called by.

    >>> file_name_of("ground.dxf"), file_name_of("Mill Lane 3/4"), file_name_of("")
    ('ground', 'Mill Lane 3 4', 'job')
    """
    path = Path(job_name)
    name = path.stem if path.suffix.lower() in DRAWING_ENDINGS else job_name
    return _NO_FILE_NAME.sub(" ", name).strip(" .") or "job"
