"""Which sheets are wanted: of what, for whom, on what paper. Made beside the window."""

from __future__ import annotations

from typing import NamedTuple

from takeoff.errors import Finding, TakeoffError
from takeoff.services.measured.job_result import Measured
from takeoff.services.written.preview import Sheets, sheets_of
from takeoff.services.written.writing import Page
from takeoff.sheets.sheet_values import Paper
from takeoff.views.board import State, measured_of


class SheetsWanted(NamedTuple):
    """``read``: findings of reading and recognition; ``source``: the drawings by name; ``reader``: whose paper."""

    state: State
    read: tuple[Finding, ...]
    source: str
    reader: Paper
    paper: Page

    def measured(self) -> Measured:
        """What they are made of. Raises InputError for an unknown coating system."""
        return measured_of(self.state, self.read, self.source)


def made(wanted: SheetsWanted) -> Sheets | str:
    """The sheets, or why there are none."""
    try:
        return sheets_of(wanted.measured(), wanted.reader, wanted.paper)
    except TakeoffError as error:
        return str(error)
