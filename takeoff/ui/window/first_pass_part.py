"""The guided first pass in the window: after a drawing is opened, left and taken up again at any time."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QWidget

from takeoff.errors import TakeoffError
from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.edits import settling_edits as settling
from takeoff.plan.model import Job, Room, RoomId, Storey, StoreyId
from takeoff.plan.reasons import all_spoken
from takeoff.services.opening import Opened
from takeoff.sheets.first_lines import assumed_customs_text
from takeoff.supply.systems import as_copy, load
from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.first_pass_page import FirstPassPage
from takeoff.ui.window.drawing_reading import Reading
from takeoff.ui.window.workspace import Workspace
from takeoff.views.first_pass import (
    CUSTOM_ANSWERS,
    SUBSTRATE_ANSWERS,
    TRIM_ON,
    PassStep,
    asked_rooms,
    own_products,
    pass_steps,
    stairs_and_looks,
    still_said,
    substrates_words,
)
from takeoff.views.naming import labels, storey_name
from takeoff.views.settling import Row

PAGE = "first-pass"

USE = "use:"
"""An answer that takes one of the user's own coating systems, before its id."""

_LATER = ("later", mark("Leave it open"), mark("It stays in the list to fix and check, and the sheets say so"))
_PRODUCT = (
    ("page", mark("Type it, or open a file…"), mark("Yields, packs and prices of the product that you use")),
    ("keep", mark("Keep the invented example"), mark("The sheets say that its figures are invented")),
)
_AWAY = {
    "size": (mark("Set the size of the drawing"), mark("On the page of the drawing")),
    "kinds": (mark("Go through the openings"), mark("Group by group on the plan, or all at once")),
    "beyond": (mark("Go through the outside walls"), mark("Run by run on the plan, or all at once")),
}
"""Steps that have a page of their own: what leads there."""
_NOT_NOW = ("skip", mark("Not now"), mark("Go to the next step; this one stays open"))
_END = (
    ("write", mark("Export sheets…"), mark("Scope, materials and dimensions as PDF, XLSX and CSV")),
    ("settle", mark("To fix and to check"), mark("Everything that is assumed or open, as a list")),
)


def add(space: Workspace) -> None:
    """Give the window its first pass."""
    FirstPass(space)


def _said(answers: tuple[tuple[str, str, str], ...]) -> tuple[tuple[str, str, str], ...]:
    """Answers of a table as the user reads them."""
    return tuple((key, tr(words), tr(tip)) for key, words, tip in answers)


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
        self._left_open: set[str] = set()
        self._away = ""
        self._asked: Row | None = None
        space.pages.register(PAGE, self._make)
        space.acts.add(
            (
                Action(
                    PAGE,
                    "View",
                    tr("First pass"),
                    self.begin,
                    ("F6",),
                    self._has_rooms,
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
        self._skipped.clear()
        self._left_open.clear()
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
        self._left_open.clear()

    def go(self, key: str) -> None:
        """Go to a step; the end leads to what is still to settle."""
        self.is_on = True
        self._skipped.discard(key)
        self._left_open.clear()
        if key in _AWAY:
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
        following = self._next_step()
        if following in _AWAY:
            self._go_away(following)
        else:
            self._show(following)

    def _next_step(self) -> str:
        return next((step.key for step in self.steps() if self._is_next(step)), "")

    # -- the step that is asked about

    def steps(self) -> tuple[PassStep, ...]:
        """The steps as they stand."""
        reading = self._space.window.findChild(Reading)
        doubtful = reading is not None and reading.size_in_doubt()
        found = pass_steps(self._document.state, doubtful, self._document.findings, self._nameless)
        kept = sum(s.height_source == "assumed" and s.id in self._heights_kept for s in self._document.job.storeys)
        return tuple(self._less(step, kept) if step.key == "heights" and kept else step for step in found)

    def _less(self, step: PassStep, kept: int) -> PassStep:
        left = step.left - kept
        state = tr("{count} assumed", count=left) if left else tr("kept as assumed")
        return PassStep(step.key, step.title, left, state)

    def _show(self, key: str = "") -> None:
        steps = self.steps()
        current = key or self._next_step()
        self._space.pages.show_page(PAGE)
        page = self.page
        if page is None:
            return
        about = next(
            (tr("{step}: {state}", step=tr(s.title), state=s.says) for s in steps if s.key == current), tr("Done")
        )
        if current == "names":
            about = self._ask_name(page)
        elif current == "heights":
            about = self._ask_height(page, about)
        elif current in ("stairs", "looks"):
            about = self._ask_row(page, current)
        elif current == "customs":
            about = assumed_customs_text(self._document.job, self._document.state.takeoff)
            page.list.show_answers(_said((*CUSTOM_ANSWERS, _NOT_NOW)))
        elif current == "substrates":
            about = substrates_words(self._document.state)
            page.list.show_answers(_said((*SUBSTRATE_ANSWERS, _NOT_NOW)))
        elif current == "product":
            own = tuple((f"{USE}{key}", name, tr("Order this job with it")) for key, name in own_products())
            page.list.show_answers((*own, *_said(_PRODUCT)))
        else:
            page.list.show_answers(_said((("go", *_AWAY[current]), _NOT_NOW) if current else _END))
        if current in ("customs", "product", ""):
            # these are about the whole job: what was looked at before lies no longer before the eyes
            self._document.choose(())
            self._space.plan.fit()
        page.show_steps(steps, current, about, still_said(self._document.state, self._document.findings))
        # the page that was left may still give its keys to something
        QTimer.singleShot(0, page, page.take_keys)

    def _is_next(self, step: PassStep) -> bool:
        """Whether there is something to ask in a step that the user has not put off."""
        if not step.left or step.key in self._skipped:
            return False
        return step.key not in ("stairs", "looks") or self._next_row(step.key) is not None

    def _next_row(self, key: str) -> Row | None:
        stairs, looks = stairs_and_looks(self._document.state, self._document.findings)
        return next((row for row in (stairs if key == "stairs" else looks) if row.key not in self._left_open), None)

    def _ask_name(self, page: FirstPassPage) -> str:
        """Light up the room that is asked about; what is said of it."""
        found = asked_rooms(self._document.job, self._nameless)
        if not found:
            return ""
        storey, room = found[0]
        self._document.show_storey(str(storey.id))
        self._document.choose((Ref("room", str(room.id)),))
        self._space.pages.show_page(PAGE)
        self._space.plan.fit()
        page.ask_name(room.name, all_spoken(room.evidence) if room.confidence != "sure" else ())
        return tr(
            "{storey}, {room}",
            storey=self._called(storey),
            room=labels(self._document.job)[str(storey.id), str(room.id)],
        )

    def _ask_height(self, page: FirstPassPage, about: str) -> str:
        asked = self._storey_asked()
        if asked is None:
            return about
        self._document.show_storey(str(asked.id))
        page.ask_height(asked.height_mm)
        return tr("{storey}: floor to ceiling", storey=self._called(asked))

    def _called(self, storey: Storey) -> str:
        """Its name; beside others one without a name goes by its number."""
        several = len(self._document.job.storeys) > 1
        return storey_name(storey) if storey.name or not several else storey.title[:1].upper() + storey.title[1:]

    def _ask_row(self, page: FirstPassPage, key: str) -> str:
        """Show the place of what is asked about; its sentence."""
        self._asked = row = self._next_row(key)
        if row is None:
            return ""
        accepted = ("accept", tr("Accept as it is"), tr("You have looked at it: it is not listed again"))
        page.list.show_answers(_said((*(row.answers or (accepted,)), _LATER)))
        if row.findings:
            self._space.go_to(row.findings[0])
            self._space.pages.show_page(PAGE)
        return row.text

    def _storey_asked(self) -> Storey | None:
        storeys = self._document.job.storeys
        return next((s for s in storeys if s.height_source == "assumed" and s.id not in self._heights_kept), None)

    # -- what the user says

    def _room_asked(self) -> Room | None:
        return next((room for _, room in asked_rooms(self._document.job, self._nameless)), None)

    def _named(self, name: str) -> None:
        """A name says that it is a room; without one it stays as it is, in doubt where it is."""
        room = self._room_asked()
        if room is None:
            return
        if name:
            self._document.apply(tr("Name a room"), lambda job: _as_room(job, room, name))
        else:
            self._nameless.add(room.id)
        self._next_room()

    def _next_room(self) -> None:
        if self._room_asked() is not None:
            self._show("names")
        else:
            self._on()

    def _no_room(self) -> None:
        room = self._room_asked()
        if room is not None:
            self._document.apply(tr("Not a room"), lambda job: edits.remove_room(job, room.id))
            self._next_room()

    def _height(self, mm: object) -> None:
        asked = self._storey_asked()
        if asked is None:
            return
        if isinstance(mm, float):
            self._document.apply(tr("Set a storey's height"), lambda job: edits.set_storey_height(job, asked.id, mm))
        else:
            self._heights_kept.add(asked.id)
        if self._storey_asked() is not None:
            self._show("heights")
        else:
            self._on()

    def _answered(self, key: str) -> None:
        """One of the answers that are listed on the page."""
        if key.startswith(USE):
            self._use(key.removeprefix(USE))
        elif key == "page":
            self._away = "product"
            self._skipped.add("product")
            self._space.acts.do("system")
            return
        elif key == "keep":
            self._skipped.add("product")
        elif key == "on-usual":
            self._document.apply(tr("Set what walls and ceilings are made of"), edits.accept_substrates)
        elif key in ("trim-page", "on-page"):
            self._away = "customs" if key == "trim-page" else "substrates"
            self._space.pages.show_page("coat")
            self._space.say(tr("First pass: F6 comes back to its steps"))
            return
        elif key in ("trim-off", "trim-on"):
            usual = TRIM_ON if key == "trim-on" else None
            self._document.apply(
                tr("Say what is removed and what is kept"), lambda job: edits.accept_customs(job, usual)
            )
        elif key == "go":
            self._go_away(self.page.current if self.page is not None else "")
            return
        elif key == "skip":
            self._skipped.add(self.page.current if self.page is not None else "")
        elif key == "write":
            self._space.acts.do("write-sheets")
            return
        elif key == "settle":
            self.go("")
            return
        elif self._asked is not None:
            self._answer_row(self._asked, key)
        self._on()

    def _answer_row(self, row: Row, key: str) -> None:
        if key == "later":
            self._left_open.add(row.key)
        elif key == "accept":
            self._document.apply(tr("Accept what was found"), lambda job: settling.accept_findings(job, row.findings))
        else:
            words = next(words for name, words, _ in row.answers if name == key).lower()
            self._document.apply(
                tr("Ceiling above the stair: {answer}", answer=words),
                lambda job: edits.answer_stair(job, RoomId(row.thing), key),  # type: ignore[arg-type]
            )
        self._document.consider_now()

    def _use(self, system_id: str) -> None:
        try:
            system = load(system_id)
        except TakeoffError as error:
            self._space.tell(str(error))
            return
        copy = as_copy(system)
        self._document.apply(tr("Use {system}", system=system.name), lambda job: edits.set_system(job, system.id, copy))

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

    def _has_rooms(self) -> bool:
        return any(storey.rooms for storey in self._document.job.storeys)


def _as_room(job: Job, room: Room, name: str) -> Job:
    return edits.set_room_confidence(edits.rename_room(job, room.id, name), room.id, "sure")
