"""The chosen opening, or several, as they are set: size, place, kind, reveals strip by strip; settled. A chosen
rooflight: its size, shaft and mark.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QGridLayout, QWidget

from takeoff.plan import edits
from takeoff.plan.edits.opening_edits import PARTS, Part
from takeoff.plan.model import Job, Opening, OpeningId, Reveal, Rooflight
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.editor import Editor
from takeoff.ui.panels.form_fields import LENGTH_PX, ChoiceField, Form, LengthField, TextField, buttons, small_button
from takeoff.ui.panels.page_parts import fill, label, set_text, stacked
from takeoff.units.lengths import DEPTH, HEAD, LENGTH, OPENING_SIZE, SILL
from takeoff.views.naming import KIND_NAMES
from takeoff.views.opening_types import OpeningView, opening_view, unsure_openings

WORDS: dict[Part, str] = {"end": "Left jamb", "start": "Right jamb", "head": "Head", "sill": "Sill"}
"""As seen from the room, in which a side starts at the right."""


class StripRow:
    """One strip: its word, its depth, whether it is coated."""

    def __init__(self, form: RevealForm, part: Part, grid: QGridLayout, row: int) -> None:
        self._form, self._part = form, part
        self.word = label(WORDS[part], "name")
        self.depth = LengthField(f"Depth of the {WORDS[part].lower()}", size=DEPTH)
        self.coat = QCheckBox("coated")
        self.coat.setAccessibleName(f"{WORDS[part]} coated")
        self.coat.setToolTip(f"Whether the {WORDS[part].lower()} is coated")
        self.word.setBuddy(self.depth)
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
        self.side = ChoiceField("On which side of the wall", (("here", "In this room"), ("beyond", "")))
        self.all = LengthField("Depth of every strip of the reveal", size=DEPTH)
        self.note = label("", "dims", wrap=True)
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(3, 1)
        grid.addWidget(label("Reveal", "heading"), 0, 0)
        grid.addWidget(self.all, 0, 1)
        grid.addWidget(label("deep, all", "name"), 0, 2)
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
            self.side.setItemText(1, f"In {beyond}")
        elif self.side.currentData() != "here":
            self.side.show_key("here")
        if self.side.currentIndex() < 0:
            self.side.show_key("here")
        through = any(o.kind == "open" for o in openings)
        set_text(self.note, "Depth 0 goes through the whole wall." if through else "")
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

        words = "Set the depth of a reveal" if coat is None else ("Coat a reveal" if coat else "Leave a reveal out")
        if not self._document.apply(words, edited):
            self.show_openings(
                self._openings, "" if not self.side.isVisibleTo(self) else self.side.itemText(1).removeprefix("In ")
            )

    def refuse(self, sentence: str) -> None:
        """Say why something typed cannot be taken."""
        self._document.refused.emit(sentence)

    def _deepen(self, mm: float) -> None:
        self.set_strips(PARTS, depth_mm=mm)

    def _turn(self, side: str) -> None:
        del side
        self.show_openings(self._openings, self.side.itemText(1).removeprefix("In "))


KINDS = tuple(KIND_NAMES.items())
SHAPES = (("flat", "Flat head"), ("segmental", "Segmental arch"), ("semicircular", "Half round"), ("round", "Round"))


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
        self.accept = small_button("Yes, measure it", "It is an opening: take it in")
        self.refuse_it = small_button("No, leave it out", "It is no opening: take it away")
        self.asked = buttons(self.accept, self.refuse_it)
        self.what = ChoiceField("Kind of opening", KINDS)
        self.mark = mark_field()
        self.width_field, self.height_field, self.sill, self.head, self.left, self.right = (
            LengthField(name, size=size)
            for name, size in (
                ("Width", OPENING_SIZE),
                ("Height", OPENING_SIZE),
                ("Sill above the floor", SILL),
                ("Head above the floor", HEAD),
                ("To the wall's left corner, seen from inside", LENGTH),
                ("To the wall's right corner, seen from inside", LENGTH),
            )
        )
        self.shape, self.rise = (ChoiceField("Form of the head", SHAPES), LengthField("Rise of the arch", size=DEPTH))
        self.reveals = RevealForm(document)
        self.remove = small_button("Delete", "Delete the opening (Del)")
        self.more = small_button("Another", "Place another one of this type")
        self.next_asked = small_button("Next to check", "Go to the next opening that is asked about")
        self._build()
        self._connect()
        self.refresh()

    def _build(self) -> None:
        form = Form()
        form.pair(("Kind", self.what))
        form.pair(("Width", self.width_field), ("Height", self.height_field))
        form.pair(("Sill", self.sill), ("Head", self.head))
        form.pair(("To left", self.left), ("To right", self.right))
        form.pair(("Form", self.shape))
        _, self._rise_word = form.pair(("Mark", self.mark), ("Rise", self.rise))
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
        set_text(self.place, view.place if view else f"{len(chosen)} openings, set together")
        set_text(self.takes, f"It {view.takes}." if view else "")
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
        text = view.question if view else f"{len(unsure)} of these are not measured yet."
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

        several = "an opening" if len(ids) == 1 else f"{len(ids)} openings"
        self.apply(name.format(several), edited)

    def _set_kind(self, kind: str) -> None:
        self.each("Change the kind of {}", edits.set_opening_kind, kind)

    def _set_mark(self, key: str, text: str) -> None:
        del key
        self.each("Mark {}", edits.set_opening_mark, text.strip())

    def _set_width(self, mm: float) -> None:
        self.each("Set the width of {}", edits.set_opening_size, width_mm=mm)

    def _set_height(self, mm: float) -> None:
        self._heights_typed |= {o.id for o in self.openings()}
        self.each("Set the height of {}", edits.set_opening_size, height_mm=mm)

    def _set_sill(self, mm: float) -> None:
        """The head stays, unless the height was typed: then the opening moves up or down as it is."""

        def moved(job: Job, opening_id: OpeningId) -> Job:
            opening = edits.opening_of(job, opening_id)
            height = opening.head_mm - opening.sill_mm if opening_id in self._heights_typed else None
            return edits.set_opening_size(job, opening_id, sill_mm=mm, height_mm=height)

        self.each("Set the sill of {}", moved)

    def _set_head(self, mm: float) -> None:
        self._heights_typed -= {o.id for o in self.openings()}
        self.each("Set the head of {}", edits.set_opening_size, head_mm=mm)

    def _set_right(self, mm: float) -> None:
        self.each("Move {}", edits.slide_opening, mm)

    def _set_left(self, mm: float) -> None:
        if self._view is not None:
            right = self._view.to_left_mm + self._view.to_right_mm - mm
            self.each("Move {}", edits.slide_opening, right)

    def _set_shape(self, shape: str) -> None:
        def shaped(job: Job, opening_id: OpeningId) -> Job:
            opening = edits.opening_of(job, opening_id)
            # an arch begins as a flat one that can be seen: a tenth of its width
            rise = opening.rise_mm or opening.width_mm / 10.0
            return edits.set_opening_shape(job, opening_id, shape, rise)  # type: ignore[arg-type]

        self.each("Change the form of {}", shaped)

    def _set_rise(self, mm: float) -> None:
        self.each("Set the rise of {}", edits.set_opening_shape, "segmental", mm)

    def _accept(self) -> None:
        self.each("Take {} in", edits.set_opening_confidence, "sure")

    def delete(self) -> None:
        """Delete what is chosen; of several that are asked about, the next is shown."""
        left = self._other_asked()
        asked = any(o.confidence != "sure" for o in self.openings())
        self.each("Delete {}", edits.remove_opening)
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
        self.question = label("This rooflight is not measured yet.", "name", wrap=True)
        self.accept = small_button("Yes, measure it", "It is a rooflight: take it in")
        self.refuse_it = small_button("No, leave it out", "It is no rooflight: take it away")
        self.asked = buttons(self.accept, self.refuse_it)
        self.width_field = LengthField("Width of the rooflight, across the slope", size=OPENING_SIZE)
        self.length_field = LengthField("Length of the rooflight, up the slope", size=OPENING_SIZE)
        self.shaft = LengthField("Depth of its shaft, square to the ceiling", size=DEPTH)
        self.mark = mark_field()
        self.coat = QCheckBox("Shaft coated")
        self.coat.setToolTip("Whether the shaft is coated")
        self.note = label("", "grey", wrap=True)
        self.remove = small_button("Delete", "Delete the rooflight (Del)")
        form = Form()
        form.pair(("Width", self.width_field), ("Length", self.length_field))
        form.pair(("Shaft", self.shaft), ("Mark", self.mark))
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
        self.refresh()

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
        set_text(self.note, "It is no rectangle: its outline stays as it is drawn." if None in sizes else "")
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
        self._each("Delete", edits.remove_opening)

    def _set_width(self, mm: float) -> None:
        self._each("Set the width of", lambda job, name: edits.set_rooflight(job, name, width_mm=mm))

    def _set_length(self, mm: float) -> None:
        self._each("Set the length of", lambda job, name: edits.set_rooflight(job, name, length_mm=mm))

    def _set_shaft(self, mm: float) -> None:
        self._each("Set the shaft of", lambda job, name: edits.set_rooflight(job, name, depth_mm=mm))

    def _set_mark(self, key: str, text: str) -> None:
        del key
        self._each("Mark", lambda job, name: edits.set_opening_mark(job, name, text.strip()))

    def _set_coat(self) -> None:
        coat = self.coat.isChecked()
        words = "Coat the shaft of" if coat else "Leave out the shaft of"
        self._each(words, lambda job, name: edits.set_rooflight(job, name, coat=coat))

    def _accept(self) -> None:
        self._each("Take in", lambda job, name: edits.set_opening_confidence(job, name, "sure"))

    def _each(self, words: str, edit: Callable[[Job, OpeningId], Job]) -> None:
        """One edit for every chosen rooflight, undone together."""
        names = [light.id for light in self.rooflights()]

        def edited(job: Job) -> Job:
            for name in names:
                job = edit(job, name)
            return job

        self.apply(f"{words} a rooflight" if len(names) == 1 else f"{words} {len(names)} rooflights", edited)


def mark_field() -> TextField:
    """A field for the mark that an opening has on the drawing."""
    tip = "The mark that the opening has on the drawing, such as W3"
    field = TextField("mark", "Mark on the drawing", tip, "none")
    field.setProperty("part", "length")
    field.setFixedWidth(LENGTH_PX)
    return field
