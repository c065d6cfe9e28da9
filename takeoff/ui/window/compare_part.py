"""A new drawing beside the job: read beside the window, its changes on a page, what is ticked put in as one edit."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.errors import TakeoffError
from takeoff.language import mark, tr
from takeoff.plan.model import Job, RoomId, Storey
from takeoff.services.comparing import Comparison, laid_over, read_as
from takeoff.services.opening import Opened
from takeoff.services.variation_papers import write_variation
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.compare_page import ComparePage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.comparing_seen import change_rows, said_of

PAGE = "compare"
KINDS = mark("Drawings and jobs (*.dxf *.ifc *.ifczip *.pdf *.json *.takeoff);;All files (*)")


def add(space: Workspace) -> None:
    """Give the window what compares its job with a new drawing."""
    Comparing(space)


class Comparing(QObject):
    """``done``: the comparison that is shown, with nothing refused; None where there is none."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("comparing")
        self._space, self._document = space, space.document
        self.page: ComparePage | None = None
        self.done: Comparison | None = None
        space.pages.register(PAGE, self._make)
        space.stays.add((PAGE, "room"))
        space.acts.add(
            (
                Action(
                    "compare",
                    "File",
                    tr("Compare with a new drawing…"),
                    self.ask,
                    (),
                    space.has_rooms,
                    group=2,
                    tip=tr("Lay a revision over the job: what changes, and what was set and has no place any more"),
                ),
            )
        )
        self._document.opened.connect(self._forget)

    def ask(self) -> None:
        """Ask for the new drawings and compare."""
        words = tr("Choose the new drawings")
        paths = messages.current().files_to_open(self._space.window, words, tr(KINDS))
        if paths:
            self.compare(paths)

    def compare(self, paths: tuple[Path, ...]) -> None:
        """Read the new drawings beside the window and show what they change."""
        old = self._old()
        self._space.say(tr("Comparing …"))

        def work() -> Comparison | str:
            try:
                return laid_over(old, [read_as(old.job, path) for path in paths], own_unit=True)
            except TakeoffError as error:
                return str(error)

        self._space.run(work, self._compared)

    def _old(self) -> Opened:
        path = Path(self._document.job.name or tr("This job"))
        return Opened(path, "job", self._document.job, (), self._document.drawings)

    def _compared(self, found: Comparison | str) -> None:
        self._space.say("")
        if isinstance(found, str):
            self._space.tell(found)
            return
        if found.another_plan:
            question = next(f.text for f in found.findings if f.code == "another-plan")
            answers = (("even-so", tr("It is the same building")), ("leave", tr("Leave it")))
            if messages.current().ask(self._space.window, question, answers) != "even-so":
                return
        self.done = found
        self._space.pages.show_page(PAGE)
        self._show()

    def _make(self) -> QWidget:
        self.page = page = ComparePage()
        page.chosen.connect(self._chosen)
        page.take.connect(self.take)
        page.write.connect(self.write)
        return page

    def _forget(self) -> None:
        self.done = None
        if self.page is not None:
            self.page.show_changes((), (), frozenset())

    def _show(self, refused: frozenset[str] = frozenset()) -> None:
        if self.page is not None and self.done is not None:
            self.page.show_changes(change_rows(self.done), said_of(self.done), refused)

    def _chosen(self, room: str) -> None:
        """Both states of the storey of a changed room, and the room in the plan if it is there."""
        page, done = self.page, self.done
        if page is None or done is None:
            return
        before, now = _storey_of(done.compared.old, room), _storey_of(done.compared.job, room)
        if before is None and now is not None:
            before = next((s for s in done.compared.old.storeys if s.id == now.id), None)
        if now is None and before is not None:
            now = next((s for s in done.compared.job.storeys if s.id == before.id), None)
        box = _box([storey for storey in (before, now) if storey is not None])
        page.before.show_storey(before, room, box)
        page.now.show_storey(now, room, box)
        there = _storey_of(self._document.job, room)
        if there is not None:
            self._document.show_storey(str(there.id))
            self._space.choose_ref(Ref("room", room))

    def _with_refused(self, job: Job) -> Job:
        """The job with what is ticked; the very job where nothing is."""
        page, done = self.page, self.done
        assert page is not None
        assert done is not None
        refused = page.refused
        if len(refused) == page.list.count():
            return job
        old = Opened(done.old.path, "job", job, (), done.old.drawings)
        lies = done.compared.placed if job.storeys == done.compared.old.storeys else None
        return laid_over(old, done.news, refused=refused, lies=lies).compared.job

    def take(self) -> None:
        """Put what is ticked into the job, as one edit; what was refused stays listed."""
        if self.page is None or self.done is None:
            return
        refused = self.page.refused
        if self._document.apply(tr("Take over a new drawing"), self._with_refused):
            self._space.say(tr("The changes are in the job: one step back takes them out again"))
            self._show(refused)

    def write(self) -> None:
        """Write the variation of what is ticked into a folder."""
        if self.page is None or self.done is None:
            return
        folder = messages.current().folder(self._space.window, tr("Folder for the variation"))
        if folder is None:
            return
        done = laid_over(self.done.old, self.done.news, refused=self.page.refused, lies=self.done.compared.placed)
        try:
            write_variation(done, folder, accept=False)
        except TakeoffError as error:
            self._space.tell(str(error))
            return
        self._space.say(tr("The variation is written"))


def _storey_of(job: Job, room: str) -> Storey | None:
    return next((storey for storey in job.storeys if any(own.id == RoomId(room) for own in storey.rooms)), None)


def _box(storeys: list[Storey]) -> tuple[float, float, float, float]:
    """Round all corners of the storeys; a square metre where there are none."""
    xs = [side.x_mm for storey in storeys for room in storey.rooms for side in room.sides]
    ys = [side.y_mm for storey in storeys for room in storey.rooms for side in room.sides]
    return (min(xs), min(ys), max(xs), max(ys)) if xs else (0.0, 0.0, 1000.0, 1000.0)
