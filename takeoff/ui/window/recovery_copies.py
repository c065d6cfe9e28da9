"""Work is kept: recovery copies within seconds of each edit, and what a crash left is offered back."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeVar

import msgspec
from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QWidget

from takeoff.errors import TakeoffError
from takeoff.language import mark, tr
from takeoff.storage.content import Attachment, Content, KeptState, needed_pictures
from takeoff.ui import messages
from takeoff.ui.document import Document

Done = TypeVar("Done")

ANSWERS = (("take", mark("Recover")), ("discard", mark("Discard")), ("later", mark("Decide later")))


class Keeping(QObject):
    """The recovery copy of the open job. ``folder``: where all copies of this user are."""

    def __init__(self, window: QWidget, document: Document, folder: Path) -> None:
        super().__init__(window)
        from takeoff.storage.recovery import Recovery

        self._window, self._document, self._folder = window, document, folder
        self._make = Recovery
        self._recovery = Recovery(folder)
        self._stored: Content | None = None
        self.pictures: dict[str, Attachment] = {}
        """Every picture of the job by its digest; also those whose photo was removed, since undo may bring
        it back. Only what the job speaks of is saved."""
        self._told = False
        self._due = QTimer(self)
        self._due.setSingleShot(True)
        self._due.timeout.connect(self.flush)
        document.changed.connect(self._edited)
        document.saved_changed.connect(self._saved)

    def begin(self, stored: Content) -> None:
        """Another job is open: what its file holds besides the job stays with it."""
        self._guarded(self._recovery.close)
        self._recovery = self._make(self._folder)
        self._stored, self._told = stored, False
        self.pictures = {picture.sha256: picture for picture in stored.pictures}

    def picture(self, sha256: str) -> bytes | None:
        """The bytes of a picture; None where the job's file has them not."""
        held = self.pictures.get(sha256)
        return held.data if held is not None else None

    def read_again(self) -> None:
        """The drawing was read otherwise: what was noticed then is kept with the job."""
        if self._stored is not None:
            self._stored = msgspec.structs.replace(self._stored, findings=self._document.read_findings)

    def keep_states(self, states: tuple[KeptState, ...]) -> None:
        """What was sent is kept with the job from now on, whatever is undone; it is still to be saved."""
        self._stored = msgspec.structs.replace(self._stored or Content(self._document.job), states=states)
        self._document.stack.resetClean()
        self._edited()

    def content(self) -> Content:
        """All that belongs to the open job, as it stands now."""
        job, drawings = self._document.job, self._document.drawings
        stored = self._stored or Content(job)
        return msgspec.structs.replace(
            stored, job=job, drawings=drawings, pictures=needed_pictures(job, self.pictures.values())
        )

    def flush(self) -> Path | None:
        """Write the recovery copy now, if an edit waits for it."""
        return self._guarded(self._recovery.flush)

    def close(self) -> None:
        """The job is left on purpose: nothing stays behind."""
        self._due.stop()
        self._guarded(self._recovery.close)

    def offer_back(self) -> bool:
        """Offer what a crash left; whether a job was taken back."""
        from takeoff.services.opened.bare_pictures import with_bare_pictures
        from takeoff.storage import offers

        found, unread = offers.offers(self._folder)
        if unread:
            self._tell("\n".join(f"{finding.text[:1].upper()}{finding.text[1:]}" for finding in unread))
        for offer in found:
            answer = messages.current().ask(self._window, offer.sentence, messages.in_words(ANSWERS))
            if answer == "discard":
                self._guarded(partial(offers.discard, offer))
            elif answer == "take":
                try:
                    content, lost = offers.restore_rest(offer)
                    content, noted = with_bare_pictures(content, offer.name)
                    self._document.open(content.job, content.drawings, content.findings, offer.path)
                except TakeoffError as error:
                    self._tell(str(error))
                    continue
                self.begin(content)
                # Taken back is not saved: leaving asks, and a copy of its own takes the place of the old.
                self._document.stack.resetClean()
                self._edited()
                if self.flush() is not None:
                    self._guarded(partial(offers.discard, offer))
                for finding in (*lost, *noted):
                    self._tell(finding.text)
                return True
        return False

    def _edited(self, before: object = None, after: object = None) -> None:
        del before, after
        self._recovery.note(self.content(), self._document.path)
        due = self._recovery.due_in_s()
        if due is not None:
            self._due.start(int(due * 1000) + 1)

    def _saved(self, clean: bool) -> None:
        if clean:
            self._due.stop()
            self._guarded(self._recovery.saved)

    def _guarded(self, work: Callable[[], Done]) -> Done | None:
        """Do it; where a copy cannot be written the user is told once, and the work goes on."""
        try:
            return work()
        except TakeoffError as error:
            if not self._told:
                self._told = True
                self._tell(tr("{error} Save your work yourself from time to time.", error=error))
            return None

    def _tell(self, sentence: str) -> None:
        messages.current().tell(self._window, sentence)
