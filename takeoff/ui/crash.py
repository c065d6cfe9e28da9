"""When the program itself fails: save a copy of the work first, then say so."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Protocol

from takeoff.language import tr
from takeoff.ui import messages


class Rescue(Protocol):
    """What can save the work in a hurry. Must not ask, must not need the window."""

    def rescue(self) -> Path | None:
        """Write a recovery copy; its path, or None where there is nothing to lose."""


Hook = Callable[[type[BaseException], BaseException, TracebackType | None], object]


class CrashHook:
    """Stands in ``sys.excepthook`` from ``install`` until ``remove``.

    A second failure while the first is told is only printed, so that no box opens over a box.
    """

    def __init__(self, rescue: Rescue) -> None:
        self._rescue = rescue
        self._before: Hook = sys.excepthook
        self._telling = False

    def install(self) -> None:
        """From now on exceptions that nobody caught come here."""
        self._before = sys.excepthook
        sys.excepthook = self.handle

    def remove(self) -> None:
        """Put back what was there before."""
        if sys.excepthook == self.handle:
            sys.excepthook = self._before

    def handle(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        """Save, then tell. Ctrl-C goes its usual way."""
        if issubclass(kind, KeyboardInterrupt) or self._telling:
            self._before(kind, error, trace)
            return
        self._telling = True
        try:
            saved = self._save()
            details = "".join(traceback.format_exception(kind, error, trace))
            with suppress(OSError, ValueError, AttributeError):  # a start without a console has none
                sys.stderr.write(details)
            messages.current().tell(None, sentence_for(error, saved), details)
        finally:
            self._telling = False

    def _save(self) -> Path | Exception | None:
        try:
            return self._rescue.rescue()
        except Exception as second:  # noqa: BLE001 - whatever failed, it is told with the first failure
            return second


def sentence_for(error: BaseException, saved: Path | Exception | None) -> str:
    """What the user is told, where the copy is included."""
    head = tr("Takeoff has failed ({error}).", error=type(error).__name__)
    if isinstance(error, MemoryError):
        head = tr("There is not enough memory to continue: close other programs.")
    if isinstance(saved, Path):
        return tr(
            "{failure} Your work is saved in “{saved}”. Start Takeoff again to recover it.", failure=head, saved=saved
        )
    if saved is None:
        return tr("{failure} Nothing was unsaved. Please report it with the details below.", failure=head)
    return tr(
        "{failure} A copy could not be saved either ({saved}): save under another name now.", failure=head, saved=saved
    )
