"""What must be true of a window after any act: of what is shown, measured and saved."""

from __future__ import annotations

from typing import Any

from PySide6.QtGui import QPainterPath

from takeoff.measure import Memory
from takeoff.plan.check import check
from takeoff.plan.model import Job
from takeoff.storage import jobs
from takeoff.ui.canvas.pieces import Board
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.document import Document, exists
from takeoff.ui.window.main_window import MainWindow
from takeoff.views.board import stand


class Failure(AssertionError):
    """What went wrong, after which event."""


class Looks:
    """Looks after each act; what was looked at once is not looked at again while it stays as it is."""

    def __init__(self, window: MainWindow) -> None:
        self.window = window
        self.changes = 0
        """So many other jobs were looked at."""
        self._checked: Job | None = None

    def look(self) -> None:
        """Whether what is shown, measured and saved is what the job says. Raises Failure."""
        document = self.window.document
        for ref in document.choice:
            if not exists(document.job, ref):
                raise Failure(f"{ref} is chosen and is not in the job")
        self._look_at_items()
        if document.job is self._checked:
            return
        self._checked = document.job
        self.changes += 1
        job = document.job
        if jobs.load(jobs.dump(job), "kept") != job:
            raise Failure("the job does not come back from its file as it was")
        fresh = stand(job, Memory())
        if fresh.takeoff != document.state.takeoff:
            raise Failure(f"measured anew the job gives other figures: {_differences(fresh, document.state)}")
        if fresh.totals != {k: v for k, v in document.state.totals.items() if k in fresh.totals}:
            raise Failure("the running totals are not those of the job measured anew")
        check(job)

    def _look_at_items(self) -> None:
        plan, document = self.window.plan, self.window.document
        plan.draw_whole()
        storey = document.storey
        board = Board(plan.items.origin)
        expected = board.pieces(document.state, storey, whole=True) if storey is not None else {}
        shown = {name: piece for name, piece in plan.items.pieces.items() if not name.startswith("preview")}
        if shown != expected:
            wrong = [name for name in {*shown, *expected} if shown.get(name) != expected.get(name)]
            raise Failure(f"the plan shows other pieces than the job has: {sorted(wrong)}")

    def compare_with_fresh_plan(self) -> None:
        """Whether a plan made anew of the job shows the same items, path by path. Raises Failure."""
        plan, document = self.window.plan, self.window.document
        plan.draw_whole()
        again = Document()
        again.open(document.job, document.drawings)
        if document.storey is not None:
            again.show_storey(str(document.storey.id))
        fresh = Plan(again, plan.theme)
        fresh.view.origin = fresh.items.origin = plan.items.origin
        fresh._board = Board(plan.items.origin)
        fresh.items.clear()
        fresh.draw_whole()
        fresh.items.fit_labels(plan.view.px_per_mm)
        one, other = described(plan), described(fresh)
        if one != other:
            wrong = sorted(name for name in {*one, *other} if one.get(name) != other.get(name))
            told = [(name, one.get(name), other.get(name)) for name in wrong[:1]]
            raise Failure(f"a plan made anew shows other items: {wrong}: {told}")


def described(plan: Plan) -> dict[str, tuple[Any, ...]]:
    """What the items of a plan are: their paths, pens and brushes, and the words of labels."""
    found = {}
    for name, shown in plan.items._shown.items():
        shapes = tuple(
            (points_of(item.path()), item.pen().color().name(), item.brush().color().name(), item.zValue())
            for item in shown.shapes
        )
        label = (shown.label.shown, shown.label.pivot.pos().toTuple()) if shown.label else ()
        found[name] = (shapes, label, tuple(ask.pos().toTuple() for ask in shown.asks))
    return found


def points_of(path: QPainterPath) -> tuple[tuple[float, float], ...]:
    """The points of a path, to a hundredth of a mm; none for a path that goes nowhere."""
    every = (path.elementAt(k) for k in range(path.elementCount()))
    points = tuple((round(element.x, 2), round(element.y, 2)) for element in every)
    return points if len(points) > 1 else ()


def _differences(fresh: Any, state: Any) -> str:
    names = [room.room for room, other in zip(fresh.takeoff.rooms, state.takeoff.rooms, strict=False) if room != other]
    return f"rooms {names}" if names else "totals"
