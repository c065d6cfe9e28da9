"""Right: whose sheets are shown, and what stands on them besides what is measured."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.measure.conventions import NET, as_copy, convention_ids, load
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.services.job_result import draft_of
from takeoff.sheets.flow import usual_paper
from takeoff.ui.document import Document
from takeoff.ui.panels.form_fields import ChoiceField, TextField
from takeoff.ui.panels.page_parts import PAGE_PX, fill, label, scrolled, set_text

READERS = (("client", "Client's scope"), ("team", "Team's sheets"))
PAPERS = (("A4", "A4"), ("A3", "A3"), ("Letter", "Letter"))

DETAILS = (
    ("client", "Client", "Who the scope is for", "For whom"),
    ("site", "Site", "The address at which the work is done", "Where"),
    ("contractor", "From", "The firm that does the work, at the foot of every page", "Your firm"),
    ("reference", "Job number", "Your own number for the job, at the head of the sheets", "None"),
    ("date", "Date", "As it is printed; empty: the day on which the sheets are written", "Today"),
)
PRICES = (
    ("price_coat_m2", "Coat, per m²", "What a square metre of coat costs the client"),
    (
        "price_narrow_m",
        "Narrow work, per m",
        "Of what the bill counts by length; empty: its area at the price of the coat",
    ),
    ("price_bead_m", "Bead, per m", "What a metre of new bead costs the client"),
    ("currency", "Currency", "As it stands over the amounts, such as EUR"),
)


class SheetsPage(QWidget):
    """Fields of the job; ``shown`` says that other sheets are wanted."""

    shown = Signal()
    to_write = Signal()
    to_print = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.reader, self.paper = ChoiceField("Whose sheets", READERS), ChoiceField("Paper", PAPERS)
        self.reader.setMinimumContentsLength(9)
        self.paper.setMinimumContentsLength(2)
        self.reader.show_key("client")
        self.paper.show_key(usual_paper())
        self.reader.picked.connect(self._picked)
        self.paper.picked.connect(self._picked)
        self.write_button, self.print_button = QPushButton(), QPushButton()
        self.draft = label("", "urgent", wrap=True)
        self.write_button.setProperty("part", "main")
        self.write_button.setToolTip("Both PDFs, the tables as XLSX and CSV, and the job, into a folder")
        self.print_button.setToolTip("Print the sheets that are shown")
        self.write_button.clicked.connect(self.to_write)
        self.print_button.clicked.connect(self.to_print)
        self.bill = ChoiceField(
            "How walls are measured for the bill; the order stays net",
            [(name, load(name).name) for name in sorted(convention_ids(), key=lambda name: (name != NET, name))],
        )
        self.bill.setMinimumContentsLength(9)
        self.bill.picked.connect(self._bill_by)
        self.fields: dict[str, TextField] = {}
        self._build()
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.considered_changed.connect(self.refresh)
        self.refresh()

    def _build(self) -> None:
        down = scrolled(self, PAGE_PX, 4)
        fill(
            down,
            label("Sheets", "title"),
            _beside(self.reader, self.paper, first=2),
            2,
            _beside(self.write_button, self.print_button),
            self.draft,
            8,
            label("On the sheets", "heading"),
        )
        self._field(down, "name", "Job", "The job's name, over every plan", "Unnamed job")
        for key, words, tip, empty in DETAILS:
            self._field(down, key, words, tip, empty)
        down.addSpacing(8)
        down.addWidget(label("Drawing", "heading"))
        self._field(down, "number", "Drawing number", "What the drawing calls itself", "None")
        self._field(down, "revision", "Revision", "Of the drawing", "None")
        down.addSpacing(8)
        down.addWidget(label("Price, for the client alone", "heading"))
        billed = label("Measured for the bill by", "grey")
        billed.setBuddy(self.bill)
        fill(down, billed, self.bill)
        for key, words, tip in PRICES:
            self._field(down, key, words, tip, "None")
        down.addStretch(1)

    def _field(self, down: QVBoxLayout, key: str, words: str, tip: str, empty: str) -> None:
        field = self.fields[key] = TextField(key, words, tip, empty)
        name = label(words, "grey")
        name.setBuddy(field)
        field.typed.connect(self._typed)
        down.addWidget(name)
        down.addWidget(field)

    def refresh(self) -> None:
        """Show what the job has."""
        job, ref = self._document.job, self._document.ref
        shown = {
            "name": job.name,
            "number": ref.number if ref is not None else "",
            "revision": ref.revision if ref is not None else "",
            **{key: getattr(job.details, key) for key, *_ in (*DETAILS, *PRICES)},
        }
        for key, text in shown.items():
            self.fields[key].show_text(text)
        for key in ("number", "revision"):
            self.fields[key].setEnabled(ref is not None)
        reason = draft_of(self._document.findings)
        set_text(self.draft, f"Only as a draft, until this is mended: {reason}." if reason else "")
        self.draft.setVisible(bool(reason))
        self.write_button.setText("Write draft…" if reason else "Write…")
        self.print_button.setText("Print draft…" if reason else "Print…")
        self.bill.show_key(job.convention)
        has_rooms = any(storey.rooms for storey in job.storeys)
        self.write_button.setEnabled(has_rooms)
        self.print_button.setEnabled(has_rooms)

    # -- what the user does

    def _typed(self, key: str, text: str) -> None:
        ref = self._document.ref

        def edit(job: Job) -> Job:
            if key == "name":
                return edits.rename_job(job, text)
            if key in ("number", "revision"):
                return edits.set_drawing_number(job, drawing=ref.id if ref is not None else None, **{key: text})
            return edits.set_details(job, **{key: text})

        words = self.fields[key].accessibleName()
        name = "Name the job" if key == "name" else f"Set {words[:1].lower()}{words[1:]}"
        if not self._document.apply(name, edit):
            self.fields[key].put_back()

    def _bill_by(self, key: str) -> None:
        self._document.apply("Bill by another convention", partial(_billed_by, key))

    def _picked(self, key: str) -> None:
        del key
        self.shown.emit()


def _beside(one: QWidget, other: QWidget, first: int = 1) -> QHBoxLayout:
    """Side by side, the first so many times as wide as the other."""
    row = QHBoxLayout()
    row.setSpacing(8)
    row.addWidget(one, first)
    row.addWidget(other, 1)
    return row


def _billed_by(key: str, job: Job) -> Job:
    """The job billed by that convention, as it is now."""
    return edits.set_convention(job, key, as_copy(load(key)))
