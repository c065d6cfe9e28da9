"""The one undo command: it swaps two states. What is done was worked out before it is pushed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from PySide6.QtGui import QUndoCommand

S = TypeVar("S")


class Swap(QUndoCommand, Generic[S]):
    """Goes from ``before`` to ``after`` and back by assigning; never has a parent."""

    def __init__(self, name: str, before: S, after: S, assign: Callable[[S], None]) -> None:
        super().__init__(name)
        self._before, self._after, self._assign = before, after, assign

    def redo(self) -> None:
        """Assign the state after the edit."""
        self._assign(self._after)

    def undo(self) -> None:
        """Assign the state before the edit."""
        self._assign(self._before)
