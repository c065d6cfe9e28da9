"""The open job: its state, what is chosen, its undo stack. The only place where a job changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Literal

import msgspec
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from takeoff.drawing.laying import laid as drawing_laid
from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, TakeoffError
from takeoff.language import mark, tr
from takeoff.measure import Memory
from takeoff.plan.edits.drawing_edits import pose_from
from takeoff.plan.job_drawings import drawing_shown
from takeoff.plan.limits import refuse_unsound
from takeoff.plan.model import DrawingId, DrawingRef, Job, Laid, Storey
from takeoff.views.board import Considered, State, all_findings, consider, stand

CONSIDER_MS = 120
"""Quiet time after an edit before order and check are worked out anew."""


NO_MEMORY = mark("There is not enough memory for this: close other programs and try again. The job is unchanged.")
"""What is said where memory ends in the middle of something that is then not done."""


class Ref(msgspec.Struct, frozen=True):
    """Something that can be chosen, by its id; ``room`` is whose it is ("" for a room itself)."""

    kind: Literal["room", "side", "opening", "rooflight", "corner", "region"]
    id: str
    room: str = ""

    @property
    def room_id(self) -> str:
        """The room that this is or belongs to."""
        return self.id if self.kind == "room" else self.room


Choice = tuple[Ref, ...]

Beside = Callable[[Callable[[], Considered], Callable[[Considered], None]], None]
"""Runs the first call beside the window and gives its result to the second, on the window's side."""


def at_once(work: Callable[[], Considered], then: Callable[[Considered], None]) -> None:
    """No running beside: for tests and for a document without a window."""
    then(work())


class Document(QObject):
    """Holds one job. Signals carry frozen values only; listeners never edit."""

    opened = Signal()
    """Another job is here: views start anew."""
    changed = Signal(object, object)
    """(State before, State after) of one edit, undo or redo."""
    chosen_changed = Signal(object, object)
    """(Choice before, Choice after)."""
    storey_changed = Signal(str)
    """Another storey is shown."""
    considered_changed = Signal()
    """Order and findings are up to date again."""
    saved_changed = Signal(bool)
    refused = Signal(str)
    """One sentence: why an edit was not made."""

    def __init__(self, parent: QObject | None = None, beside: Beside = at_once) -> None:
        super().__init__(parent)
        self._beside = beside
        self._memory = Memory()
        self._state = stand(Job(), self._memory)
        self._considered: Considered | None = None
        self._asked = 0
        self._read_findings: tuple[Finding, ...] = ()
        self._opened_state: State | None = None
        self._findings: tuple[Finding, ...] | None = None
        self._choice: Choice = ()
        self._storey = ""
        self._lines: dict[DrawingId, tuple[Laid, Drawing]] = {}
        # also of a drawing whose adding was undone: it may be made again
        self.path: Path | None = None
        self.stack = QUndoStack(self)
        self.stack.cleanChanged.connect(self.saved_changed)
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(CONSIDER_MS)
        self._quiet.timeout.connect(self.consider_now)

    @property
    def state(self) -> State:
        """The job and what was measured of it."""
        return self._state

    @property
    def job(self) -> Job:
        """The job as it stands."""
        return self._state.job

    @property
    def considered(self) -> Considered | None:
        """Order and check of some state a moment ago; None until they were first worked out."""
        return self._considered

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything to settle, each once, the grave ones first."""
        if self._findings is None:
            self._findings = all_findings(self._state, self._considered, self._read_findings)
        return self._findings

    @property
    def choice(self) -> Choice:
        """What is chosen."""
        return self._choice

    @property
    def storey(self) -> Storey | None:
        """The storey that is shown; None for a job without storeys."""
        storeys = self.job.storeys
        return next((s for s in storeys if s.id == self._storey), storeys[0] if storeys else None)

    @property
    def ref(self) -> DrawingRef | None:
        """The drawing that lies under the storey that is shown; None where there is none."""
        return drawing_shown(self.job, self.storey)

    @property
    def drawing(self) -> Drawing | None:
        """Its linework as it lies in the plan; None where it is not in the job."""
        ref = self.ref
        return self._lines_of(ref) if ref is not None else None

    @property
    def drawings(self) -> dict[DrawingId, Drawing]:
        """The linework of the job's drawings as they lie in its plan, by the job's names for them."""
        found = ((ref.id, self._lines_of(ref)) for ref in self.job.drawings)
        return {of: drawing for of, drawing in found if drawing is not None}

    def _lines_of(self, ref: DrawingRef) -> Drawing | None:
        known = self._lines.get(ref.id)
        if known is None:
            return None
        laid, drawing = known
        if laid != ref.laid:
            drawing = drawing_laid(drawing, pose_from(laid, ref.laid))
            self._lines[ref.id] = ref.laid, drawing
        return drawing

    def open(
        self,
        job: Job,
        drawings: Mapping[DrawingId, Drawing] = {},
        findings: tuple[Finding, ...] = (),
        path: Path | None = None,
    ) -> None:
        """Take in another job with a fresh undo stack. Raises TakeoffError; then the old one stays.

        ``path``: the job file that saving writes to; None for a job that was never saved.
        """
        memory = Memory()
        state = stand(job, memory)
        self._memory, self._state = memory, state
        self._considered, self._findings = None, None
        self._read_findings, self._opened_state = findings, state
        laid = {ref.id: ref.laid for ref in job.drawings}
        self._lines = {of: (laid.get(of, Laid()), drawing) for of, drawing in drawings.items()}
        self.path = path
        self._choice = ()
        self._storey = str(job.storeys[0].id) if job.storeys else ""
        self.stack.clear()
        # clearing an empty stack changes nothing: after work that was taken back it would stay unclean
        self.stack.setClean()
        self.opened.emit()
        self.consider_now()

    def apply(self, name: str, edit: Callable[[Job], Job]) -> bool:
        """Make one edit, undoable under ``name``. False where nothing changed or it was refused.

        The new job is worked out and measured before anything is pushed.
        """
        before = self._state
        try:
            job = edit(before.job)
            if job is before.job:
                return False
            refuse_unsound(job, tr("This is not possible"), before.job)
            after = stand(job, self._memory, before)
        except TakeoffError as error:
            self.refused.emit(str(error))
            return False
        except MemoryError:
            self.refused.emit(tr(NO_MEMORY))
            return False
        self.stack.push(_Swap(name, before, after, self._assign))
        return True

    def _assign(self, after: State) -> None:
        before, self._state = self._state, after
        if before is after:
            return
        self._findings = None
        kept = present(after.job, self._choice)
        self.changed.emit(before, after)
        if kept != self._choice:
            self.choose(kept)
        self._quiet.start()

    def read_again(self, of: DrawingId, drawing: Drawing, findings: tuple[Finding, ...]) -> None:
        """The linework of a drawing of the open job, and what was noticed in reading its drawings, are others
        now; rooms are changed by an edit of their own."""
        laid = next((ref.laid for ref in self.job.drawings if ref.id == of), Laid())
        self._lines[of] = laid, drawing
        self._read_findings, self._findings = findings, None
        self.considered_changed.emit()

    @property
    def read_findings(self) -> tuple[Finding, ...]:
        """What was noticed in reading the drawing and in finding its rooms."""
        return self._read_findings

    def choose(self, choice: Choice) -> None:
        """Choose these, and show their storey; () chooses nothing. What the job does not have (a finding
        may still speak of it) is passed over."""
        choice = present(self.job, choice)
        if choice == self._choice:
            return
        before, self._choice = self._choice, choice
        if choice:
            home = next((s for s in self.job.storeys if _holds(s, choice[-1])), None)
            if home is not None and home is not self.storey:
                self.show_storey(str(home.id))
        self.chosen_changed.emit(before, choice)

    def show_storey(self, storey_id: str) -> None:
        """Show another storey."""
        if storey_id != self._storey:
            self._storey = storey_id
            self.storey_changed.emit(storey_id)

    def consider_now(self) -> None:
        """Work out order and check of the state as it is, beside the window."""
        self._quiet.stop()
        self._asked += 1
        asked, state = self._asked, self._state

        def take(considered: Considered) -> None:
            if state is self._opened_state:
                # what the check said of the job as it was opened was told with it; from now on only
                # what it says of the job as it stands counts, or what is mended would stay
                self._opened_state = None
                told = set(considered.findings)
                self._read_findings = tuple(f for f in self._read_findings if f not in told)
                self._findings = None
            if asked == self._asked:
                self._considered, self._findings = considered, None
                self.considered_changed.emit()

        self._beside(lambda: consider(state), take)

    def saved(self, path: Path) -> None:
        """The job as it stands is in that file."""
        self.path = path
        self.stack.setClean()


class _Swap(QUndoCommand):
    """Goes from ``before`` to ``after`` and back by assigning; never has a parent."""

    def __init__(self, name: str, before: State, after: State, assign: Callable[[State], None]) -> None:
        super().__init__(name)
        self._before, self._after, self._assign = before, after, assign

    def redo(self) -> None:
        """Assign the state after the edit."""
        self._assign(self._after)

    def undo(self) -> None:
        """Assign the state before the edit."""
        self._assign(self._before)


def present(job: Job, choice: Choice) -> Choice:
    """Those of a choice that the job has; the very same choice where it has all."""
    rooms = {str(room.id) for storey in job.storeys for room in storey.rooms}
    kept = tuple(ref for ref in choice if (ref.id in rooms if ref.kind == "room" else exists(job, ref)))
    return choice if len(kept) == len(choice) else kept


def exists(job: Job, ref: Ref) -> bool:
    """Whether the job still has what is referred to. Corners and regions go by their room."""
    return any(_holds(storey, ref) for storey in job.storeys)


def _holds(storey: Storey, ref: Ref) -> bool:
    if ref.kind == "opening":
        return any(o.id == ref.id for o in storey.openings)
    if ref.kind == "rooflight":
        return any(o.id == ref.id for o in storey.rooflights)
    room = next((room for room in storey.rooms if room.id == ref.room_id), None)
    if room is None or ref.kind != "side":
        return room is not None
    return any(side.id == ref.id for side in room.sides)
