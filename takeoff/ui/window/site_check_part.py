"""The site check in the window: its page, its edits, and the count of holds at the foot."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import cast

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.edits.site_check_edits import (
    add_reading,
    answer_look,
    clear_hold,
    hold_again,
    set_stage,
    take_reading_out,
)
from takeoff.plan.model import Job
from takeoff.plan.site_check import ConditionReading, Looked, Quantity, Stage, Tick
from takeoff.ui.actions import Action
from takeoff.ui.panels.site_check_page import SiteCheckPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.offering_seen import holds_shown

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
            )
        )
        self._document.opened.connect(self.refresh)
        self._document.changed.connect(self._listen)

    def show(self) -> None:
        """Bring the page up."""
        self._space.pages.show_page(PAGE)
        self.refresh()

    def _make(self) -> QWidget:
        self.page = page = SiteCheckPage()
        page.stage_picked.connect(lambda key: self._apply(lambda job: set_stage(job, cast(Stage, key))))
        page.room.picked.connect(lambda _: self.refresh())
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

    def refresh(self) -> None:
        """Show what was read and what is held, while the page is seen."""
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

    def _read(self, quantity: str, text: str, room: str, place: str, scale: str) -> None:
        def edit(job: Job) -> Job:
            reading = ConditionReading(
                quantity=cast(Quantity, quantity),
                value=_figure(text),
                stage=job.site_check.stage,
                at=self.clock().isoformat(timespec="minutes"),
                room=room or None,
                place=place.strip(),
                scale=scale.strip(),
            )
            return add_reading(job, reading, self.clock())

        if self._apply(edit) and self.page is not None:
            self.page.reading_taken()

    def _looked(self, what: str, answer: str, room: str) -> None:
        def edit(job: Job) -> Job:
            tick = Tick(
                what=cast(Looked, what),
                answer="yes" if answer == "yes" else "no",
                stage=job.site_check.stage,
                at=self.clock().isoformat(timespec="minutes"),
                room=room or None,
            )
            return answer_look(job, tick, self.clock())

        self._apply(edit)

    def _clear(self, hold: str, person: str) -> None:
        self._apply(lambda job: clear_hold(job, hold, person, self.clock().date().isoformat()))


def _figure(text: str) -> float:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise InputError(tr("“{text}” is not a reading: type a number such as 14.5.", text=text)) from None
