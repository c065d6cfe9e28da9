"""What all drawing tools share: aim, preview, typed numbers, the read-out and their keys."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Generic, NamedTuple, TypeVar

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QKeyEvent

from takeoff.errors import InputError
from takeoff.geometry.curves import Point
from takeoff.language import tr
from takeoff.plan.model import Job, Storey, StoreyId
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.canvas.tool import IdleTool, Pointer
from takeoff.ui.tools.aiming import Aim
from takeoff.ui.tools.entry import Entry
from takeoff.ui.tools.tool_preview import Preview, Readout
from takeoff.units.printing import dim3, printed, shown_short

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)

_READ = 6.0
"""Why an edit was refused stands until the mouse has gone so many clicks' reaches away."""

_REST = 2.5
"""After something was placed nothing hangs at the pointer until it has gone so many clicks' reaches away."""

Edit = Callable[[Job], Job]
Hand = TypeVar("Hand")


class Kit(NamedTuple):
    """What every drawing tool works with. ``say`` shows, in the window's foot, what to do next."""

    plan: Plan
    aim: Aim
    readout: Readout
    say: Callable[[str], None]


class DrawingTool(IdleTool):
    """A tool that draws: subclasses set ``name`` and ``entry`` and say what a click and Enter do.

    While something is typed every letter and the space bar are for the number; Tab goes from one
    number to the next, Escape takes back what was typed, then what was begun, then leaves.
    """

    cursor = Qt.CursorShape.CrossCursor

    def __init__(self, kit: Kit) -> None:
        self.kit = kit
        self.plan, self.aim, self.readout = kit.plan, kit.aim, kit.readout
        self.preview = Preview(kit.plan)
        self.entry = Entry()
        self.pointer: Pointer | None = None
        self.refusal = ""
        """Why the last edit was not made; it stands in the read-out until something else is done."""
        self._refused_at: Point | None = None
        self._rests_at: Point | None = None
        self._keys: TypingKeys | None = None
        self._said = ""

    # -- what a subclass says

    def redraw(self) -> None:
        """Show preview and read-out for where the pointer is and what is typed."""

    def next_step(self) -> str:
        """What to do next, in a sentence."""
        return ""

    def click(self, pointer: Pointer) -> None:
        """The mouse was pressed on the plan."""

    def job_changed(self) -> None:
        """The job is another one, by an edit, undo or redo: let go of what may be gone."""

    def enter(self) -> bool:
        """Enter was pressed. False where there was nothing to do."""
        return False

    @property
    def begun(self) -> bool:
        """Whether something is drawn or held that is no edit yet: undoing takes that back first."""
        return False

    def take_back(self) -> bool:
        """Backspace, with nothing typed. False where there was nothing to take back."""
        return False

    def abandon(self) -> bool:
        """Give up what was begun. False where nothing was."""
        return False

    # -- the tool's life

    def start(self) -> None:
        """Listen to the keys that Qt would use otherwise."""
        self._keys = TypingKeys(self, self.plan.view)
        self.plan.view.installEventFilter(self._keys)
        self.pointer = None
        self._said = ""
        self.show()

    def stop(self) -> None:
        """Take everything away."""
        if self._keys is not None:
            self.plan.view.removeEventFilter(self._keys)
            self._keys.deleteLater()
            self._keys = None
        self._forget()
        self._rests_at = None
        self.entry.clear()
        self.abandon()
        self.preview.clear()
        self.readout.hide()

    def press(self, pointer: Pointer) -> None:
        """A click."""
        self.pointer = pointer
        self._rests_at = None
        self._forget()
        self.click(pointer)
        self.show()

    def move(self, pointer: Pointer) -> None:
        """Show where a click would be."""
        self.pointer = pointer
        if self._rests_at is not None and math.dist(self._rests_at, pointer.at) > _REST * pointer.reach_mm:
            self._rests_at = None
        if self._refused_at is not None and (math.dist(self._refused_at, pointer.at) > _READ * pointer.reach_mm):
            self._forget()
        self.show()

    def show(self) -> None:
        """Show everything as it is now, and say what to do next where that is something else; nothing of a tool
        that was laid down."""
        if self._keys is None:
            return
        if self._rests_at is not None and not self.entry.begun and not self.refusal:
            self.preview.clear()
            self.readout.hide()
        else:
            self.redraw()
        step = self.next_step()
        if step != self._said:
            self._said = step
            self.kit.say(step)

    def rest(self) -> None:
        """Something was placed: what would be placed next, on top of it, is shown once the pointer moves on."""
        self._rests_at = self.pointer.at if self.pointer is not None else None

    def _forget(self) -> None:
        if self.refusal:
            # the foot has shown the reason: the next step is said again
            self._said = ""
        self.refusal, self._refused_at = "", None

    def wants(self, key: int, text: str) -> bool:
        """Whether a key is for the number that is typed, and no shortcut."""
        if key in ENTER or key == Qt.Key.Key_Backspace:
            return True
        return self.entry.wants(text)

    def key(self, key: int, text: str, shift: bool, control: bool) -> bool:
        """Numbers, Tab, Enter, Backspace and Escape."""
        self._forget()
        if control:
            return key == Qt.Key.Key_Z and not shift and self._undo()
        if key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            wanted = len(self.entry.slots) > 0
            self.entry.step(-1 if shift or key == Qt.Key.Key_Backtab else 1)
        elif key in ENTER:
            wanted = not self.entry.wrong() and self.enter()
        elif key == Qt.Key.Key_Backspace:
            wanted = self.entry.backspace() or self.take_back()
        elif key == Qt.Key.Key_Escape:
            wanted = self.entry.begun
            self.entry.clear()
            wanted = wanted or self.abandon()
        else:
            wanted = self.entry.type(text)
        if wanted or self.entry.wrong():
            self.show()
        return wanted

    def _undo(self) -> bool:
        undone = self.begun and self.take_back()
        if undone:
            self.show()
        return undone

    # -- what tools need

    @property
    def storey(self) -> Storey | None:
        """The storey that is shown; None in a job without storeys."""
        return self.plan.document.storey

    @property
    def storey_id(self) -> StoreyId | None:
        """Where rooms are drawn; None in a job without storeys."""
        return self.storey.id if self.storey is not None else None

    def apply(self, name: str, edit: Edit) -> bool:
        """Make one edit, undoable under that name. False where it was refused or changed nothing."""
        return self.plan.document.apply(name, edit)

    def refuse(self, reason: str) -> None:
        """Show beside the pointer why the last edit was not made."""
        self.refusal = reason
        self._refused_at = self.pointer.at if self.pointer is not None else None

    def trial(self, edit: Edit) -> tuple[Job | None, str]:
        """(the job as the edit would make it, ""), or (None, why it cannot be made)."""
        try:
            return edit(self.plan.document.job), ""
        except InputError as error:
            return None, str(error)

    def tell(self, fields: tuple[tuple[str, str], ...], said: str = "", wrong: str = "") -> None:
        """Show the read-out: live values by word, typed ones instead where there are any; ``wrong``: why
        what is shown could not be done."""
        shown = []
        for number, (word, value) in enumerate(fields):
            typed = self.entry.begun and number == self.entry.current
            text = self.entry.texts[number] if number < len(self.entry.texts) else ""
            shown.append((word, text or ("" if typed else value), typed))
        wrong = self.refusal or self.entry.wrong() or wrong
        self.readout.show_at(self._spot(), self.plan.theme, shown, said, wrong)

    def _spot(self) -> QPoint:
        if self.pointer is not None:
            return self.plan.view.spot(self.pointer.at)
        return self.plan.view.viewport().rect().center()


class HoldingTool(DrawingTool, Generic[Hand]):
    """A tool with one thing in the hand between two clicks: a side, a corner, a room, where a line began."""

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self.held: Hand | None = None

    def let_go(self) -> None:
        """What else is forgotten with what was held."""

    @property
    def begun(self) -> bool:
        """Whether something is in the hand."""
        return self.held is not None

    def abandon(self) -> bool:
        """Put down what is held, as if it had never been picked up."""
        held, self.held = self.held, None
        self.let_go()
        return held is not None

    def take_back(self) -> bool:
        """The one step that there is to take back."""
        return self.abandon()

    def job_changed(self) -> None:
        """What is held may be gone."""
        self.abandon()


class TypingKeys(QObject):
    """Keeps characters of a number from being shortcuts, and Tab from leaving the view."""

    def __init__(self, tool: DrawingTool, parent: QObject) -> None:
        super().__init__(parent)
        self._tool = tool

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Looks at keys only."""
        if not isinstance(event, QKeyEvent):
            return False
        held = event.modifiers()
        plain = not held & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
        if event.type() == QEvent.Type.ShortcutOverride:
            undo = event.key() == Qt.Key.Key_Z and held == Qt.KeyboardModifier.ControlModifier
            if (plain and self._tool.wants(event.key(), event.text())) or (undo and self._tool.begun):
                event.accept()
                return True
        if event.type() == QEvent.Type.KeyPress and plain and event.key() in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            return self._tool.key(event.key(), "", bool(held & Qt.KeyboardModifier.ShiftModifier), False)
        return False


def metres(length_mm: float) -> str:
    """ "3.450 m": a length as the read-out shows it."""
    return tr("{length} m", length=dim3(length_mm / 1000.0))


def angle_words(angle_deg: float, turns: bool = True) -> str:
    """ "90° left", "45.5° right", "straight": a turn as the read-out shows it; a direction as "45°"."""
    shown = printed(abs(angle_deg), 1)
    plain = shown_short(abs(angle_deg), 1)
    if not turns:
        return f"{'-' if angle_deg < 0 and shown else ''}{plain}°"
    if shown == 0:
        return tr("straight")
    return tr("{degrees}° left", degrees=plain) if angle_deg > 0 else tr("{degrees}° right", degrees=plain)
