"""The guided first pass in the window: after a drawing is opened, left and taken up again at any time."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
from takeoff.services.opened.opening import Opened
from takeoff.ui.actions import Action
from takeoff.ui.panels.first_pass_page import FirstPassPage
from takeoff.ui.window import pass_answers as answers
from takeoff.ui.window.drawings.size_question import SizeQuestion
from takeoff.ui.window.pass_questions import AWAY, PAGE, USE, PassQuestions
from takeoff.ui.window.workspace import Workspace
from takeoff.views.first_pass import Course, PassStep


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
        self._course = Course()
        self._questions = PassQuestions(space, self._course)
        self.page: FirstPassPage | None = None
        self.is_on = False
        self._away = ""
        """The step whose own page the user was led to, until it is answered there."""
        space.pages.register(PAGE, self._make)
        space.acts.add(
            (
                Action(
                    PAGE,
                    "View",
                    tr("First pass"),
                    self.begin,
                    ("F6",),
                    space.has_rooms,
                    group=2,
                    tip=tr("What no drawing says, asked step by step: heights, names, openings, walls, product"),
                ),
            )
        )
        space.files.taken.connect(self._taken)
        self._document.opened.connect(self._left)
        self._document.changed.connect(self._changed)
        self._document.considered_changed.connect(self._considered)

    def _make(self) -> QWidget:
        self.page = page = FirstPassPage()
        page.wanted.connect(self.go)
        page.later.connect(self.leave)
        page.named.connect(self._named)
        page.height_given.connect(self._height)
        page.answered.connect(self._answered)
        page.no_room.connect(self._no_room)
        page.adding.connect(partial(self._space.acts.do, "add-drawing"))
        return page

    # -- begun, left, taken up again

    def begin(self) -> None:
        """Take the pass up where it was left."""
        self.is_on, self._away = True, ""
        self._course.start_over()
        self._show()

    def leave(self) -> None:
        """Leave it; F6 comes back to it. At its end to what is still to settle."""
        self.is_on = False
        self._space.pages.show_page("card")

    def _taken(self, opened: Opened) -> None:
        """A drawing was opened: the pass begins, unless its size has to be said first, which has its own page."""
        if opened.kind == "drawing" and self._space.has_rooms() and self._space.pages.current != "drawing":
            self.begin()

    def _left(self) -> None:
        self.is_on, self._away = False, ""
        self._course.clear()

    # -- from step to step

    def steps(self) -> tuple[PassStep, ...]:
        """The steps as they stand."""
        size = self._space.window.findChild(SizeQuestion)
        doubtful = size is not None and size.in_doubt()
        return self._course.steps(self._document.state, doubtful, self._document.findings)

    def go(self, key: str) -> None:
        """Go to a step; the end leads to what is still to settle."""
        self.is_on = True
        self._course.skipped.discard(key)
        self._course.left_open.clear()
        if key in AWAY:
            self._go_away(key)
        elif key:
            self._show(key)
        else:
            self.is_on = False
            self._space.show_step("settle")

    def _go_away(self, key: str) -> None:
        """To the page of a step that has one of its own; once it is answered the pass goes on."""
        self._away = key
        if key == "size":
            self._space.show_step("drawing")
        else:
            self._space.acts.do("check-proposals" if key == "kinds" else "ask-outline")
        self._space.say(tr("First pass: F6 comes back to its steps"))

    def _on(self) -> None:
        """One step is done: on to the next, at once to its page where it has one."""
        following = self._following(self.steps())
        if following in AWAY:
            self._go_away(following)
        else:
            self._show(following)

    def _following(self, steps: tuple[PassStep, ...]) -> str:
        return self._course.following(steps, self._document.state, self._document.findings)

    def _show(self, key: str = "") -> None:
        """Show a step; without its key the next that is open."""
        steps = self.steps()
        self._space.pages.show_page(PAGE)
        if self.page is not None:
            self._questions.ask(self.page, steps, key or self._following(steps))
            # the page that was left may still give its keys to something
            QTimer.singleShot(0, self.page, self.page.take_keys)

    # -- what the user says

    def _named(self, name: str) -> None:
        """A name says that it is a room; without one it stays as it is, in doubt where it is."""
        asked = self._course.room(self._document.job)
        if asked is None:
            return
        _, room = asked
        if name:
            answers.name_room(self._document, room, name)
        else:
            self._course.nameless.add(room.id)
        self._next_room()

    def _no_room(self) -> None:
        asked = self._course.room(self._document.job)
        if asked is not None:
            answers.no_room(self._document, asked[1].id)
            self._next_room()

    def _next_room(self) -> None:
        if self._course.room(self._document.job) is not None:
            self._show("names")
        else:
            self._on()

    def _height(self, mm: object) -> None:
        asked = self._course.storey(self._document.job)
        if asked is None:
            return
        if isinstance(mm, float):
            answers.set_height(self._document, asked.id, mm)
        else:
            self._course.heights_kept.add(asked.id)
        if self._course.storey(self._document.job) is not None:
            self._show("heights")
        else:
            self._on()

    def _answered(self, key: str) -> None:
        """One of the answers that are listed on the page: it leads elsewhere, or is given and the next step follows."""
        current = self.page.current if self.page is not None else ""
        if key == "page":
            self._away = "product"
            self._course.skipped.add("product")
            self._space.acts.do("system")
        elif key in ("trim-page", "on-page"):
            self._away = "customs" if key == "trim-page" else "substrates"
            self._space.pages.show_page("coat")
            self._space.say(tr("First pass: F6 comes back to its steps"))
        elif key == "go":
            self._go_away(current)
        elif key == "write":
            self._space.acts.do("write-sheets")
        elif key == "settle":
            self.go("")
        else:
            self._give(key, current)
            self._on()

    def _give(self, key: str, current: str) -> None:
        document, row = self._document, self._questions.row
        if key.startswith(USE):
            refused = answers.use_system(document, key.removeprefix(USE))
            if refused:
                self._space.tell(refused)
        elif key in ("keep", "skip"):
            self._course.skipped.add("product" if key == "keep" else current)
        elif key == "on-usual":
            answers.set_substrates(document)
        elif key in ("trim-off", "trim-on"):
            answers.set_trim(document, key == "trim-on")
        elif row is not None:
            if key == "later":
                self._course.left_open.add(row.key)
            else:
                answers.answer_row(document, row, key)
            document.consider_now()

    # -- what else happens meanwhile

    def _changed(self, before: object, after: object) -> None:
        """A step that was answered elsewhere is done: the next is shown. What changes under the page is followed."""
        del before, after
        if not self.is_on:
            return
        if not self._away:
            QTimer.singleShot(0, self, self._follow)
            return
        step = next((s for s in self.steps() if s.key == self._away), None)
        if step is not None and not step.left:
            self._away = ""
            QTimer.singleShot(0, self, self._come_back)

    def _considered(self) -> None:
        """What is found of the job as it stands has come: the steps that ask about it follow."""
        if self.is_on and not self._away:
            QTimer.singleShot(0, self, self._follow)

    def _follow(self) -> None:
        """Undo, a drawing more, or what was found beside the window: the steps as they are now."""
        page = self.page
        if self.is_on and not self._away and page is not None and self._space.pages.current == PAGE:
            steps = self.steps()
            if steps != page.steps:
                self._show()

    def _come_back(self) -> None:
        if self.is_on and not self._away:
            self._on()
