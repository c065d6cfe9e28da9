"""The site check in the window: its page, its edits, and the count of holds at the foot."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import cast

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.errors import InputError, TakeoffError
from takeoff.language import tr
from takeoff.plan.edits import (
    add_reading,
    answer_look,
    clear_hold,
    hold_again,
    set_limit,
    set_moisture_limit,
    set_stage,
    take_reading_out,
)
from takeoff.plan.model import Job
from takeoff.plan.site_check import ConditionReading, Face, Looked, Quantity, SiteCheck, Stage, Tick
from takeoff.sitecheck.holds import Hold, holds
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.canvas.hold_marks import HoldMark, HoldMarks
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.panels.site_check_page import SiteCheckPage, TypedReading
from takeoff.ui.window.workspace import Workspace
from takeoff.views.offering_seen import holds_shown
from takeoff.views.site_seen import foot_words, held_rooms

PAGE = "site-check"


def now() -> datetime:
    """This minute, in the site's own time."""
    return datetime.now().replace(second=0, microsecond=0)


def add(space: Workspace, clock: Callable[[], datetime] = now) -> None:
    """Give the window its site check."""
    SiteChecks(space, clock)


class SiteChecks(QObject):
    """Keeps the page and the job together. ``clock``: what time it is."""

    def __init__(self, space: Workspace, clock: Callable[[], datetime]) -> None:
        super().__init__(space)
        self.setObjectName("site-checks")
        self._space, self._document, self.clock = space, space.document, clock
        self.page: SiteCheckPage | None = None
        space.pages.register(PAGE, self._make)
        space.pages.shown.connect(self._seen)
        space.acts.add(
            (
                Action(
                    "site-check",
                    "Site",
                    tr("Site check: may we coat?"),
                    self.show,
                    (),
                    group=8,
                    tip=tr("Moisture, temperatures, dew point, damp and old coatings; what holds the work up"),
                ),
                Action(
                    "today-form",
                    "Site",
                    tr("May we coat today? Page to print…"),
                    self.write_today,
                    (),
                    group=8,
                    tip=tr("Limits of this job, boxes for readings, dew points to read off"),
                ),
            )
        )
        self.marks = HoldMarks(space.plan.view.scene())
        space.choose.marks.append(self._marked)
        space.frame.totals.holds_asked.connect(self.show)
        self._document.opened.connect(self.refresh)
        self._document.changed.connect(self._listen)
        self._document.storey_changed.connect(self._seen)
        space.plan.redrawn.connect(self._show_marks)
        space.theme_changed.connect(self._seen)
        self.refresh()

    def show(self) -> None:
        """Bring the page up."""
        self._space.pages.show_page(PAGE)
        self.refresh()

    def write_today(self) -> None:
        """Ask where the page goes that asks whether to coat today, and write it."""
        path = messages.current().file_to_save(
            self._space.window, tr("May we coat today?"), "PDF (*.pdf)", "coat-today.pdf"
        )
        if path is None:
            return
        from takeoff.services.written.writing import write_today_form

        job = self._document.job
        try:
            write_today_form(path, "", job.name, job.site_check)
        except TakeoffError as error:
            self._space.tell(str(error))
        else:
            self._space.say(tr("Written: {file}", file=path))

    def _make(self) -> QWidget:
        self.page = page = SiteCheckPage()
        page.stage_picked.connect(lambda key: self._apply(lambda job: set_stage(job, cast(Stage, key))))
        page.room.picked.connect(lambda _: self.refresh())
        page.face.picked.connect(lambda _: self.refresh())
        page.scale.editingFinished.connect(self.refresh)
        page.limit_typed.connect(self._limited)
        page.moisture_limit_typed.connect(
            lambda scale, text: self._apply(lambda job: set_moisture_limit(job, scale, _figure(text) if text else None))
        )
        page.reading_wanted.connect(self._read)
        page.looked.connect(self._looked)
        page.taken_out.connect(lambda number: self._apply(lambda job: take_reading_out(job, number)))
        page.clear_wanted.connect(self._clear)
        page.again_wanted.connect(lambda hold: self._apply(lambda job: hold_again(job, hold)))
        self.refresh()
        return page

    def _seen(self, *_: object) -> None:
        self.refresh()

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

    def found(self) -> tuple[Hold, ...]:
        """What holds the job up now; nothing while nobody checked anything."""
        job = self._document.job
        return () if job.site_check == SiteCheck() else holds(job, self.clock())

    def _show_marks(self) -> None:
        storey, held = self._document.storey, held_rooms(self.found())
        plan = self._space.plan
        marks = [
            HoldMark(str(room.id), plan.items.label_at(room), room.confidence != "sure")
            for room in (storey.rooms if storey else ())
            if str(room.id) in held
        ]
        self.marks.show(marks, tr("HOLD"), plan.view.origin, self._space.theme)

    def _marked(self, pointer: Pointer) -> Ref | None:
        return self.marks.at(pointer.at, self._space.plan.view.px_per_mm)

    def refresh(self) -> None:
        """Say what is held at the foot and on the plan; on the page what was read too, while it is seen."""
        self._space.frame.totals.show_holds(foot_words(self.found()))
        self._show_marks()
        page = self.page
        if page is None or self._space.pages.current != PAGE:
            return
        job = self._document.job
        rooms = [(str(room.id), room.title) for storey in job.storeys for room in storey.rooms]
        found, table = holds_shown(job, self.clock())
        page.show_check(job.site_check, rooms)
        page.show_holds(found, table, rooms)

    def _apply(self, edit: Callable[[Job], Job]) -> bool:
        done = self._document.apply(tr("Site check"), edit)
        self.refresh()
        return done

    def _read(self, typed: TypedReading) -> None:
        def edit(job: Job) -> Job:
            reading = ConditionReading(
                quantity=cast(Quantity, typed.quantity),
                value=_figure(typed.text),
                stage=job.site_check.stage,
                at=typed.at.strip() or self.clock().isoformat(timespec="minutes"),
                room=typed.room or None,
                place=typed.place.strip(),
                scale=typed.scale.strip(),
                instrument=typed.instrument.strip(),
                person=typed.person.strip(),
            )
            return add_reading(job, reading, self.clock())

        if self._apply(edit) and self.page is not None:
            self.page.reading_taken()

    def _looked(self, what: str, answer: str, room: str, face: str) -> None:
        page = self.page

        def edit(job: Job) -> Job:
            tick = Tick(
                what=cast(Looked, what),
                answer="yes" if answer == "yes" else "no",
                stage=job.site_check.stage,
                at=self.clock().isoformat(timespec="minutes"),
                room=room or None,
                face=cast(Face, face),
                person=page.person.text().strip() if page else "",
            )
            return answer_look(job, tick, self.clock())

        self._apply(edit)

    def _limited(self, of: str, end: str, text: str) -> None:
        def edit(job: Job) -> Job:
            limits = job.site_check.limits
            ends = {"low": dict(limits.low).get(of), "high": dict(limits.high).get(of)}
            ends[end] = _figure(text) if text.strip() else None
            return set_limit(job, of, ends["low"], ends["high"])

        self._apply(edit)

    def _clear(self, hold: str, person: str, because: str) -> None:
        self._apply(lambda job: clear_hold(job, hold, person, self.clock().date().isoformat(), because))


def _figure(text: str) -> float:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise InputError(tr("“{text}” is not a reading: type a number such as 14.5.", text=text)) from None
