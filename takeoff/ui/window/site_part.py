"""Rooms without a drawing: keyed from site readings, set for a budget, set together; the blank form."""

from __future__ import annotations

from functools import partial
from typing import cast

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.errors import TakeoffError
from takeoff.language import tr
from takeoff.plan.edits.lookup import new_room_id
from takeoff.plan.model import Job, RoomId, SetTogether, StoreyId
from takeoff.plan.readings import put_room, set_together
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.budget_page import BudgetPage
from takeoff.ui.panels.site_pages import ReadingsPage, SitePage
from takeoff.ui.panels.site_panel import SitePanel
from takeoff.ui.panels.together_page import TogetherPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.site_joins import rooms_to_join
from takeoff.views.site_said import BudgetSheet, edit_name, put_budget, site_rooms
from takeoff.views.site_sheet import Read, Sheet, read, sheet_of

READINGS, SITE, BUDGET, TOGETHER = "readings", "site", "budget", "together"


def add(space: Workspace) -> None:
    """Give the window all that is done without a drawing."""
    SitePart(space)


class SitePart(QObject):
    """Keeps the table of readings, the pages at the right, and what they do to the job together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("site")
        self._space, self._document = space, space.document
        self._made: SitePanel | None = None
        self._draft: Sheet | None = None
        self._was_refused = False
        for page, make in (
            (READINGS, self._make_readings),
            (SITE, self._make_site),
            (BUDGET, self._make_budget),
            (TOGETHER, self._make_together),
        ):
            space.pages.register(page, make)
        space.stays.update({(SITE, "room"), (TOGETHER, "room"), (READINGS, "room")})
        space.pages.shown.connect(self._page_shown)
        space.acts.add(self._rows())
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

    def _rows(self) -> tuple[Action, ...]:
        def several() -> bool:
            return len(rooms_to_join(self._document.storey)) > 1

        return (
            Action(
                "site-room",
                "Site",
                tr("New room from site measurements"),
                self.new_room,
                ("Ctrl+R",),
                tip=tr("Key sides, openings, heights and diagonals as measured on site"),
            ),
            Action(
                "site-anew",
                "Site",
                tr("Change the measurements of this room"),
                self.change_room,
                ("Ctrl+Shift+R",),
                lambda: bool(self._chosen()),
                tip=tr("Its outline is worked out again; name, coats and openings stay"),
            ),
            Action(
                "budget-room",
                "Site",
                tr("Estimate room (L × W × H)"),
                self.new_budget_room,
                ("Ctrl+B",),
                tip=tr("Length × width × height and a list of openings"),
                group=1,
            ),
            Action(
                "set-together",
                "Site",
                tr("Assemble surveyed rooms"),
                partial(self._show, TOGETHER),
                ("Ctrl+J",),
                several,
                tip=tr("Through the doors and walls that they share"),
                group=1,
            ),
            Action("site-rooms", "Site", tr("Rooms from site"), partial(self._show, SITE), ("Ctrl+7",), group=2),
            Action(
                "site-form",
                "Site",
                tr("Blank form to print…"),
                self.write_form,
                group=2,
                tip=tr("To fill in on site, in the order in which it is keyed"),
            ),
        )

    # -- pages

    def _make_readings(self) -> QWidget:
        page = ReadingsPage()
        page.show_read(self.panel.read)
        self.panel.read_changed.connect(page.show_read)
        page.afresh.connect(self._afresh)
        return page

    def _make_site(self) -> QWidget:
        page = SitePage(self._document)
        page.wanted.connect(self._space.acts.do)
        page.picked.connect(self._space.choose_ref)
        return page

    def _make_budget(self) -> QWidget:
        page = BudgetPage()
        page.put.connect(self._put_budget)
        page.left.connect(self.close)
        return page

    def _make_together(self) -> QWidget:
        page = TogetherPage(self._document, self._space.theme)
        page.put.connect(self._set_together)
        return page

    @property
    def budget_page(self) -> BudgetPage:
        """The page of budget rooms."""
        return cast(BudgetPage, self._space.pages.page(BUDGET))

    def _show(self, page: str) -> None:
        self._space.show_step(page)

    # -- what the user does

    def new_room(self) -> None:
        """Key a new room; one that was begun comes back."""
        if self.panel.sheet.room:
            self.panel.show_sheet(self._draft or Sheet())
            self._draft = None
        self._show(READINGS)
        self.panel.start()

    def change_room(self) -> None:
        """Show the readings of the chosen room, to be changed."""
        sheet = sheet_of(self._document.job, self._chosen())
        if sheet is None:
            return
        if not self.panel.sheet.room:
            self._draft = self.panel.sheet
        self.panel.show_sheet(sheet)
        self._show(READINGS)
        self.panel.start()

    def new_budget_room(self) -> None:
        """Show the form of a budget room."""
        self._show(BUDGET)
        self.budget_page.start()

    def close(self) -> None:
        """Back to the plan; what is keyed stays."""
        self._space.pages.show_page("card" if self._document.choice else SITE)
        self._space.plan.view.setFocus()

    def write_form(self) -> None:
        """Ask where the blank form goes, and write it."""
        path = messages.current().file_to_save(
            self._space.window, tr("Blank form for a room survey"), "PDF (*.pdf)", "site-form.pdf"
        )
        if path is None:
            return
        from takeoff.services.writing import write_form

        try:
            write_form(path)
        except TakeoffError as error:
            self._space.tell(str(error))
        else:
            self._space.say(tr("Written: {file}", file=path))

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
        self._show_first_storey()
        return str(room)

    def _put_budget(self, sheet: BudgetSheet) -> None:
        room = new_room_id(self._document.job)
        storey = self._document.storey
        name = (
            tr("Add {room} as an estimate", room=sheet.name.strip())
            if sheet.name.strip()
            else tr("Add an estimate room")
        )
        edit = partial(put_budget, storey=str(storey.id) if storey else "", sheet=sheet, room_id=room)
        if self._document.apply(name, edit):
            self._show_first_storey()
            self.budget_page.clear()
            self.budget_page.start()
            self._space.plan.fit()
            self._space.say(
                tr("{room} is in the job, as an estimate", room=sheet.name.strip())
                if sheet.name.strip()
                else tr("The room is in the job, as an estimate")
            )

    def _set_together(self, joined: SetTogether) -> None:
        storey = self._document.storey
        if storey is not None:
            name = tr("Assemble surveyed rooms") if joined.joins else tr("Take rooms apart")
            if self._document.apply(name, lambda job: set_together(job, storey.id, joined)):
                self._space.plan.fit()

    def _afresh(self) -> None:
        self.panel.show_sheet(Sheet(unit=self.panel.sheet.unit, clockwise=self.panel.sheet.clockwise))
        self.panel.start()

    # -- listeners and small help

    def _chosen(self) -> str:
        """The chosen room, if it was read on site or set for a budget; else ""."""
        choice = self._document.choice
        room = choice[-1].room_id if choice else ""
        return room if any(one.id == room for one in site_rooms(self._document.job)) else ""

    def _show_first_storey(self) -> None:
        """A job that had no storey has one now."""
        if self._document.storey is None and self._document.job.storeys:
            self._document.show_storey(str(self._document.job.storeys[0].id))

    def _page_shown(self, page_id: str) -> None:
        shows = page_id == READINGS
        if page_id == TOGETHER:
            for sketch in cast(TogetherPage, self._space.pages.page(TOGETHER)).sketches:
                sketch.set_theme(self._space.theme)
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
        if self._space.pages.current == BUDGET:
            self.budget_page.say(reason)
        elif self._is_keyed:
            self.panel.hint.setText(reason)

    def _anew(self) -> None:
        """Another job: what was keyed for the last one is not for this."""
        self._draft = None
        if self._made is None:
            return
        self._made.show_sheet(Sheet())
        if self._is_keyed:
            self.close()
