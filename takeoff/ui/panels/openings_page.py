"""The step "Openings": what to place next, with its size typed; below, every opening of the job."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QAbstractItemView, QLineEdit, QPushButton, QVBoxLayout

from takeoff.errors import InputError
from takeoff.language import tr, tr_count
from takeoff.ui.document import Document
from takeoff.ui.panels.form_fields import Choice, Form, LengthField, buttons, length_text, said, small_button
from takeoff.ui.panels.opening_editor import KINDS
from takeoff.ui.panels.page_parts import label
from takeoff.ui.panels.step_pages import OpeningsPage
from takeoff.units.lengths import DEPTH, OPENING_SIZE, SILL, size_mm
from takeoff.views.opening_types import Kind, OpeningType, opening_types


def size_of(text: str) -> tuple[float, float]:
    """(width, height) in mm as typed: "1.20 x 0.90", "1200 × 900". Raises InputError.

    >>> size_of("1.2 x 0.9")
    (1200.0, 900.0)
    """
    parts = [part for part in text.replace("×", "x").replace("X", "x").replace("*", "x").split("x") if part]
    if len(parts) != 2:
        raise InputError(tr("“{text}” is no width and height: type them as {example}.", text=text, example=_example()))
    width, height = (size_mm(part.strip(), OPENING_SIZE) for part in parts)
    if width <= 0 or height <= 0:
        raise InputError(tr("“{text}”: width and height must be more than 0.", text=text))
    return width, height


def _example() -> str:
    return f"{length_text(1200.0)} x {length_text(900.0)}"


class PlacingPage(OpeningsPage):
    """The table of openings, and above it the type that is placed. ``place`` carries it. Rows may be chosen many at
    a time; ``change`` says that what is chosen is to be set, all of it together."""

    place = Signal(object)
    change = Signal()
    rows_chosen = Signal(object)
    """The Refs of the rows that are marked now."""
    kind_changed = Signal(object)

    def __init__(self, document: Document) -> None:
        self.types = Choice(tr("Type of opening to place"), tr("Types in this job, then usual ones"))
        self.what = Choice(tr("Kind of opening to place"))
        self.size_field = QLineEdit()
        self.sill = LengthField(tr("Sill above the floor"), size=SILL)
        self.reveal = LengthField(tr("Depth of the reveal"), size=DEPTH)
        self.button = QPushButton(tr("Place on a wall"))
        self.change_button = small_button(tr("Change…"), tr("Set everything selected in the table at once (Enter)"))
        self._shown: tuple[OpeningType, ...] = ()
        self._chosen: OpeningType | None = None
        super().__init__(document)
        self._build()
        self.types.activated.connect(self._take_type)
        self.what.activated.connect(self._take_kind)
        self.size_field.editingFinished.connect(self._take_size)
        self.sill.typed.connect(self._take_sill)
        self.reveal.typed.connect(self._take_reveal)
        self.button.clicked.connect(self._place)
        for field in (self.sill, self.reveal):
            field.refused.connect(document.refused)

    def _build(self) -> None:
        form = Form()
        self.size_field.setAccessibleName(tr("Width × height"))
        self.size_field.setToolTip(tr("Width × height, such as {example} or 1200 x 900", example=_example()))
        for key, words in said(KINDS):
            self.what.addItem(words, key)
        form.pair((tr("Type"), self.types))
        form.pair((tr("Kind"), self.what))
        form.pair((tr("Size, m"), self.size_field))
        form.pair((tr("Sill"), self.sill), (tr("Reveal"), self.reveal))
        self.button.setProperty("part", "main")
        self.button.setToolTip(tr("Then click a wall, or type the distance from a corner (O)"))
        layout = self.layout()
        assert isinstance(layout, QVBoxLayout)
        layout.insertLayout(1, form)
        layout.insertWidget(2, buttons(self.button))
        layout.insertWidget(3, label(tr("In the job"), "heading"))
        layout.addWidget(buttons(self.change_button))
        # one line each: a room's name in a narrow column would be cut in two
        self.table.keep_to_one_line()
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.table.selectionModel().selectionChanged.connect(self._rows_chosen)
        self.table.activated.connect(self.change)
        self.change_button.clicked.connect(self.change)
        self._rows_chosen()

    def _rows_chosen(self) -> None:
        refs = self.table.chosen_refs()
        self.change_button.setEnabled(bool(refs))
        self.change_button.setText(tr_count("Change…", "Change {count} together…", max(len(refs), 1)))
        if refs:
            self.rows_chosen.emit(refs)

    # -- what is shown

    @property
    def opening_type(self) -> OpeningType:
        """What is placed."""
        return self._chosen or opening_types(self.document.job)[0]

    def refresh(self) -> None:
        """The table and the list of types."""
        super().refresh()
        self._show_types()

    def show_type(self, kind: OpeningType) -> None:
        """Show that this type is placed."""
        if kind != self._chosen:
            self._chosen = kind
            self._show_types()

    def _show_types(self) -> None:
        types = opening_types(self.document.job)
        chosen = self.opening_type
        if not any(_same_form(chosen, one) for one in types):
            types = (chosen, *types)
        if types != self._shown:
            self._shown = types
            self.types.clear()
            for one in types:
                self.types.addItem(f"{one.words}  ({one.count})" if one.count else one.words)
        index = next(k for k, one in enumerate(types) if _same_form(chosen, one))
        self.types.setCurrentIndex(index)
        self.what.setCurrentIndex(self.what.findData(chosen.kind))
        if not self.size_field.isModified():
            self.size_field.setText(f"{length_text(chosen.width_mm)} × {length_text(chosen.height_mm)}")
        self.sill.show_mm(chosen.sill_mm)
        self.reveal.show_mm(chosen.reveal.start.depth_mm)

    # -- what the user does

    def _set(self, kind: OpeningType) -> None:
        self.show_type(kind)
        self.kind_changed.emit(kind)

    def _take_type(self, index: int) -> None:
        self._set(self._shown[index])

    def _take_kind(self, index: int) -> None:
        key: Kind = self.what.itemData(index)
        if key == self.opening_type.kind:
            return
        # the job's or the usual first one of that kind
        first = next((one for one in opening_types(self.document.job) if one.kind == key), None)
        self._set(first or msgspec.structs.replace(self.opening_type, kind=key, mark="", count=0))

    def _take_size(self) -> None:
        if not self.size_field.isModified():
            return
        self.size_field.setModified(False)
        try:
            width, height = size_of(self.size_field.text())
        except InputError as error:
            self._show_types()
            self.document.refused.emit(str(error))
            return
        self._change(width_mm=width, height_mm=height)

    def _take_sill(self, mm: float) -> None:
        self._change(sill_mm=mm)

    def _take_reveal(self, mm: float) -> None:
        reveal = self.opening_type.reveal
        strips = {
            part: msgspec.structs.replace(getattr(reveal, part), depth_mm=mm, depth_source="typed")
            for part in ("start", "end", "head", "sill")
        }
        self._change(reveal=msgspec.structs.replace(reveal, **strips))

    def _change(self, **fields: object) -> None:
        self._set(msgspec.structs.replace(self.opening_type, mark="", count=0, **fields))
        self._show_types()

    def _place(self) -> None:
        self._take_size()
        self.place.emit(self.opening_type)


def _same_form(a: OpeningType, b: OpeningType) -> bool:
    return (a.kind, a.width_mm, a.height_mm, a.sill_mm, a.shape) == (
        b.kind,
        b.width_mm,
        b.height_mm,
        b.sill_mm,
        b.shape,
    ) and a.reveal == b.reveal
