"""The chosen opening, or several, as they are set: size, place, kind, reveals strip by strip; settled. A chosen
rooflight: its size, shaft and mark.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QGridLayout, QWidget

from takeoff.language import mark, tr, tr_count
from takeoff.plan import edits
from takeoff.plan.edits.opening_edits import PARTS, Part
from takeoff.plan.model import Job, Opening, OpeningId, Reveal, Rooflight
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.editor import Editor
from takeoff.ui.panels.form_fields import (
    LENGTH_PX,
    ChoiceField,
    Form,
    LengthField,
    TextField,
    buttons,
    said,
    small_button,
    word_before,
)
from takeoff.ui.panels.page_parts import fill, label, set_text, stacked
from takeoff.units.lengths import DEPTH, HEAD, LENGTH, OPENING_SIZE, SILL
from takeoff.views.naming import KIND_NAMES
from takeoff.views.opening_types import OpeningView, opening_view, unsure_openings

WORDS: dict[Part, tuple[str, str, str]] = {
    "end": (mark("Left jamb"), mark("Depth of the left jamb"), mark("Left jamb coated")),
    "start": (mark("Right jamb"), mark("Depth of the right jamb"), mark("Right jamb coated")),
    "head": (mark("Head"), mark("Depth of the head"), mark("Head coated")),
    "sill": (mark("Sill"), mark("Depth of the sill"), mark("Sill coated")),
}
"""What a face of the reveal, its depth and its coat are called: as seen from the room, in which a side starts at the
right."""


FACE_PX = 84
"""Width of the word for a face; a longer one breaks into lines."""


class StripRow:
    """One strip: its word, its depth, whether it is coated."""

    def __init__(self, form: RevealForm, part: Part, grid: QGridLayout, row: int) -> None:
        self._form, self._part = form, part
        word, depth, coated = (tr(words) for words in WORDS[part])
        self.depth = LengthField(depth, size=DEPTH)
        self.word = word_before(word, self.depth, FACE_PX)
        self.coat = QCheckBox(tr("coated"))
        self.coat.setAccessibleName(coated)
        self.coat.setToolTip(coated)
        for column, widget in enumerate((self.word, self.depth, self.coat)):
            grid.addWidget(widget, row, column)
        self.depth.typed.connect(self._deepen)
        self.depth.refused.connect(form.refuse)
        self.coat.clicked.connect(self._set_coat)

    def show_strips(self, reveals: Sequence[Reveal]) -> None:
        """Show what these reveals have in common."""
        strips = [getattr(reveal, self._part) for reveal in reveals]
        self.depth.show_all([strip.depth_mm for strip in strips])
        coats = {strip.coat for strip in strips}
        self.coat.setTristate(len(coats) > 1)
        state = (
            Qt.CheckState.PartiallyChecked
            if len(coats) > 1
            else (Qt.CheckState.Checked if coats == {True} else Qt.CheckState.Unchecked)
        )
        self.coat.setCheckState(state)

    def _deepen(self, mm: float) -> None:
        self._form.set_strips((self._part,), depth_mm=mm)

    def _set_coat(self) -> None:
        self._form.set_strips((self._part,), coat=self.coat.checkState() != Qt.CheckState.Unchecked)


class RevealForm(QWidget):
    """The four strips of the chosen openings; "all" sets every depth at once."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._openings: tuple[Opening, ...] = ()
        self._beyond = ""
        self.side = ChoiceField(tr("On which side of the wall"), (("here", tr("In this room")), ("beyond", "")))
        self.all = LengthField(tr("Depth of every face of the reveal"), size=DEPTH)
        self.note = label("", "dims", wrap=True)
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(3, 1)
        grid.addWidget(label(tr("Reveal"), "heading"), 0, 0)
        grid.addWidget(self.all, 0, 1)
        grid.addWidget(label(tr("depth, all faces"), "name", wrap=True), 0, 2)
        self.rows = {part: StripRow(self, part, grid, number + 1) for number, part in enumerate(WORDS)}
        down = stacked(self, (0, 4, 0, 0), 5)
        fill(down, self.side, grid, self.note)
        self.all.typed.connect(self._deepen)
        self.all.refused.connect(self.refuse)
        self.side.picked.connect(self._turn)

    @property
    def beyond(self) -> bool:
        """Whether the strips of the wall's other side are shown."""
        return self.side.isVisibleTo(self) and self.side.currentData() == "beyond"

    def show_openings(self, openings: Sequence[Opening], beyond: str) -> None:
        """Show the reveals of these; ``beyond`` names the room on the wall's other side."""
        self._openings = tuple(openings)
        doors = bool(beyond) and all(o.kind != "open" for o in openings)
        self.side.setVisible(doors)
        if doors:
            self._beyond = beyond
            self.side.setItemText(1, tr("In {room}", room=beyond))
        elif self.side.currentData() != "here":
            self.side.show_key("here")
        if self.side.currentIndex() < 0:
            self.side.show_key("here")
        through = any(o.kind == "open" for o in openings)
        set_text(self.note, tr("Depth 0 goes through the whole wall.") if through else "")
        self.note.setVisible(through)
        reveals = [(o.reveal_beyond or Reveal()) if self.beyond else o.reveal for o in openings]
        for row in self.rows.values():
            row.show_strips(reveals)
        depths = [getattr(reveal, part).depth_mm for reveal in reveals for part in PARTS]
        self.all.show_all(depths)

    def set_strips(self, parts: Sequence[Part], depth_mm: float | None = None, coat: bool | None = None) -> None:
        """Set some strips of every chosen opening, undone together."""
        beyond, ids = self.beyond, [o.id for o in self._openings]

        def edited(job: Job) -> Job:
            for opening_id in ids:
                job = edits.set_strips(job, opening_id, parts, depth_mm, coat, beyond)
            return job

        words = (
            tr("Set the depth of a reveal")
            if coat is None
            else (tr("Coat a reveal") if coat else tr("Do not coat a reveal"))
        )
        if not self._document.apply(words, edited):
            self.show_openings(self._openings, self._beyond if self.side.isVisibleTo(self) else "")

    def refuse(self, sentence: str) -> None:
        """Say why something typed cannot be taken."""
        self._document.refused.emit(sentence)

    def _deepen(self, mm: float) -> None:
        self.set_strips(PARTS, depth_mm=mm)

    def _turn(self, side: str) -> None:
        del side
        self.show_openings(self._openings, self._beyond)


KINDS = tuple(KIND_NAMES.items())
SHAPES = (
    ("flat", mark("Flat head")),
    ("segmental", mark("Segmental arch")),
    ("semicircular", mark("Half round")),
    ("round", mark("Round")),
)


class OpeningEditor(Editor):
    """What one sets on openings. ``another`` asks to place more like the one that is chosen."""

    kind = "opening"
    another = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._view: OpeningView | None = None
        self._heights_typed: set[OpeningId] = set()
        document.opened.connect(self._heights_typed.clear)
        self.place = label("", "grey", wrap=True)
        self.takes = label("", "dims", wrap=True)
        self.question = label("", "name", wrap=True)
        self.accept = small_button(tr("Accept"), tr("It is an opening: accept it"))
        self.refuse_it = small_button(tr("Reject"), tr("It is not an opening: reject it"))
        self.asked = buttons(self.accept, self.refuse_it)
        self.what = ChoiceField(tr("Kind of opening"), said(KINDS))
        self.mark = mark_field()
        self.width_field, self.height_field, self.sill, self.head, self.left, self.right = (
            LengthField(name, size=size)
            for name, size in (
                (tr("Width"), OPENING_SIZE),
                (tr("Height"), OPENING_SIZE),
                (tr("Sill above the floor"), SILL),
                (tr("Head above the floor"), HEAD),
                (tr("To the wall's left corner, seen from inside"), LENGTH),
                (tr("To the wall's right corner, seen from inside"), LENGTH),
            )
        )
        self.shape, self.rise = (
            ChoiceField(tr("Form of the head"), said(SHAPES)),
            LengthField(tr("Rise of the arch"), size=DEPTH),
        )
        self.reveals = RevealForm(document)
        self.remove = small_button(tr("Delete"), tr("Delete the opening (Del)"))
        self.more = small_button(tr("Another"), tr("Place another one of this type"))
        self.next_asked = small_button(tr("Next to check"), tr("Go to the next opening to check"))
        self._build()
        self._connect()

    def _build(self) -> None:
        form = Form()
        form.pair((tr("Kind"), self.what))
        form.pair((tr("Width"), self.width_field), (tr("Height"), self.height_field))
        form.pair((tr("Sill"), self.sill), (tr("Head"), self.head))
        form.pair((tr("To left"), self.left), (tr("To right"), self.right))
        form.pair((tr("Form"), self.shape))
        _, self._rise_word = form.pair((tr("Mark"), self.mark), (tr("Rise"), self.rise))
        for widget in (self.question, self.asked, self.place):
            self.down.addWidget(widget)
        fill(self.down, form, self.reveals, self.takes, buttons(self.more, self.next_asked, self.remove))

    def _connect(self) -> None:
        self.what.picked.connect(self._set_kind)
        self.mark.typed.connect(self._set_mark)
        self.width_field.typed.connect(self._set_width)
        self.height_field.typed.connect(self._set_height)
        self.sill.typed.connect(self._set_sill)
        self.head.typed.connect(self._set_head)
        self.left.typed.connect(self._set_left)
        self.right.typed.connect(self._set_right)
        self.shape.picked.connect(self._set_shape)
        self.rise.typed.connect(self._set_rise)
        self.accept.clicked.connect(self._accept)
        self.refuse_it.clicked.connect(self.delete)
        self.remove.clicked.connect(self.delete)
        self.more.clicked.connect(self._another)
        self.next_asked.clicked.connect(self.show_next_asked)
        for field in (self.width_field, self.height_field, self.sill, self.head, self.left, self.right, self.rise):
            field.refused.connect(self.refuse)

    # -- what is shown

    def show_refs(self) -> None:
        """Sizes that all the chosen openings have, the place of a single one."""
        chosen = self.openings()
        if not chosen:
            self.hide()
            return
        one = len({o.id for o in chosen}) == 1
        self._view = opening_view(self.document.state, str(chosen[-1].id))
        view = self._view if one else None
        several = tr_count("{count} opening", "{count} openings, set together", len(chosen))
        set_text(self.place, view.place if view else several)
        set_text(self.takes, view.takes if view else "")
        self.takes.setVisible(view is not None)
        self._show_question(chosen, view)
        self.what.show_key(_same(o.kind for o in chosen))
        self.mark.show_text(chosen[0].mark if one else "")
        self.mark.setEnabled(one)
        self.width_field.show_all([o.width_mm for o in chosen])
        self.height_field.show_all([o.head_mm - o.sill_mm for o in chosen])
        self.sill.show_all([o.sill_mm for o in chosen])
        self.head.show_all([o.head_mm for o in chosen])
        for field, mm in (
            (self.left, view.to_left_mm if view else None),
            (self.right, view.to_right_mm if view else None),
        ):
            field.show_mm(mm)
            field.setEnabled(view is not None)
        self.shape.show_key(_same(o.shape for o in chosen))
        arched = any(o.shape == "segmental" for o in chosen)
        self.rise.show_all([o.rise_mm for o in chosen])
        self.rise.setVisible(arched)
        self._rise_word.setVisible(arched)
        self.reveals.show_openings(chosen, view.beyond if view else "")
        self.next_asked.setVisible(bool(self._other_asked()))

    def _show_question(self, chosen: list[Opening], view: OpeningView | None) -> None:
        unsure = [o for o in chosen if o.confidence != "sure"]
        several = tr_count(
            "{count} of these is not measured yet.", "{count} of these are not measured yet.", len(unsure)
        )
        text = view.question if view else several
        set_text(self.question, text if unsure else "")
        self.question.setVisible(bool(unsure))
        self.asked.setVisible(bool(unsure))

    def openings(self) -> list[Opening]:
        """The openings that are chosen."""
        wanted = {ref.id for ref in self.refs}
        return [o for storey in self.document.job.storeys for o in storey.openings if o.id in wanted]

    def _other_asked(self) -> list[str]:
        """Openings that are asked about and not chosen."""
        chosen = {ref.id for ref in self.refs}
        return [name for name in unsure_openings(self.document.state) if name not in chosen]

    # -- what the user does

    def each(self, name: str, edit: Callable[..., Job], *given: Any, **named: Any) -> None:
        """One edit for every chosen opening, undone together."""
        ids = [o.id for o in self.openings()]

        def edited(job: Job) -> Job:
            for opening_id in ids:
                job = edit(job, opening_id, *given, **named)
            return job

        self.apply(name, edited)

    def _set_kind(self, kind: str) -> None:
        name = tr_count("Change the kind of an opening", "Change the kind of {count} openings", len(self.openings()))
        self.each(name, edits.set_opening_kind, kind)

    def _set_mark(self, key: str, text: str) -> None:
        del key
        name = tr_count("Mark an opening", "Mark {count} openings", len(self.openings()))
        self.each(name, edits.set_opening_mark, text.strip())

    def _set_width(self, mm: float) -> None:
        name = tr_count("Set the width of an opening", "Set the width of {count} openings", len(self.openings()))
        self.each(name, edits.set_opening_size, width_mm=mm)

    def _set_height(self, mm: float) -> None:
        self._heights_typed |= {o.id for o in self.openings()}
        name = tr_count("Set the height of an opening", "Set the height of {count} openings", len(self.openings()))
        self.each(name, edits.set_opening_size, height_mm=mm)

    def _set_sill(self, mm: float) -> None:
        """The head stays, unless the height was typed: then the opening moves up or down as it is."""

        def moved(job: Job, opening_id: OpeningId) -> Job:
            opening = edits.opening_of(job, opening_id)
            height = opening.head_mm - opening.sill_mm if opening_id in self._heights_typed else None
            return edits.set_opening_size(job, opening_id, sill_mm=mm, height_mm=height)

        name = tr_count("Set the sill of an opening", "Set the sill of {count} openings", len(self.openings()))
        self.each(name, moved)

    def _set_head(self, mm: float) -> None:
        self._heights_typed -= {o.id for o in self.openings()}
        name = tr_count("Set the head of an opening", "Set the head of {count} openings", len(self.openings()))
        self.each(name, edits.set_opening_size, head_mm=mm)

    def _set_right(self, mm: float) -> None:
        name = tr_count("Move an opening", "Move {count} openings", len(self.openings()))
        self.each(name, edits.slide_opening, mm)

    def _set_left(self, mm: float) -> None:
        if self._view is not None:
            right = self._view.to_left_mm + self._view.to_right_mm - mm
            name = tr_count("Move an opening", "Move {count} openings", len(self.openings()))
            self.each(name, edits.slide_opening, right)

    def _set_shape(self, shape: str) -> None:
        def shaped(job: Job, opening_id: OpeningId) -> Job:
            opening = edits.opening_of(job, opening_id)
            # an arch begins as a flat one that can be seen: a tenth of its width
            rise = opening.rise_mm or opening.width_mm / 10.0
            return edits.set_opening_shape(job, opening_id, shape, rise)  # type: ignore[arg-type]

        name = tr_count("Change the form of an opening", "Change the form of {count} openings", len(self.openings()))
        self.each(name, shaped)

    def _set_rise(self, mm: float) -> None:
        name = tr_count("Set the rise of an opening", "Set the rise of {count} openings", len(self.openings()))
        self.each(name, edits.set_opening_shape, "segmental", mm)

    def _accept(self) -> None:
        name = tr_count("Accept an opening", "Accept {count} openings", len(self.openings()))
        self.each(name, edits.set_opening_confidence, "sure")

    def delete(self) -> None:
        """Delete what is chosen; of several that are asked about, the next is shown."""
        left = self._other_asked()
        asked = any(o.confidence != "sure" for o in self.openings())
        name = tr_count("Delete an opening", "Delete {count} openings", len(self.openings()))
        self.each(name, edits.remove_opening)
        if asked and left:
            self._go(left[0])

    def show_next_asked(self) -> None:
        """Choose the next opening that is asked about, after the one that is chosen."""
        every = [str(o.id) for storey in self.document.job.storeys for o in storey.openings]
        unsure = set(unsure_openings(self.document.state))
        at = every.index(self.refs[-1].id) if self.refs and self.refs[-1].id in every else -1
        order = [name for name in (*every[at + 1 :], *every[: at + 1]) if name in unsure]
        if order:
            self._go(order[0])

    def _go(self, opening_id: str) -> None:
        rooms = {str(o.id): str(o.room) for storey in self.document.job.storeys for o in storey.openings}
        if opening_id in rooms:
            self.document.choose((Ref("opening", opening_id, rooms[opening_id]),))

    def _another(self) -> None:
        chosen = self.openings()
        if chosen:
            self.another.emit(chosen[-1])


def _same(keys: Any) -> str | None:
    """What all of them are; None for several."""
    found = set(keys)
    return str(found.pop()) if len(found) == 1 else None


class RooflightEditor(Editor):
    """What one sets on a rooflight, or on several together. It is moved by dragging it on the plan."""

    kind = "rooflight"

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self.question = label(tr("This rooflight is not measured yet."), "name", wrap=True)
        self.accept = small_button(tr("Accept"), tr("It is a rooflight: accept it"))
        self.refuse_it = small_button(tr("Reject"), tr("It is not a rooflight: reject it"))
        self.asked = buttons(self.accept, self.refuse_it)
        self.width_field = LengthField(tr("Width of the rooflight, across the slope"), size=OPENING_SIZE)
        self.length_field = LengthField(tr("Length of the rooflight, up the slope"), size=OPENING_SIZE)
        self.shaft = LengthField(tr("Depth of its shaft, square to the ceiling"), size=DEPTH)
        self.mark = mark_field()
        self.coat = QCheckBox(tr("Shaft coated"))
        self.coat.setToolTip(tr("Whether the shaft is coated"))
        self.note = label("", "grey", wrap=True)
        self.remove = small_button(tr("Delete"), tr("Delete the rooflight (Del)"))
        form = Form()
        form.pair((tr("Width"), self.width_field), (tr("Length"), self.length_field))
        form.pair((tr("Shaft"), self.shaft), (tr("Mark"), self.mark))
        fill(self.down, self.question, self.asked, form, self.coat, self.note, buttons(self.remove))
        for field, set_mm in (
            (self.width_field, self._set_width),
            (self.length_field, self._set_length),
            (self.shaft, self._set_shaft),
        ):
            field.typed.connect(set_mm)
            field.refused.connect(self.refuse)
        self.mark.typed.connect(self._set_mark)
        self.coat.clicked.connect(self._set_coat)
        self.accept.clicked.connect(self._accept)
        self.refuse_it.clicked.connect(self.delete)
        self.remove.clicked.connect(self.delete)

    def rooflights(self) -> list[Rooflight]:
        """The rooflights that are chosen."""
        wanted = {ref.id for ref in self.refs}
        return [light for storey in self.document.job.storeys for light in storey.rooflights if light.id in wanted]

    def show_refs(self) -> None:
        """Sizes that all the chosen ones have, the mark of a single one."""
        chosen = self.rooflights()
        if not chosen:
            self.hide()
            return
        sizes = [edits.rooflight_size(self.document.job, light.id) for light in chosen]
        for field, number in ((self.width_field, 0), (self.length_field, 1)):
            field.show_all([size[number] if size is not None else None for size in sizes])
            field.setEnabled(None not in sizes)
        set_text(self.note, tr("Not a rectangle: its outline stays as drawn.") if None in sizes else "")
        self.note.setVisible(None in sizes)
        self.shaft.show_all([light.depth_mm for light in chosen])
        self.mark.show_text(chosen[0].mark if len(chosen) == 1 else "")
        self.mark.setEnabled(len(chosen) == 1)
        self.coat.setChecked(all(light.coat for light in chosen))
        asked = any(light.confidence != "sure" for light in chosen)
        self.question.setVisible(asked)
        self.asked.setVisible(asked)

    def delete(self) -> None:
        """Take the chosen rooflights away."""
        name = tr_count("Delete a rooflight", "Delete {count} rooflights", len(self.rooflights()))
        self._each(name, edits.remove_opening)

    def _set_width(self, mm: float) -> None:
        name = tr_count("Set the width of a rooflight", "Set the width of {count} rooflights", len(self.rooflights()))
        self._each(name, lambda job, light: edits.set_rooflight(job, light, width_mm=mm))

    def _set_length(self, mm: float) -> None:
        name = tr_count("Set the length of a rooflight", "Set the length of {count} rooflights", len(self.rooflights()))
        self._each(name, lambda job, light: edits.set_rooflight(job, light, length_mm=mm))

    def _set_shaft(self, mm: float) -> None:
        name = tr_count("Set the shaft of a rooflight", "Set the shaft of {count} rooflights", len(self.rooflights()))
        self._each(name, lambda job, light: edits.set_rooflight(job, light, depth_mm=mm))

    def _set_mark(self, key: str, text: str) -> None:
        del key
        name = tr_count("Mark a rooflight", "Mark {count} rooflights", len(self.rooflights()))
        self._each(name, lambda job, light: edits.set_opening_mark(job, light, text.strip()))

    def _set_coat(self) -> None:
        coat = self.coat.isChecked()
        count = len(self.rooflights())
        name = (
            tr_count("Coat the shaft of a rooflight", "Coat the shafts of {count} rooflights", count)
            if coat
            else tr_count("Do not coat the shaft of a rooflight", "Do not coat the shafts of {count} rooflights", count)
        )
        self._each(name, lambda job, light: edits.set_rooflight(job, light, coat=coat))

    def _accept(self) -> None:
        name = tr_count("Accept a rooflight", "Accept {count} rooflights", len(self.rooflights()))
        self._each(name, lambda job, light: edits.set_opening_confidence(job, light, "sure"))

    def _each(self, name: str, edit: Callable[[Job, OpeningId], Job]) -> None:
        """One edit for every chosen rooflight, undone together."""
        lights = [light.id for light in self.rooflights()]

        def edited(job: Job) -> Job:
            for light in lights:
                job = edit(job, light)
            return job

        self.apply(name, edited)


def mark_field() -> TextField:
    """A field for the mark that an opening has on the drawing."""
    tip = tr("The mark that the opening has on the drawing, such as W3")
    field = TextField("mark", tr("Mark on the drawing"), tip, tr("none"))
    field.setProperty("part", "length")
    field.setFixedWidth(LENGTH_PX)
    return field
