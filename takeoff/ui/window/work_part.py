"""What comes after the order, in the window: sent states, deliveries, progress, changes, the account, the hand-over."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import cast

import msgspec
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.account.account_sum import account_of, bill_of
from takeoff.account.change_price import over_limit
from takeoff.errors import InputError, TakeoffError
from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.plan.work_records import ChangeState, Moved, RoomStageName
from takeoff.services import sent_states, work_sheets
from takeoff.services.consumption import own_consumption_of
from takeoff.services.day_books import day_typed
from takeoff.services.job_result import Measured
from takeoff.services.site_changes import TypedChange, all_priced, change_typed, from_drawing
from takeoff.services.state_lists import NOW, bought_tables, compared, state_rows
from takeoff.services.supply_books import bars_cut, known_packs, moved, order_taken, rest_ordered
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_papers import WorkPaper, write_paper
from takeoff.sheets.work_tables import (
    account_tables,
    changes_table,
    compared_table,
    consumption_table,
    defects_table,
    progress_table,
    stage_table,
    states_table,
)
from takeoff.storage import jobfile
from takeoff.storage.content import Content
from takeoff.supply.systems import of_job
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.panels.work_page import WorkPage
from takeoff.ui.window import work_pages
from takeoff.ui.window.workspace import Workspace
from takeoff.views.board import measured_of
from takeoff.views.work_seen import for_page

PDF_KINDS = mark("PDF (*.pdf)")
JOB_KINDS = mark("Jobs (*.takeoff *.json);;All files (*)")

PAGES: dict[str, tuple[str, str, Callable[[], WorkPage]]] = {
    "work-states": (mark("Sent states…"), mark("What was sent, when and to whom"), work_pages.states_page),
    "work-supply": (mark("Deliveries…"), mark("What was bought, and what is still to buy"), work_pages.supply_page),
    "work-progress": (mark("Progress…"), mark("How far the rooms are; days on site"), work_pages.progress_page),
    "work-changes": (mark("Changes on site…"), mark("What is done otherwise than agreed"), work_pages.changes_page),
    "work-account": (mark("Account…"), mark("Done, billed, due"), work_pages.account_page),
    "work-defects": (mark("Defects and hand-over…"), mark("What is not as it should be"), work_pages.handover_page),
}


def add(space: Workspace) -> None:
    """Give the window the menu Work."""
    Work(space)


class Work(QObject):
    """Keeps the pages and the job together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("work")
        self._space, self._document = space, space.document
        self.pages: dict[str, WorkPage] = {}
        self._consumption: Table | None = None
        rows = []
        for key, (text, tip, _) in PAGES.items():
            space.pages.register(key, lambda key=key: self._make(key))  # type: ignore[misc]
            rows.append(Action(key, "Work", tr(text), lambda key=key: self.show(key), (), tip=tr(tip)))  # type: ignore[misc]
        tip = tr("What was coated and measured, and what to heed from now on")
        rows.append(Action("work-handover", "Work", tr("Hand-over sheet…"), self._handover, (), group=1, tip=tip))
        space.acts.add(tuple(rows))
        space.pages.shown.connect(self._listen)
        self._document.opened.connect(self.refresh)
        self._document.changed.connect(self._listen)
        self._document.considered_changed.connect(self.refresh)

    def show(self, key: str) -> None:
        """Bring a page up."""
        self._space.pages.show_page(key)
        self.refresh()

    def _make(self, key: str) -> QWidget:
        page = self.pages[key] = PAGES[key][2]()
        acts = {
            "work-states": self._states_act,
            "work-supply": self._supply_act,
            "work-progress": self._progress_act,
            "work-changes": self._changes_act,
            "work-account": self._account_act,
            "work-defects": self._handover_act,
        }
        page.wanted.connect(lambda what, act=acts[key]: self._guarded(act, what))
        for field in page.chosen.values():
            field.picked.connect(lambda _: self.refresh())
        self.refresh()
        return page

    def _listen(self, *_: object) -> None:
        self.refresh()

    def refresh(self) -> None:
        """Show what the job says on the page that is seen."""
        page = self.pages.get(self._space.pages.current)
        if page is None:
            return
        shows = {
            "work-states": self._show_states,
            "work-supply": self._show_supply,
            "work-progress": self._show_progress,
            "work-changes": self._show_changes,
            "work-account": self._show_account,
            "work-defects": self._show_handover,
        }
        try:
            page.show_tables([for_page(table) for table in shows[self._space.pages.current](page)])
        except TakeoffError as error:
            page.show_tables((), str(error))

    # -- what the pages show

    def _content(self) -> Content:
        return self._space.files.keeping.content()

    def _measured(self) -> Measured:
        return measured_of(self._document.state, self._document.read_findings, self._document.job.name)

    def _show_states(self, page: WorkPage) -> Sequence[Table]:
        content = self._content()
        rows = state_rows(content)
        numbers = [(str(row.number), tr("State {number}", number=row.number)) for row in rows]
        page.offer("state", numbers)
        page.offer("other", [(NOW, tr("as it is now")), *numbers])
        tables: list[Table] = [states_table(rows, work_sheets.currency_of(content.job))]
        if rows:
            old, new = page.text("state"), page.text("other")
            names = dict(((NOW, tr("as it is now")), *numbers))
            title = tr("{old} against {new}", old=names[old], new=names[new])
            tables.append(compared_table(compared(content, old, new), title))
        return tables

    def _show_supply(self, page: WorkPage) -> Sequence[Table]:
        self._offer_packs(page)
        lots = [(lot.id, lot.name or lot.id) for lot in self._document.job.lots]
        page.offer("lot", [("", tr("In no lot")), *lots])
        states = [(str(one.number), tr("State {number}", number=one.number)) for one in self._content().states]
        page.offer("of", [(NOW, tr("as it is now")), *states])
        return bought_tables(self._measured())

    def _show_progress(self, page: WorkPage) -> Sequence[Table]:
        self._offer_packs(page)
        names = work_sheets.room_names(self._document.job)
        page.offer("room", list(names.items()))
        measured = self._measured()
        own = [self._consumption] if self._consumption is not None else []
        return progress_table(work_sheets.progress_for(measured), names), *own, stage_table(measured.job)

    def _show_changes(self, page: WorkPage) -> Sequence[Table]:
        job = self._document.job
        page.offer("photo", [("", tr("none")), *((photo.id, photo.note or photo.name) for photo in job.photos)])
        page.offer("number", [(str(one.number), f"{one.number} {one.place}") for one in job.work.changes])
        page.offer("since", [(str(one.number), str(one.number)) for one in self._content().states])
        return (changes_table(all_priced(job), work_sheets.currency_of(job), over_limit(job)),)

    def _show_account(self, page: WorkPage) -> Sequence[Table]:
        job = self._document.job
        page.typed["keep"].setPlaceholderText(job.work.keep_percent or "0")
        return account_tables(account_of(job, bool(page.text("final"))), job, work_sheets.currency_of(job))

    def _show_handover(self, page: WorkPage) -> Sequence[Table]:
        defects = self._document.job.work.defects
        page.offer("number", [(str(one.number), f"{one.number} {one.place}") for one in defects])
        return (defects_table(defects),)

    def _offer_packs(self, page: WorkPage) -> None:
        packs = known_packs(of_job(self._document.job))
        page.offer("pack", [(f"{one.item}/{one.pack}", f"{one.product}: {one.said}") for one in packs])

    # -- what the buttons do

    def _guarded(self, act: Callable[[WorkPage, str], None], what: str) -> None:
        page = self.pages[self._space.pages.current]
        try:
            act(page, what)
        except TakeoffError as error:
            self._document.refused.emit(str(error))
        self.refresh()

    def _apply(self, page: WorkPage, edit: Callable[[Job], Job], *clears: str) -> None:
        """One edit; what was typed for it stays in the fields where it is refused."""
        if self._document.apply(tr("Work"), edit):
            page.clear(*clears)

    def _on(self, page: WorkPage) -> str:
        return page.text("on") or datetime.date.today().isoformat()

    def _states_act(self, page: WorkPage, what: str) -> None:
        if what == "send":
            self._send(page)
            return
        content = self._content()
        number, on = int(page.text("state") or 0), self._on(page)
        if what == "accept":
            state = sent_states.state_numbered(content, number)
            contract = sent_states.contract_of(state, on, page.text("by"))
            self._apply(page, lambda job: edits.accept_contract(job, contract))
        elif what == "back":
            back = sent_states.back_to(content, number, on)
            self._space.files.keeping.keep_states(back.states)
            self._apply(page, lambda job: back.job)

    def _send(self, page: WorkPage) -> None:
        """Ask for a folder, write the sheets, keep the state and save the job, which must have a file for it."""
        said = sent_states.Said(self._on(page), page.text("to"), page.text("by"), page.text("note"))
        if not said.to:
            raise InputError(tr("Name whom the sheets are sent to."))
        files = self._space.files
        path = self._document.path
        if (path is None or path.suffix != jobfile.EXTENSION) and not files.save_as():
            return
        folder = messages.current().folder(self._space.window, tr("Send: folder of the sheets"))
        if folder is None:
            return
        content, written = sent_states.send(files.keeping.content(), self._measured(), folder, said)
        files.keeping.keep_states(content.states)
        if files.save():
            page.clear("to", "note")
            count, number = len(written), content.states[-1].number
            self._space.say(tr("State {number} is kept, with {count} sheets.", number=number, count=count))

    def _supply_act(self, page: WorkPage, what: str) -> None:
        on, lot = self._on(page), page.text("lot")
        if what == "enter":
            typed = f"{page.text('pack')}={page.text('count')}"
            how = cast(Moved, page.text("moved"))
            self._apply(page, lambda job: moved(job, how, typed, on, lot, page.text("batch")), "count")
        elif what == "undo":
            self._apply(page, lambda job: edits.take_movement_out(job, len(job.work.movements) - 1))
        elif what == "rest":
            ordered = rest_ordered(self._measured(), on, lot)
            self._apply(page, lambda _: ordered)
        else:
            which = page.text("of")
            order = self._measured().order
            if which != NOW:
                order = sent_states.order_of(sent_states.state_numbered(self._content(), int(which or 0)))
            take = order_taken if what == "all" else bars_cut
            self._apply(page, lambda job: take(job, order, on, lot))

    def _progress_act(self, page: WorkPage, what: str) -> None:
        room, on, by = page.text("room"), self._on(page), page.text("by")
        if what == "set":
            stage = cast(RoomStageName, page.text("stage"))
            self._apply(page, lambda job: edits.set_room_stage(job, room, stage, on, by))
            return
        if what == "undo":
            self._apply(page, lambda job: edits.take_day_out(job, len(job.work.days) - 1))
            return
        if what == "own":
            self._own_consumption(page)
            return
        opened = [f"{page.text('pack')}={page.text('count')}"] if page.text("count") else []
        gauge = [f"{page.text('place')}={page.text('mm')}"] if page.text("mm") else []
        hours = _hours(page.text("hours"))
        self._apply(
            page,
            lambda job: day_typed(job, room, on, by, hours, opened, page.text("batch"), gauge),
            "hours",
            "count",
            "place",
            "mm",
        )

    def _own_consumption(self, page: WorkPage) -> None:
        """Ask for jobs that are done, and show what they took. Nothing is kept and nothing changed."""
        words = tr("Choose jobs that are done")
        paths = messages.current().files_to_open(self._space.window, words, tr(JOB_KINDS))
        if paths:
            self._consumption = consumption_table(own_consumption_of(paths))
            self.refresh()

    def _changes_act(self, page: WorkPage, what: str) -> None:
        on = self._on(page)
        if what in ("add", "omit"):
            keys = ("place", "what", "item", "size", "hours", "materials", "price", "by", "days", "photo")
            typed = TypedChange(**{key: page.text(key) for key in keys}, omitted=what == "omit")
            self._apply(page, lambda job: change_typed(job, typed, on), "what", "size", "hours", "materials", "price")
            return
        if what == "propose":
            number = int(page.text("since") or 0)
            content = self._content()
            was = sent_states.job_of(sent_states.state_numbered(content, number))
            old = sent_states.measured_of(msgspec.structs.replace(content, job=was))
            new = self._measured()
            self._apply(page, lambda job: from_drawing(job, old, new, on, number))
            return
        number = int(page.text("number") or 0)
        if what == "set":
            state = cast(ChangeState, page.text("state"))
            self._apply(page, lambda job: edits.set_change_state(job, number, state, on, page.text("person")))
        elif what == "bill":
            self._apply(page, lambda job: edits.bill_unagreed(job, number))
        else:
            paper = work_sheets.change_paper(self._document.job, number, on, self._space.files.keeping.picture)
            self._write(paper, tr("change {number}", number=number))

    def _account_act(self, page: WorkPage, what: str) -> None:
        on, final = self._on(page), bool(page.text("final"))
        if what == "keep":
            self._apply(page, lambda job: edits.set_kept_back(job, page.text("keep")), "keep")
        elif what == "pay":
            self._apply(page, lambda job: edits.add_payment(job, on, page.text("paid")), "paid")
        else:
            job = self._document.job
            bill = bill_of(job, on, final) if what == "bill" else None
            if self._write(work_sheets.account_paper(job, on, final), tr("account")) and bill is not None:
                self._apply(page, lambda job: edits.add_bill(job, bill))

    def _handover_act(self, page: WorkPage, what: str) -> None:
        on, by = self._on(page), page.text("by")
        if what == "note":
            place, words = page.text("place"), page.text("what")
            self._apply(page, lambda job: edits.note_defect(job, place, words, on, by), "what")
        elif what == "mend":
            number = int(page.text("number") or 0)
            self._apply(page, lambda job: edits.mend_defect(job, number, on, by))
        else:
            self._handover(on)

    def _handover(self, day: str = "") -> None:
        try:
            on = day or datetime.date.today().isoformat()
            self._write(work_sheets.handover_paper(self._measured(), on), tr("hand-over"))
        except TakeoffError as error:
            self._document.refused.emit(str(error))

    def _write(self, paper: WorkPaper, name: str) -> bool:
        """Ask where to, and write a paper; whether it was written."""
        path = messages.current().file_to_save(self._space.window, paper.title, tr(PDF_KINDS), f"{name}.pdf")
        if path is None:
            return False
        files = write_paper(paper, path if path.suffix.lower() == ".pdf" else Path(f"{path}.pdf"))
        self._space.say(tr("Written: {file}", file=files[0]))
        return True


def _hours(text: str) -> float:
    try:
        return float(text.replace(",", ".") or 0)
    except ValueError:
        raise InputError(tr("Hours of a day and its crew lie between 0 and 1,000.")) from None
