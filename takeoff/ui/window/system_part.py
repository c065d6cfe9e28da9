"""The coating system in the window: chosen for the job, copied, typed into, opened from a file, removed."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.errors import InputError, OutputError, TakeoffError
from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.supply.systems import (
    CoatingSystem,
    as_copy,
    available,
    load,
    moved_on,
    of_job,
    own_systems,
    read_file,
    remove_own,
    save_own,
    use_from_now_on,
    usual_system,
)
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.panels.system_page import SystemPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.system_rows import Path, copy_under, one_less, one_more, system_rows, with_value

PAGE = "system"
IN_JOB = ""
"""The key of the job's own copy, where it is another than the file of its id."""
KINDS = mark("Coating systems (*.json);;All files (*)")


def add(space: Workspace) -> None:
    """Give the window its page of coating systems."""
    Systems(space)


class Systems(QObject):
    """Keeps the page and the job together; what is typed goes into the user's own file at once."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("systems")
        self._space, self._document = space, space.document
        self._shown: str | None = None
        self.page: SystemPage | None = None
        space.pages.register(PAGE, self._make)
        space.acts.add(
            (
                Action(
                    "system",
                    "Coat",
                    tr("Coating system…"),
                    self.show,
                    (),
                    group=7,
                    tip=tr("The product to order, its yields, packs and prices; you can type your own"),
                ),
            )
        )
        self._document.opened.connect(self._opened)
        self._document.changed.connect(self._changed)

    def show(self) -> None:
        """Bring the page up."""
        self._space.pages.show_page(PAGE)
        self.refresh()

    def _make(self) -> QWidget:
        self.page = page = SystemPage()
        page.picked.connect(self._pick)
        page.asked.connect(self._do)
        page.typed.connect(self._typed)
        page.grown.connect(self._grow)
        self.refresh()
        return page

    # -- what is shown

    def refresh(self) -> None:
        """Show the systems that are known, and the figures of the one that is looked at."""
        if self.page is None:
            return
        job, mine = self._document.job, own_systems()
        known = [(name, self._words(name)) for name in (*available(), *mine)]
        moved = moved_on(job)
        if moved:
            kept = _safe(lambda: tr(of_job(job).name), job.system)
            known.insert(0, (IN_JOB, tr("{system} (as kept in this job)", system=kept)))
        keys = [key for key, _ in known]
        if self._shown not in keys:
            self._shown = IN_JOB if moved else job.system if job.system in keys else keys[0]
        try:
            system = self._system()
        except InputError as error:
            self.page.show_systems(known, self._shown, str(error), frozenset({"open", "remove"}))
            self.page.show_rows((), False)
            return
        own = self._shown in mine
        able = {"copy", "open"} | ({"remove"} if own else set())
        if self._shown != IN_JOB:
            able |= {"usual"} if usual_system().id != self._shown else set()
            able |= {"use"} if moved or job.system != self._shown or job.system_copy is None else set()
        self.page.show_systems(known, self._shown, self._about(system, own), frozenset(able))
        self.page.show_rows(system_rows(system), own)

    def _about(self, system: CoatingSystem, own: bool) -> str:
        parts = [tr("This job is ordered with it.") if self._in_use() else tr("This job is ordered with another one.")]
        if usual_system().id == system.id:
            parts.append(tr("New jobs begin with it."))
        if not own:
            parts.append(tr("It cannot be changed: copy it first."))
        if system.demo:
            parts.append(tr("Its figures are invented."))
        return " ".join(parts)

    def _in_use(self) -> bool:
        moved = moved_on(self._document.job)
        return self._shown == IN_JOB if moved else self._shown == self._document.job.system

    def _system(self) -> CoatingSystem:
        return of_job(self._document.job) if self._shown == IN_JOB else load(self._shown or "")

    def _words(self, name: str) -> str:
        return _safe(lambda: tr(load(name).name), tr("{system} (cannot be read)", system=name))

    def _pick(self, key: str) -> None:
        self._shown = key
        self.refresh()

    def _opened(self) -> None:
        self._shown = None
        self.refresh()

    def _changed(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

    # -- what the user does

    def _do(self, what: str) -> None:
        work = {"use": self.use, "usual": self._usual, "copy": self._copy, "open": self._open, "remove": self._remove}[
            what
        ]
        try:
            work()
        except TakeoffError as error:
            self._space.tell(str(error))
        self.refresh()

    def use(self) -> None:
        """Order this job with the system that is shown."""
        system = self._system()
        copy = as_copy(system)
        self._document.apply(tr("Use {system}", system=system.name), lambda job: edits.set_system(job, system.id, copy))

    def _usual(self) -> None:
        use_from_now_on(self._system().id)

    def _copy(self) -> None:
        system = self._system()
        own = copy_under(
            system, tr("{system}, my own", system=system.name.partition(",")[0]), (*available(), *own_systems())
        )
        save_own(own)
        self._shown = own.id

    def _open(self) -> None:
        path = messages.current().file_to_open(self._space.window, tr("Open a coating system"), tr(KINDS))
        if path is None:
            return
        system = read_file(path)
        if (
            system.id in own_systems()
            and messages.current().ask(
                self._space.window,
                tr("You already have a system with the id “{system}”. Replace it with this one?", system=system.id),
                (("replace", tr("Replace it")), ("stay", tr("Keep mine"))),
            )
            != "replace"
        ):
            return
        save_own(system)
        self._shown = system.id

    def _remove(self) -> None:
        name = self._shown or ""
        answer = messages.current().ask(
            self._space.window,
            tr("Remove {system} from your own systems? Jobs that use it keep their copy.", system=self._words(name)),
            (("remove", tr("Remove it")), ("stay", tr("Keep it"))),
        )
        if answer == "remove":
            remove_own(name)
            self._shown = None

    def _typed(self, path: Path, text: str) -> None:
        self._change(lambda system: with_value(system, path, text))

    def _grow(self, what: str, path: Path) -> None:
        self._change(lambda system: (one_more if what == "more" else one_less)(system, path))

    def _change(self, edit: Callable[[CoatingSystem], CoatingSystem]) -> None:
        """Change the user's own file; a job that is ordered with it follows, as an edit that can be undone."""
        if self.page is None:
            return
        in_use = self._in_use() and not moved_on(self._document.job)
        try:
            save_own(edit(self._system()))
        except (InputError, OutputError) as error:
            self.page.show_rows(system_rows(self._system()), True)
            self.page.refuse(str(error))
            return
        if in_use:
            self.use()
        self.refresh()


def _safe(work: Callable[[], str], otherwise: str) -> str:
    try:
        return work()
    except InputError:
        return otherwise
