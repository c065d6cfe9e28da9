"""The sheets written into a folder, all of them or the one that is shown, and shown there by the system."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import NamedTuple

from PySide6.QtCore import QObject, QUrl, Signal
from PySide6.QtGui import QDesktopServices

from takeoff.errors import TakeoffError
from takeoff.language import listed, tr
from takeoff.services.written.sheet_folder import refuse_another_jobs, write_parts
from takeoff.ui import messages
from takeoff.ui.window.sheets_wanted import SheetsWanted
from takeoff.ui.window.workspace import Workspace


class SheetExport(QObject):
    """``wanted``: what is on the page now. ``exported`` tells that there is something to be shown."""

    exported = Signal()

    def __init__(self, space: Workspace, wanted: Callable[[], SheetsWanted]) -> None:
        super().__init__(space)
        self._space, self._wanted = space, wanted
        self._first: Path | None = None
        """The first file of what was exported last."""

    def write(self) -> None:
        """Ask for a folder and write everything into it."""
        self._write(tr("Export sheets to"), False)

    def write_one(self) -> None:
        """Ask for a folder and write the paper that is shown into it, by itself."""
        self._write(tr("Export this sheet to"), True)

    def _write(self, title: str, only_shown: bool) -> None:
        folder = messages.current().folder(self._space.window, title)
        if folder is not None:
            self._space.say(tr("Exporting the sheets"))
            self._space.run(partial(_written, self._wanted(), folder, only_shown), self._told)

    def _told(self, done: Exported) -> None:
        self._tell(done.sentence)
        if done.first is not None:
            self._first = done.first
            self.exported.emit()

    def open_exported(self) -> None:
        """Let the system show the first file."""
        if self._first is not None:
            self._shown_elsewhere(self._first)

    def show_folder(self) -> None:
        """Let the system show where it lies."""
        if self._first is not None:
            self._shown_elsewhere(self._first.parent)

    def _shown_elsewhere(self, path: Path) -> None:
        """Let the system show a file or a folder; say where it is where it cannot."""
        if not path.exists():
            self._tell(tr("“{file}” is no longer there: export the sheets again.", file=path))
        elif not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
            self._tell(tr("Nothing here can open it. It is in “{file}”.", file=path))

    def _tell(self, sentence: str) -> None:
        self._space.say("")
        self._space.tell(sentence)


class Exported(NamedTuple):
    """What the user is told, and the first of the files; None where nothing was written."""

    sentence: str
    first: Path | None = None


def _written(wanted: SheetsWanted, folder: Path, only_shown: bool) -> Exported:
    """Beside the window: everything written, or only the paper that is shown, and what the user is told."""
    from takeoff.services.written.writing import document, letters_lacking, write_everything

    try:
        measured = wanted.measured()
        sheets = document(measured)
        refuse_another_jobs(folder, measured.job)
        draft = measured.has_errors
        if only_shown:
            written = write_parts(measured, sheets, folder, (wanted.reader,), wanted.paper, draft=draft)
        else:
            written = write_everything(measured, sheets, folder, wanted.paper, draft=draft)
    except TakeoffError as error:
        return Exported(str(error))
    more = [tr("{count} more", count=len(written) - 2)] if len(written) > 2 else []
    files = listed([*(path.name for path in written[:2]), *more])
    if measured.has_errors:
        said = tr("Exported as a draft to “{folder}”: {files}.", folder=folder, files=files)
    else:
        said = tr("Exported to “{folder}”: {files}.", folder=folder, files=files)
    return Exported(f"{said} {letters_lacking(sheets)}".rstrip(), written[0])
