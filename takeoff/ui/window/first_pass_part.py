"""The guided first pass in the window: after a drawing is opened, left and taken up again at any time."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QWidget

from takeoff.plan import edits
from takeoff.plan.model import RoomId, Storey, StoreyId
from takeoff.services.opening import Opened
from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.first_pass_page import FirstPassPage
from takeoff.ui.window.drawing_reading import Reading
from takeoff.ui.window.workspace import Workspace
from takeoff.views.first_pass import PassStep, pass_steps, unnamed_rooms
from takeoff.views.naming import labels, storey_name

PAGE = "first-pass"


def add(space: Workspace) -> None:
    """Give the window its first pass."""
    FirstPass(space)


class FirstPass(QObject):
    """Leads from one open step to the next: each is answered on the page that it belongs to, names and heights
    here."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("first-pass")
        self._space, self._document = space, space.document
        self.page: FirstPassPage | None = None
        self.is_on = False
        self._nameless: set[RoomId] = set()
        self._heights_kept: set[StoreyId] = set()
        self._skipped: set[str] = set()
        self._away = ""
        space.pages.register(PAGE, self._make)
        space.acts.add(
            (
                Action(
                    PAGE,
                    "View",
                    "First pass",
                    self.begin,
                    ("F6",),
                    self._has_rooms,
                    group=2,
                    tip="What no drawing can say, asked step by step: heights, openings, names, walls, product",
                ),
            )
        )
        space.files.taken.connect(self._taken)
        self._document.opened.connect(self._left)
        self._document.changed.connect(self._changed)

    def _make(self) -> QWidget:
        self.page = page = FirstPassPage()
        page.wanted.connect(self.go)
        page.later.connect(self.leave)
        page.named.connect(self._named)
        page.height_given.connect(self._height)
        return page

    # -- begun, left, taken up again

    def begin(self) -> None:
        """Take the pass up where it was left."""
        self.is_on, self._away = True, ""
        self._skipped.clear()
        self._show()

    def leave(self) -> None:
        """Leave it; F6 comes back to it. At its end to what is still to settle."""
        self.is_on = False
        self._space.pages.show_page("card")

    def _taken(self, opened: Opened) -> None:
        """A drawing was opened: the pass begins, unless its size has to be said first, which has its own page."""
        if opened.kind == "drawing" and self._has_rooms() and self._space.pages.current != "drawing":
            self.begin()

    def _left(self) -> None:
        self.is_on, self._away = False, ""
        self._nameless.clear()
        self._heights_kept.clear()
        self._skipped.clear()

    def go(self, key: str) -> None:
        """Go to a step; the end leads to what is still to settle."""
        if key in ("names", "heights"):
            self._skipped.discard(key)
            self._show(key)
            return
        self._away = key
        if key == "size":
            self._space.show_step("drawing")
        elif key == "kinds":
            self._space.acts.do("check-proposals")
        elif key == "beyond":
            self._space.acts.do("ask-outline")
        elif key == "product":
            self._skipped.add("product")
            self._space.acts.do("system")
        else:
            self.is_on = False
            self._space.show_step("settle")

    # -- the step that is asked about

    def steps(self) -> tuple[PassStep, ...]:
        """The steps as they stand."""
        reading = self._space.window.findChild(Reading)
        doubtful = reading is not None and reading.size_in_doubt()
        found = pass_steps(self._document.job, doubtful, self._nameless)
        kept = sum(s.height_source == "assumed" and s.id in self._heights_kept for s in self._document.job.storeys)
        return tuple(self._less(step, kept) if step.key == "heights" and kept else step for step in found)

    def _less(self, step: PassStep, kept: int) -> PassStep:
        left = step.left - kept
        return PassStep(step.key, step.title, left, f"{left} assumed" if left else "kept as assumed")

    def _show(self, key: str = "") -> None:
        steps = self.steps()
        current = key or next((s.key for s in steps if s.left and s.key not in self._skipped), "")
        self._space.pages.show_page(PAGE)
        page = self.page
        if page is None:
            return
        about = next((f"{s.title}: {s.says}" for s in steps if s.key == current), "Done")
        if current == "names":
            storey, room = unnamed_rooms(self._document.job, self._nameless)[0]
            self._document.show_storey(str(storey.id))
            self._document.choose((Ref("room", str(room.id)),))
            self._space.pages.show_page(PAGE)
            self._space.plan.fit()
            about = f"{storey_name(storey)}, {labels(self._document.job)[str(storey.id), str(room.id)]}"
            page.ask_name()
        elif current == "heights":
            asked = self._storey_asked()
            if asked is not None:
                self._document.show_storey(str(asked.id))
                about = f"{storey_name(asked)}: floor to ceiling"
                page.ask_height(asked.height_mm)
        page.show_steps(steps, current, about)
        # the page that was left may still give its keys to something
        QTimer.singleShot(0, page, page.take_keys)

    def _storey_asked(self) -> Storey | None:
        storeys = self._document.job.storeys
        return next((s for s in storeys if s.height_source == "assumed" and s.id not in self._heights_kept), None)

    def _named(self, name: str) -> None:
        storey, room = unnamed_rooms(self._document.job, self._nameless)[0]
        del storey
        if name:
            self._document.apply("Name a room", lambda job: edits.rename_room(job, room.id, name))
        else:
            self._nameless.add(room.id)
        self._show("names" if unnamed_rooms(self._document.job, self._nameless) else "")

    def _height(self, mm: object) -> None:
        asked = self._storey_asked()
        if asked is None:
            return
        if isinstance(mm, float):
            self._document.apply("Set a storey's height", lambda job: edits.set_storey_height(job, asked.id, mm))
        else:
            self._heights_kept.add(asked.id)
        self._show("heights" if self._storey_asked() is not None else "")

    def _changed(self, before: object, after: object) -> None:
        """A step that was answered elsewhere is done: the next is shown."""
        del before, after
        if not self.is_on or not self._away:
            return
        step = next((s for s in self.steps() if s.key == self._away), None)
        if step is not None and not step.left:
            self._away = ""
            QTimer.singleShot(0, self, self._come_back)

    def _come_back(self) -> None:
        if self.is_on and not self._away:
            self._show()

    def _has_rooms(self) -> bool:
        return any(storey.rooms for storey in self._document.job.storeys)
