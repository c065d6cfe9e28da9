"""What a tool is. Tools live in ``takeoff.ui.tools``; the view hands them plan millimetres."""

from __future__ import annotations

from typing import Protocol

import msgspec
from PySide6.QtCore import Qt

from takeoff.sheets.sheet_values import Point


class Pointer(msgspec.Struct, frozen=True):
    """Where the mouse is: plan mm, the reach of a click in mm at this zoom, and what is held down."""

    at: Point
    reach_mm: float
    shift: bool = False
    control: bool = False
    left_down: bool = False


class Tool(Protocol):
    """Gets what the user does on the plan. While dragging it shows previews; it edits once, on release.

    ``key`` returns whether the key was for the tool; Escape that no tool wants goes back to choosing.
    """

    name: str
    cursor: Qt.CursorShape

    def start(self) -> None:
        """The tool was taken up."""

    def stop(self) -> None:
        """The tool was laid down: take previews away."""

    def press(self, pointer: Pointer) -> None: ...

    def move(self, pointer: Pointer) -> None: ...

    def release(self, pointer: Pointer) -> None: ...

    def double_click(self, pointer: Pointer) -> None: ...

    def key(self, key: int, text: str, shift: bool, control: bool) -> bool: ...


class IdleTool:
    """Does nothing; base for tools that need only some of the calls."""

    name = ""
    cursor = Qt.CursorShape.ArrowCursor

    def start(self) -> None:
        """Nothing to prepare."""

    def stop(self) -> None:
        """Nothing to take away."""

    def press(self, pointer: Pointer) -> None:
        """Passed over."""

    def move(self, pointer: Pointer) -> None:
        """Passed over."""

    def release(self, pointer: Pointer) -> None:
        """Passed over."""

    def double_click(self, pointer: Pointer) -> None:
        """Passed over."""

    def key(self, key: int, text: str, shift: bool, control: bool) -> bool:
        """No key is for this tool."""
        return False
