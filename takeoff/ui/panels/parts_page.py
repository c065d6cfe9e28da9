"""Boxing, breasts, fitted units and other parts: which is placed, its dimensions, and the parts of the chosen room."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QGridLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.language import tr
from takeoff.plan.model import Room
from takeoff.ui.document import Document
from takeoff.ui.panels.form_fields import FORM_WIDE_PX, ChoiceField, Form, LengthField, Roomy, button_px
from takeoff.ui.panels.page_parts import FORM_PX, empty, fill, hair, label, scrolled, set_text
from takeoff.units.lengths import PART
from takeoff.views.naming import labels, place_of
from takeoff.views.quick_parts import KINDS, InRoom, PartKind, parts_in, without


class PartForm(QWidget):
    """The dimensions of one kind of part."""

    changed = Signal()
    refused = Signal(str)

    def __init__(self, kind: PartKind) -> None:
        super().__init__()
        self.kind = kind
        self.values: dict[str, float | None] = dict(kind.usual)
        self.fields: dict[str, LengthField] = {}
        self.choice: ChoiceField | None = None
        form = Form()
        pairs: list[tuple[str, QWidget]] = []
        for dimension in kind.dimensions:
            field = LengthField(tr(dimension.tip), dimension.optional, PART)
            field.show_mm(dimension.usual_mm)
            field.typed.connect(self._typed)
            field.refused.connect(self.refused)
            self.fields[dimension.key] = field
            pairs.append((tr(dimension.word), field))
        for start in range(0, len(pairs), 2):
            form.pair(*pairs[start : start + 2])
        if kind.choice is not None:
            self.choice = ChoiceField(
                tr(kind.choice.tip), tuple((str(number), tr(words)) for number, words in enumerate(kind.choice.ways))
            )
            self.choice.show_key("0")
            self.choice.picked.connect(self._picked)
            form.pair((tr(kind.choice.word), self.choice))
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 2, 0, 2)
        down.addLayout(form)

    def _typed(self, mm: object) -> None:
        del mm
        self.values.update({key: field.mm for key, field in self.fields.items()})
        self.changed.emit()

    def _picked(self, key: str) -> None:
        if self.kind.choice is not None:
            self.values[self.kind.choice.key] = float(key)
        self.changed.emit()


class PartLine(Roomy):
    """A part that the room has; a click takes it out."""

    def __init__(self, part: InRoom, document: Document) -> None:
        super().__init__(f"×  {part.words}")
        self._part, self._document = part, document
        self.setProperty("part", "finding")
        self.setToolTip(tr("Remove: {part}", part=part.words))
        self.setAccessibleName(tr("Remove: {part}", part=part.words))
        self.clicked.connect(self._remove)

    def _remove(self) -> None:
        part = self._part
        what = part.words.partition(",")[0]
        self._document.apply(tr("Remove a part: {part}", part=what), lambda job: without(job, part))


class PartLines(QVBoxLayout):
    """The parts of a room, a line each."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setSpacing(2)
        self._document = document
        self._shown: tuple[InRoom, ...] = ()

    @property
    def lines(self) -> tuple[PartLine, ...]:
        """The lines that are shown."""
        items = (self.itemAt(k) for k in range(self.count()))
        every = (item.widget() for item in items if item is not None)
        return tuple(line for line in every if isinstance(line, PartLine))

    def show_parts(self, parts: Sequence[InRoom]) -> None:
        """Show these."""
        if tuple(parts) != self._shown:
            self._shown = tuple(parts)
            empty(self)
            for part in parts:
                self.addWidget(PartLine(part, self._document))


class PartsPage(QWidget):
    """``chosen`` tells that parts of a kind, with its dimensions, are to be placed from now on."""

    chosen = Signal(object, object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.chips: dict[str, QPushButton] = {}
        self.forms: dict[str, PartForm] = {kind.id: PartForm(kind) for kind in KINDS}
        self.kind = KINDS[0]
        self.hint = label("", "grey", wrap=True)
        self.title = label("", "heading")
        self.there = label("", "heading")
        self.parts = PartLines(document)
        self._group = QButtonGroup(self)
        self._build()
        for form in self.forms.values():
            form.changed.connect(self._tell)
            form.refused.connect(document.refused)
        document.opened.connect(self.refresh)
        document.changed.connect(self._listen)
        document.chosen_changed.connect(self._listen)
        self.show_kind(self.kind)

    def _build(self) -> None:
        chips = QGridLayout()
        chips.setSpacing(5)
        for kind in KINDS:
            chip = self.chips[kind.id] = QPushButton(tr(kind.name))
            chip.setProperty("part", "chip")
            chip.setCheckable(True)
            chip.setAccessibleName(tr("Place: {part}", part=tr(kind.said)))
            chip.setToolTip(tr(kind.hint))
            chip.clicked.connect(self._clicked)
            self._group.addButton(chip)
        every = list(self.chips.values())
        # two to a row where the longest have room
        across = 2 if 2 * max(button_px(chip) for chip in every) + 5 <= FORM_WIDE_PX else 1
        for number, chip in enumerate(every):
            chips.addWidget(chip, number // across, number % across)
        down = scrolled(self, FORM_PX, 7, takes_keys=True)
        fill(down, label(tr("Boxing, breasts, units"), "title", wrap=True), chips, self.title)
        for form in self.forms.values():
            down.addWidget(form)
        fill(down, self.hint, hair(), self.there, self.parts)
        down.addStretch(1)

    def show_kind(self, kind: PartKind) -> None:
        """Show the dimensions of a kind, without telling anybody."""
        self.kind = kind
        self.chips[kind.id].setChecked(True)
        set_text(self.title, tr(kind.name))
        set_text(self.hint, tr(kind.hint))
        for name, form in self.forms.items():
            form.setVisible(name == kind.id)
        self.refresh()

    def show_in_hand(self, kind: PartKind | None) -> None:
        """Mark the kind that a click on the plan would place; None: nothing is in the hand."""
        self._group.setExclusive(kind is not None)
        for name, chip in self.chips.items():
            chip.setChecked(kind is not None and name == kind.id)

    @property
    def values(self) -> dict[str, float | None]:
        """The dimensions of the kind that is shown."""
        return dict(self.forms[self.kind.id].values)

    def refresh(self) -> None:
        """Show the parts of the chosen room."""
        room = self._room()
        title = labels(self._document.job).get(self._key(), "") if room is not None else ""
        set_text(self.there, tr("In {room}", room=title) if room is not None else "")
        parts = parts_in(room) if room is not None else ()
        self.there.setVisible(bool(parts))
        self.parts.show_parts(parts)

    def showEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """What changed while another page was shown."""
        del event
        self.refresh()

    def _room(self) -> Room | None:
        choice = self._document.choice
        place = place_of(self._document.job, choice[-1].room_id) if choice else None
        return place[1] if place is not None else None

    def _key(self) -> tuple[str, str]:
        place = place_of(self._document.job, self._document.choice[-1].room_id)
        return (str(place[0].id), str(place[1].id)) if place is not None else ("", "")

    def _clicked(self) -> None:
        chosen = next((kind for kind in KINDS if self.chips[kind.id] is self.sender()), self.kind)
        self.show_kind(chosen)
        self._tell()

    def _tell(self) -> None:
        self.chosen.emit(self.kind, self.values)

    def _listen(self) -> None:
        if self.isVisible():
            self.refresh()
