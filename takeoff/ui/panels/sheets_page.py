"""Right: whose sheets are shown, and what stands on them besides what is measured."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.language import mark, tr
from takeoff.measure.conventions import NET, as_copy, convention_ids, load
from takeoff.plan import edits
from takeoff.plan.model import Job, Logo
from takeoff.services.measured.job_result import draft_of
from takeoff.sheets.flow import usual_paper
from takeoff.ui.document import Document
from takeoff.ui.panels.firm_fields import FirmLogo
from takeoff.ui.panels.form_fields import ChoiceField, TextField, said
from takeoff.ui.panels.page_parts import PAGE_PX, fill, label, scrolled, set_text

READERS = (
    ("scope", mark("Client scope")),
    ("order", mark("Order")),
    ("site", mark("Site sheets")),
    ("dimensions", mark("Dimension sheet")),
)
PAPERS = (("A4", "A4"), ("A3", "A3"), ("Letter", "Letter"))

DETAILS = (
    ("client", mark("Client"), mark("Who the scope is for"), mark("For whom")),
    ("site", mark("Site"), mark("The address at which the work is done"), mark("Where")),
    ("reference", mark("Job number"), mark("Your own number for the job, at the head of the sheets"), mark("None")),
    ("date", mark("Date"), mark("As printed; empty: the day of export"), mark("Today")),
)
FIRM = (
    ("contractor", mark("From"), mark("The firm that does the work, at the foot of every page"), mark("Your firm")),
    ("address", mark("Your address"), mark("With commas between its lines; at the head of every paper"), mark("None")),
    ("terms", mark("Your terms"), mark("Printed on the scope before it is signed"), mark("None")),
)
PRICES = (
    ("price_coat_m2", mark("Coat, per m²"), mark("What a square metre of coat costs the client")),
    (
        "price_narrow_m",
        mark("Narrow widths, per m"),
        mark("Of what the bill counts by length; empty: its area at the price of the coat"),
    ),
    ("price_bead_m", mark("Bead, per m"), mark("What a metre of new bead costs the client")),
    ("currency", mark("Currency"), mark("As it stands over the amounts, such as EUR")),
)


class SheetsPage(QWidget):
    """Fields of the job; ``shown`` says that other sheets are wanted."""

    shown = Signal()
    to_write = Signal()
    to_write_one = Signal()
    to_open = Signal()
    to_show_folder = Signal()
    to_print = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.reader, self.paper = ChoiceField(tr("Which sheets"), said(READERS)), ChoiceField(tr("Paper"), PAPERS)
        self.reader.setMinimumContentsLength(9)
        self.paper.setMinimumContentsLength(2)
        self.reader.show_key("scope")
        self.paper.show_key(usual_paper())
        self.reader.picked.connect(self._picked)
        self.paper.picked.connect(self._picked)
        self.write_button, self.print_button = QPushButton(), QPushButton()
        self.one_button = QPushButton(tr("Export this sheet…"))
        self.one_button.setToolTip(tr("The paper that is shown, by itself, into a folder of this job"))
        self.one_button.clicked.connect(self.to_write_one)
        self.open_button, self.folder_button = QPushButton(tr("Open")), QPushButton(tr("Show in folder"))
        self.open_button.setToolTip(tr("Open what was exported last"))
        self.folder_button.setToolTip(tr("Show the folder of what was exported last"))
        self.open_button.clicked.connect(self.to_open)
        self.folder_button.clicked.connect(self.to_show_folder)
        self.open_button.hide()
        self.folder_button.hide()
        self.draft = label("", "urgent", wrap=True)
        self.write_button.setProperty("part", "main")
        self.write_button.setToolTip(tr("Every paper as PDF, the tables as XLSX and CSV, and the job, into a folder"))
        self.print_button.setToolTip(tr("Print the sheets that are shown"))
        self.write_button.clicked.connect(self.to_write)
        self.print_button.clicked.connect(self.to_print)
        self.bill = ChoiceField(
            tr("How walls are measured for the bill; the order stays net"),
            [(name, load(name).name) for name in sorted(convention_ids(), key=lambda name: (name != NET, name))],
        )
        self.bill.setMinimumContentsLength(9)
        self.bill.picked.connect(self._bill_by)
        self.fields: dict[str, TextField] = {}
        self.logo = FirmLogo()
        self.logo.to_remove.connect(partial(self.set_logo, None))
        self.order_prices = QCheckBox(tr("Prices on the order"))
        self.order_prices.setToolTip(
            tr("The order says what the goods cost; without it your supplier names his prices")
        )
        self.order_prices.clicked.connect(self._with_prices)
        self._build()
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.considered_changed.connect(self.refresh)
        self.refresh()

    def _build(self) -> None:
        down = scrolled(self, PAGE_PX, 4)
        fill(
            down,
            label(tr("Sheets"), "title"),
            _beside(self.reader, self.paper, first=2),
            2,
            _beside(self.write_button, self.print_button),
            self.one_button,
            _beside(self.open_button, self.folder_button),
            self.draft,
            8,
            label(tr("On the sheets"), "heading"),
        )
        self._field(down, "name", tr("Job"), tr("The job's name, over every plan"), tr("Unnamed job"))
        for key, words, tip, empty in DETAILS:
            self._field(down, key, tr(words), tr(tip), tr(empty))
        down.addSpacing(8)
        down.addWidget(label(tr("Your firm"), "heading"))
        for key, words, tip, empty in FIRM:
            self._field(down, key, tr(words), tr(tip), tr(empty))
        fill(down, self.logo, self.order_prices)
        down.addSpacing(8)
        down.addWidget(label(tr("Drawing"), "heading"))
        self._field(down, "number", tr("Drawing number"), tr("What the drawing calls itself"), tr("None"))
        self._field(down, "revision", tr("Revision"), tr("Of the drawing"), tr("None"))
        down.addSpacing(8)
        down.addWidget(label(tr("Price, for the client alone"), "heading"))
        billed = label(tr("Measured for the bill by"), "grey")
        billed.setBuddy(self.bill)
        fill(down, billed, self.bill)
        for key, words, tip in PRICES:
            self._field(down, key, tr(words), tr(tip), tr("None"))
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
            **{key: getattr(job.details, key) for key, *_ in (*DETAILS, *FIRM, *PRICES)},
        }
        for key, text in shown.items():
            self.fields[key].show_text(text)
        for key in ("number", "revision"):
            self.fields[key].setEnabled(ref is not None)
        self.logo.show_logo(job.details.logo)
        self.order_prices.setChecked(job.details.order_prices)
        reason = draft_of(self._document.findings)
        set_text(self.draft, tr("Only as a draft until this is fixed: {reason}.", reason=reason) if reason else "")
        self.draft.setVisible(bool(reason))
        self.write_button.setText(tr("Export draft…") if reason else tr("Export…"))
        self.print_button.setText(tr("Print draft…") if reason else tr("Print…"))
        self.bill.show_key(job.convention)
        has_rooms = job.has_rooms
        self.write_button.setEnabled(has_rooms)
        self.print_button.setEnabled(has_rooms)
        self.one_button.setEnabled(has_rooms)

    def set_logo(self, logo: Logo | None) -> None:
        """Put another logo on the papers, None for none."""
        name = tr("Remove the logo") if logo is None else tr("Set: {field}", field=tr("Your logo"))
        self._document.apply(name, lambda job: edits.set_logo(job, logo))

    def _with_prices(self, shown: bool) -> None:
        self._document.apply(tr("Prices on the order"), lambda job: edits.set_order_prices(job, shown))

    def show_exported(self) -> None:
        """Offer to open what was exported, and its folder."""
        self.open_button.show()
        self.folder_button.show()

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
        name = tr("Name the job") if key == "name" else tr("Set: {field}", field=words)
        if not self._document.apply(name, edit):
            self.fields[key].put_back()

    def _bill_by(self, key: str) -> None:
        self._document.apply(tr("Bill by another convention"), partial(_billed_by, key))

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
