"""A new drawing beside the job: read beside the window, its changes on a page, what is ticked put in as one edit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.errors import TakeoffError
from takeoff.language import mark, tr
from takeoff.plan.model import Job, Room, RoomId, Storey
from takeoff.revise.comparison import LaidStorey, Shown
from takeoff.services.changed.comparing import Comparison, Pair, laid_over, read_as, shown_in_plan, with_refused
from takeoff.services.changed.variation_papers import write_variation
from takeoff.services.opened.opening import Opened
from takeoff.sheets.sheet_values import Point
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.canvas.other_storey import OtherStorey
from takeoff.ui.document import Ref
from takeoff.ui.panels.compare_page import NEW, OLD, ComparePage
from takeoff.ui.tools.pick_points import PickPoints
from takeoff.ui.window.workspace import Workspace
from takeoff.views.comparing_seen import change_rows, lie_rows, said_of

PAGE = "compare"
Z_OVER = 65.0
"""Over rooms and openings, under what is pinned to the plan."""
_OVER_MM = 0.45
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
        self.pick: PickPoints | None = None
        self._shown: dict[tuple[int, str], Shown] = {}
        self._over = OtherStorey(space.plan.view.scene(), space.theme, "hold", _OVER_MM, Z_OVER, openings=True)
        space.theme_changed.connect(self._over.set_theme)
        space.pages.shown.connect(self._see)
        self._document.storey_changed.connect(self._storey_changed)
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
        self._shown = {}
        self._found(found)

    def _found(self, found: Comparison) -> None:
        self.done = found
        self._space.pages.show_page(PAGE)
        self._show()

    def _make(self) -> QWidget:
        self.page = page = ComparePage()
        page.chosen.connect(self._chosen)
        page.take.connect(self.take)
        page.write.connect(self.write)
        page.lay.connect(self.lay)
        page.seen.connect(self._see)
        return page

    def _forget(self) -> None:
        self.done, self._shown = None, {}
        if self.page is not None:
            self.page.show_changes((), (), frozenset())

    def _show(self, refused: frozenset[str] = frozenset()) -> None:
        if self.page is not None and self.done is not None:
            self.page.show_changes(change_rows(self.done), said_of(self.done), refused, lie_rows(self.done))

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
        if not refused and job is done.compared.old:
            return done.compared.job
        if len(refused) == page.list.count():
            return job
        old = Opened(done.old.path, "job", job, (), done.old.drawings)
        lies = done.compared.placed if job.storeys == done.compared.old.storeys else None
        shown = tuple(self._shown.values())
        return laid_over(old, done.news, shown=shown, refused=refused, lies=lies).compared.job

    def take(self) -> None:
        """Put what is ticked into the job, as one edit; what was refused stays listed."""
        if self.page is None or self.done is None:
            return
        refused = self.page.refused
        if self._document.apply(tr("Take over a new drawing"), self._with_refused):
            self._space.say(tr("The changes are in the job: one step back takes them out again"))
            self._show(refused)

    # -- old and new over one another

    def _lie(self) -> LaidStorey | None:
        """The new storey that is meant: of those that lie over the storey in the plan the first, else as chosen."""
        if self.page is None or self.done is None or not self.done.compared.placed:
            return None
        return self.done.compared.placed[self.page.lie]

    def _storey_changed(self, storey_id: str) -> None:
        """Mean the new storey that lies over the one that is shown now."""
        if self.page is not None and self.done is not None:
            over = [k for k, one in enumerate(self.done.compared.placed) if str(one.storey or "") == storey_id]
            if over:
                self.page.show_lie(over[0])
        self._see()

    def _see(self, *_: object) -> None:
        """Draw over the plan what is to be seen there, while the page is."""
        page, done, storey = self.page, self.done, None
        if page is not None and done is not None and self._space.pages.current == PAGE:
            lie, here = self._lie(), self._document.storey
            if page.over.currentData() == OLD and here is not None:
                storey = next((own for own in done.compared.old.storeys if own.id == here.id), None)
            elif page.over.currentData() == NEW and lie is not None:
                fits = lie.storey is None or here is None or lie.storey == here.id
                storey = lie.new if fits else None
        self._over.show(storey, self._space.plan.view.origin)

    # -- set down by two places

    def lay(self) -> None:
        """Ask for two places of the new storey that is meant."""
        page, lie = self.page, self._lie()
        if page is None or lie is None:
            return
        if lie.storey is not None:
            self._document.show_storey(str(lie.storey))
        page.over.show_key(NEW)
        self._see()
        corners = [(side.x_mm, side.y_mm) for room in lie.new.rooms for side in room.sides]
        old = [(side.x_mm, side.y_mm) for room in self._rooms_here() for side in room.sides]
        xs, ys = [x for x, _ in (*corners, *old)], [y for _, y in (*corners, *old)]
        self._space.plan.view.show_area(min(xs), min(ys), max(xs), max(ys))
        words = tr("Click two places of the new drawing, which is dashed")
        self._pick(words, corners, lambda here: self._picked_new(lie, corners, here))

    def _rooms_here(self) -> tuple[Room, ...]:
        return self._document.storey.rooms if self._document.storey is not None else ()

    def _picked_new(self, lie: LaidStorey, corners: Sequence[Point], here: tuple[Point, ...]) -> None:
        words = tr("Click the same two places in the plan, in the same order")
        self._pick(words, (), lambda there: self._picked_both(lie, (here[0], here[1]), (there[0], there[1])))

    def _picked_both(self, lie: LaidStorey, here: Pair, there: Pair) -> None:
        self._space.back_to_choosing()
        done, onto = self.done, lie.storey
        if onto is None and self._document.storey is not None:
            onto = self._document.storey.id
        if done is None or onto is None:
            return
        try:
            shown = shown_in_plan(done, lie, onto, here, there)
        except TakeoffError as error:
            self._document.refused.emit(str(error))
            return
        self._shown[shown.drawn, str(shown.new)] = shown
        self._found(laid_over(done.old, done.news, shown=tuple(self._shown.values())))
        found = next(row for row in lie_rows(self.done) if row.storey == str(onto)) if self.done else None
        self._space.say(found.fit if found is not None else "")

    def _pick(self, words: str, corners: Sequence[Point], done: Callable[[tuple[Point, ...]], None]) -> None:
        self.pick = PickPoints(self._space.plan, words, 2, done, self._space.say, corners=corners)
        self._space.take(self.pick)

    def write(self) -> None:
        """Write the variation of what is ticked into a folder."""
        if self.page is None or self.done is None:
            return
        folder = messages.current().folder(self._space.window, tr("Folder for the variation"))
        if folder is None:
            return
        done = with_refused(self.done, self.page.refused) if self.page.refused else self.done
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
