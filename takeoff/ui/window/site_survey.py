"""A room keyed from site readings: its table in the place of the plan, and the room that comes of it."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
from takeoff.plan.edits.lookup import new_room_id
from takeoff.plan.model import Job, RoomId, StoreyId
from takeoff.plan.readings import put_room
from takeoff.ui.document import Ref
from takeoff.ui.panels.site_pages import ReadingsPage
from takeoff.ui.panels.site_panel import SitePanel
from takeoff.ui.window.workspace import Workspace
from takeoff.views.site_said import edit_name, site_rooms
from takeoff.views.site_sheet import Read, Sheet, read, sheet_of

READINGS, SITE = "readings", "site"


class SiteSurvey(QObject):
    """Keeps the table, what is said of it at the right, and the job together. A room that was begun comes back after
    another one was changed."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self._space, self._document = space, space.document
        self._made: SitePanel | None = None
        self._draft: Sheet | None = None
        self._was_refused = False
        space.pages.register(READINGS, self._make_page)
        space.stays.add((READINGS, "room"))
        space.pages.shown.connect(self._page_shown)
        self._document.opened.connect(self._anew)
        self._document.refused.connect(self._refused)

    @property
    def panel(self) -> SitePanel:
        """The table of readings, made when it is first wanted."""
        if self._made is None:
            made = self._made = SitePanel(self._space.theme)
            made.hide()
            self._space.frame.column.addWidget(made, 1)
            made.put.connect(self._put)
            made.put_and_next.connect(self._put_and_next)
            made.closed.connect(self.close)
        return self._made

    @property
    def _is_keyed(self) -> bool:
        """Whether the table is there, in the place of the plan."""
        return self._made is not None and self._made.isVisibleTo(self._space.window)

    def _make_page(self) -> QWidget:
        page = ReadingsPage()
        page.show_read(self.panel.read)
        self.panel.read_changed.connect(page.show_read)
        page.afresh.connect(self._afresh)
        return page

    # -- what the user does

    def new_room(self) -> None:
        """Key a new room; one that was begun comes back."""
        if self.panel.sheet.room:
            self.panel.show_sheet(self._draft or Sheet())
            self._draft = None
        self._space.show_step(READINGS)
        self.panel.start()

    def change_room(self) -> None:
        """Show the readings of the chosen room, to be changed."""
        sheet = sheet_of(self._document.job, self.chosen())
        if sheet is None:
            return
        if not self.panel.sheet.room:
            self._draft = self.panel.sheet
        self.panel.show_sheet(sheet)
        self._space.show_step(READINGS)
        self.panel.start()

    def chosen(self) -> str:
        """The chosen room, if it was read on site or set for a budget; else ""."""
        choice = self._document.choice
        room = choice[-1].room_id if choice else ""
        return room if any(one.id == room for one in site_rooms(self._document.job)) else ""

    def close(self) -> None:
        """Back to the plan; what is keyed stays."""
        back_to_plan(self._space)

    def _put(self, sheet: Sheet) -> None:
        name = self._into_job(sheet)
        if name:
            self.panel.show_sheet(self._draft or Sheet(unit=sheet.unit, clockwise=sheet.clockwise))
            self._draft = None
            self._document.choose((Ref("room", name),))
            self._space.pages.show_page("card")
            self._space.plan.view.setFocus()
            self._space.plan.fit()

    def _put_and_next(self, sheet: Sheet) -> None:
        if self._into_job(sheet):
            self.panel.show_sheet(Sheet(middle=sheet.middle, unit=sheet.unit, clockwise=sheet.clockwise))
            self.panel.head.name.setFocus()
            self._space.say(tr("{room} is in the job", room=sheet.name) if sheet.name else tr("The room is in the job"))

    def _into_job(self, sheet: Sheet) -> str:
        """The id of the room that the sheet gives, now in the job; "" where it was refused."""
        made: Read = read(sheet)
        job, storey = self._document.job, self._document.storey
        room = RoomId(sheet.room) if sheet.room else new_room_id(job)
        storey_id = StoreyId(str(storey.id)) if storey is not None else None

        def edit(before: Job) -> Job:
            return put_room(before, storey_id, room, sheet.name.strip(), made.readings)

        self._was_refused = False
        self._document.apply(edit_name(sheet), edit)
        if self._was_refused:
            return ""
        show_first_storey(self._space)
        return str(room)

    def _afresh(self) -> None:
        self.panel.show_sheet(Sheet(unit=self.panel.sheet.unit, clockwise=self.panel.sheet.clockwise))
        self.panel.start()

    # -- listeners

    def _page_shown(self, page_id: str) -> None:
        shows = page_id == READINGS
        if shows == self._is_keyed:
            return
        had_focus = self.panel.isAncestorOf(self._space.window.focusWidget() or self._space.window)
        self._space.frame.show_instead(self.panel, shows)
        if shows:
            self.panel.set_theme(self._space.theme)
            self._space.back_to_choosing()
        elif had_focus:
            self._space.plan.view.setFocus()

    def _refused(self, reason: str) -> None:
        self._was_refused = True
        if self._is_keyed:
            self.panel.hint.setText(reason)

    def _anew(self) -> None:
        """Another job: what was keyed for the last one is not for this."""
        self._draft = None
        if self._made is None:
            return
        self._made.show_sheet(Sheet())
        if self._is_keyed:
            self.close()


def back_to_plan(space: Workspace) -> None:
    """From a room that is keyed or typed back to the plan."""
    space.pages.show_page("card" if space.document.choice else SITE)
    space.plan.view.setFocus()


def show_first_storey(space: Workspace) -> None:
    """A job that had no storey has one now."""
    document = space.document
    if document.storey is None and document.job.storeys:
        document.show_storey(str(document.job.storeys[0].id))
